-- The projection, for every row of `quote_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO quote_rows (chain, seq, on_day, findings, amount_minor, currency, offered_by)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)

-- The projection, for every row of `event_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO event_rows (chain, seq, on_day, kind)
VALUES (?1, ?2, ?3, ?4)

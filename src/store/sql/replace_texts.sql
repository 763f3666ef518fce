-- Append: what people wrote in an entry, for `find`.
INSERT OR REPLACE INTO texts (chain, seq, subject, on_day, kind, text) VALUES (?1, ?2, ?3, ?4, ?5, ?6)

-- The projection, for every row of `file_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO file_rows (chain, seq, on_day, subject, name, sha256, bytes)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)

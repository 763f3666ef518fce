-- The projection, for every row of `note_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO note_rows (chain, seq, on_day, subject, text)
VALUES (?1, ?2, ?3, ?4, ?5)

-- The projection, for every row of `duty_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO duty_rows (chain, subject, duty, title, opens_on, due_on, why, moved_from, band, minutes)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)

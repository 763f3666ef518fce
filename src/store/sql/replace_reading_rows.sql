-- The projection, for every row of `reading_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO reading_rows (chain, seq, finding, on_day, quantity, typed, value, unit, over_mm, resolution_mm, gauge, point, moved, by)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)

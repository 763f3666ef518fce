-- The projection, for every row of `finding_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO finding_rows (chain, number, kind, place, section, opened_on, closed_on, closed_why, answers, readings, last_read_on, last_read)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)

-- The projection, for every row of `judgement_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO judgement_rows (chain, seq, on_day, findings, judge, licence, says, until, document)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)

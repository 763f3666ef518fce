-- The projection, for every row of `walk_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO walk_rows (chain, seq, season, begun_on, ended_on, nothing_seen, findings, not_reached)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)

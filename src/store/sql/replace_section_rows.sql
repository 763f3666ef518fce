-- The projection, for every row of `section_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO section_rows (chain, name, foundation, walls, area_m2, place)
VALUES (?1, ?2, ?3, ?4, ?5, ?6)

-- The projection, for every row of `fixture_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO fixture_rows (chain, name, kind, section, place, since, replaced, retired_on, retired_why, pit_mm, rated_l_min, height_mm, distance_mm, demand, what)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)

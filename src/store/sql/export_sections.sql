-- `export csv`: sections of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.name, t.foundation, t.walls, t.area_m2, t.place
FROM section_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.name

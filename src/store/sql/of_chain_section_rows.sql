-- `verify`: all rows of `section_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, name, foundation, walls, area_m2, place FROM section_rows WHERE chain = ?1 ORDER BY chain, name

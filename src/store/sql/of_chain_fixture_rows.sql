-- `verify`: all rows of `fixture_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, name, kind, section, place, since, replaced, retired_on, retired_why, pit_mm, rated_l_min, height_mm, distance_mm, demand, what FROM fixture_rows WHERE chain = ?1 ORDER BY chain, name

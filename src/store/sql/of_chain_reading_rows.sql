-- `verify`: all rows of `reading_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, finding, on_day, quantity, typed, value, unit, over_mm, resolution_mm, gauge, point, moved, by FROM reading_rows WHERE chain = ?1 ORDER BY chain, seq

-- `verify`: all rows of `duty_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, subject, duty, title, opens_on, due_on, why, moved_from, band, minutes FROM duty_rows
WHERE chain = ?1 ORDER BY chain, subject, duty

-- `verify`: all rows of `finding_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, number, kind, place, section, opened_on, closed_on, closed_why, answers, readings, last_read_on, last_read FROM finding_rows WHERE chain = ?1 ORDER BY chain, number

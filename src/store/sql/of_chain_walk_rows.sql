-- `verify`: all rows of `walk_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, season, begun_on, ended_on, nothing_seen, findings, not_reached FROM walk_rows
WHERE chain = ?1 ORDER BY chain, seq

-- `verify`: all rows of `texts` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, subject, on_day, kind, text FROM texts WHERE chain = ?1 ORDER BY chain, seq

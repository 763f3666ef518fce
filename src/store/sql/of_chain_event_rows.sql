-- `verify`: all rows of `event_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, on_day, kind FROM event_rows WHERE chain = ?1 ORDER BY chain, seq

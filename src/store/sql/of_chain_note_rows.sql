-- `verify`: all rows of `note_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, on_day, subject, text FROM note_rows WHERE chain = ?1 ORDER BY chain, seq

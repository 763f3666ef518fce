-- `verify`: all rows of `file_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, on_day, subject, name, sha256, bytes FROM file_rows WHERE chain = ?1 ORDER BY chain, seq

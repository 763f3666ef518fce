-- `verify`: all rows of `judgement_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, on_day, findings, judge, licence, says, until, document FROM judgement_rows WHERE chain = ?1 ORDER BY chain, seq

-- `verify`: all rows of `quote_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, on_day, findings, amount_minor, currency, offered_by FROM quote_rows WHERE chain = ?1 ORDER BY chain, seq

-- `verify`: all rows of `sump_test_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, fixture, on_day, poured, started_times, failed, fall_mm, fall_s, rise_mm, rise_s FROM sump_test_rows
WHERE chain = ?1 ORDER BY chain, seq

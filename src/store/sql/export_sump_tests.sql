-- `export csv`: sump tests of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.fixture, t.on_day, t.poured, t.started_times, t.failed, t.fall_mm, t.fall_s, t.rise_mm, t.rise_s
FROM sump_test_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

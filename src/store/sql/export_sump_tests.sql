-- `export csv`: sump tests of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.fixture, t.on_day, t.poured, t.started_times, t.failed, t.fall_mm, t.fall_s, t.rise_mm, t.rise_s,
    s.said_by AS by, s.note, s.private, s.corrected_by
FROM sump_test_rows t JOIN properties p USING (chain) JOIN said s USING (chain, seq)
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

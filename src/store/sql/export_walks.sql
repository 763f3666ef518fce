-- `export csv`: walks of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.season, t.begun_on, t.ended_on, t.nothing_seen, t.findings, t.not_reached,
    s.said_by AS by, s.note, s.private, s.corrected_by
FROM walk_rows t JOIN properties p USING (chain) JOIN said s USING (chain, seq)
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

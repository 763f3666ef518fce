-- `export csv`: walks of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.season, t.begun_on, t.ended_on, t.nothing_seen, t.findings, t.not_reached
FROM walk_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

-- `export csv`: events of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.on_day, t.kind
FROM event_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

-- `export csv`: judgements of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.on_day, t.findings, t.judge, t.licence, t.says, t.until, t.document
FROM judgement_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

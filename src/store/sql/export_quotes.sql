-- `export csv`: quotes of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.on_day, t.findings, t.amount_minor, t.currency, t.offered_by,
    s.said_by AS by, s.note, s.private, s.corrected_by
FROM quote_rows t JOIN properties p USING (chain) JOIN said s USING (chain, seq)
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

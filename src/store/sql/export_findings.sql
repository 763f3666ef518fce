-- `export csv`: findings of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.number, t.kind, t.place, t.section, t.opened_on, t.closed_on, t.closed_why, t.answers, t.readings,
    t.last_read_on, t.last_read
FROM finding_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.number

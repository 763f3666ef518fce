-- `export csv`: readings of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.finding, t.on_day, t.quantity, t.typed, t.value, t.unit, t.over_mm, t.resolution_mm, t.gauge, t.point,
    t.moved, t.by,
    s.note, s.private, s.corrected_by
FROM reading_rows t JOIN properties p USING (chain) JOIN said s USING (chain, seq)
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

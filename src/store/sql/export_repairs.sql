-- `export csv`: repairs of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.on_day, t.findings, t.method, t.width_mm, t.depth_mm, t.length_mm, t.waste_pct, t.surface_c, t.class,
    t.viscosity_pa_s, t.ports, t.batch, t.cost_minor, t.currency, t.done_by, t.held, t.checked_on,
    s.said_by AS by, s.note, s.private, s.corrected_by
FROM repair_rows t JOIN properties p USING (chain) JOIN said s USING (chain, seq)
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

-- `export csv`: fixtures of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.name, t.kind, t.section, t.place, t.since, t.replaced, t.retired_on, t.retired_why, t.pit_mm, t.rated_l_min,
    t.height_mm, t.distance_mm, t.demand, t.what
FROM fixture_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.name

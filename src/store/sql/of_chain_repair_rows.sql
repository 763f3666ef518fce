-- `verify`: all rows of `repair_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, on_day, findings, method, width_mm, depth_mm, length_mm, waste_pct, surface_c, class,
    viscosity_pa_s, ports, batch, cost_minor, currency, done_by, held, checked_on FROM repair_rows
WHERE chain = ?1 ORDER BY chain, seq

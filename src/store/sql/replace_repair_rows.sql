-- The projection, for every row of `repair_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO repair_rows (chain, seq, on_day, findings, method, width_mm, depth_mm, length_mm, waste_pct,
    surface_c, class, viscosity_pa_s, ports, batch, cost_minor, currency, done_by, held, checked_on)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19)

-- `export csv`: what loggers recorded of the air, of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.section, t.place, t.from_time, t.to_time, t.hours, t.missing_hours, t.longest_gap_hours,
    t.mean_c, t.least_c, t.most_c, t.mean_humidity_pct, t.least_humidity_pct, t.most_humidity_pct, t.humid_hours,
    t.worst_30_days_from, t.worst_30_days_humidity_pct, t.worst_30_days_c, t.worst_30_days_wood_pct, t.class, t.mould_index,
    t.mould_index_peak, t.wood_pct, t.least_margin_k, t.condensing_hours, t.files,
    s.said_by AS by, s.note, s.private, s.corrected_by
FROM air_log_rows t JOIN properties p USING (chain) JOIN said s USING (chain, seq)
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

-- `verify`: all rows of `air_log_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, section, place, from_time, to_time, hours, missing_hours, longest_gap_hours, mean_c, least_c,
    most_c, mean_humidity_pct, least_humidity_pct, most_humidity_pct, humid_hours, worst_30_days_from,
    worst_30_days_humidity_pct, worst_30_days_c, worst_30_days_wood_pct, class, mould_index, mould_index_peak,
    wood_pct, least_margin_k, condensing_hours, files
FROM air_log_rows WHERE chain = ?1 ORDER BY chain, seq

-- The projection, for every row of `air_log_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO air_log_rows (chain, seq, section, place, from_time, to_time, hours, missing_hours,
    longest_gap_hours, mean_c, least_c, most_c, mean_humidity_pct, least_humidity_pct, most_humidity_pct,
    humid_hours, worst_30_days_from, worst_30_days_humidity_pct, worst_30_days_c, worst_30_days_wood_pct, class,
    mould_index, mould_index_peak, wood_pct, least_margin_k, condensing_hours, files)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22, ?23,
    ?24, ?25, ?26, ?27)

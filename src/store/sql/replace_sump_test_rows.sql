-- The projection, for every row of `sump_test_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO sump_test_rows (chain, seq, fixture, on_day, poured, started_times, failed, fall_mm, fall_s,
    rise_mm, rise_s)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)

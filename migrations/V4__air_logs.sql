-- What loggers recorded of the air of a section.
--
-- A row holds what a record comes to, so that any client can compare it without the file; the hours themselves stay in the
-- attached files. The mould index is that of the class given, else of the most sensitive.

CREATE TABLE air_log_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    section TEXT NOT NULL,
    place TEXT,
    from_time TEXT NOT NULL,
    to_time TEXT NOT NULL,
    hours INTEGER NOT NULL CHECK (hours > 0),
    missing_hours INTEGER NOT NULL CHECK (missing_hours >= 0),
    longest_gap_hours INTEGER NOT NULL CHECK (longest_gap_hours >= 0),
    mean_c REAL NOT NULL,
    least_c REAL NOT NULL,
    most_c REAL NOT NULL,
    mean_humidity_pct REAL NOT NULL CHECK (mean_humidity_pct BETWEEN 0 AND 100),
    least_humidity_pct REAL NOT NULL CHECK (least_humidity_pct BETWEEN 0 AND 100),
    most_humidity_pct REAL NOT NULL CHECK (most_humidity_pct BETWEEN 0 AND 100),
    humid_hours INTEGER NOT NULL CHECK (humid_hours >= 0),
    worst_30_days_from TEXT,
    worst_30_days_humidity_pct REAL,
    worst_30_days_c REAL,
    worst_30_days_wood_pct REAL,
    class TEXT,
    mould_index REAL,
    mould_index_peak REAL,
    wood_pct REAL NOT NULL,
    least_margin_k REAL,
    condensing_hours INTEGER,
    files TEXT NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE VIEW air_logs AS
SELECT p.key AS property, a.seq, a.section, a.place, a.from_time, a.to_time, a.hours, a.missing_hours, a.longest_gap_hours,
    a.mean_c, a.least_c, a.most_c, a.mean_humidity_pct, a.least_humidity_pct, a.most_humidity_pct, a.humid_hours,
    a.worst_30_days_from, a.worst_30_days_humidity_pct, a.worst_30_days_c, a.worst_30_days_wood_pct, a.class, a.mould_index,
    a.mould_index_peak, a.wood_pct, a.least_margin_k, a.condensing_hours, a.files
FROM air_log_rows a JOIN properties p USING (chain);

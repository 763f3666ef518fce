-- Walks, sump tests, repairs, and what is due.
--
-- Duties are rows of their own so that the list of what is due over many houses is read from an index, in the order of
-- the days. A row holds what does not change with the date alone; `overview.changes_on` says when a house is computed anew.
-- What goes to a licensed person is no longer findings alone, so its column is named for what it counts.

CREATE TABLE sump_test_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    fixture TEXT NOT NULL,
    on_day TEXT NOT NULL,
    poured INTEGER NOT NULL CHECK (poured IN (0, 1)),
    started_times INTEGER,
    failed TEXT,
    fall_mm REAL CHECK (fall_mm >= 0),
    fall_s REAL CHECK (fall_s > 0),
    rise_mm REAL CHECK (rise_mm >= 0),
    rise_s REAL CHECK (rise_s > 0),
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE repair_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    on_day TEXT NOT NULL,
    findings TEXT NOT NULL,
    method TEXT NOT NULL,
    width_mm REAL CHECK (width_mm > 0),
    depth_mm REAL CHECK (depth_mm > 0),
    length_mm REAL CHECK (length_mm > 0),
    waste_pct REAL CHECK (waste_pct >= 0),
    surface_c REAL,
    class TEXT,
    viscosity_pa_s TEXT,
    ports INTEGER,
    batch TEXT,
    cost_minor INTEGER,
    currency TEXT,
    done_by TEXT,
    held TEXT,
    checked_on TEXT,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE walk_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    season TEXT NOT NULL,
    begun_on TEXT NOT NULL,
    ended_on TEXT,
    nothing_seen INTEGER NOT NULL,
    findings INTEGER NOT NULL,
    not_reached INTEGER NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE duty_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    subject TEXT NOT NULL,
    duty TEXT NOT NULL,
    title TEXT NOT NULL,
    opens_on TEXT NOT NULL,
    due_on TEXT NOT NULL,
    why TEXT NOT NULL,
    PRIMARY KEY (chain, subject, duty)
) STRICT, WITHOUT ROWID;

CREATE INDEX duty_rows_in_order ON duty_rows (due_on);

ALTER TABLE overview RENAME COLUMN call_findings TO called;

CREATE VIEW sump_tests AS
SELECT p.key AS property, t.seq, t.fixture, t.on_day, t.poured, t.started_times, t.failed, t.fall_mm, t.fall_s, t.rise_mm,
    t.rise_s
FROM sump_test_rows t JOIN properties p USING (chain);

CREATE VIEW repairs AS
SELECT p.key AS property, r.seq, r.on_day, r.findings, r.method, r.width_mm, r.depth_mm, r.length_mm, r.waste_pct,
    r.surface_c, r.class, r.viscosity_pa_s, r.ports, r.batch, r.cost_minor, r.currency, r.done_by, r.held, r.checked_on
FROM repair_rows r JOIN properties p USING (chain);

CREATE VIEW walks AS
SELECT p.key AS property, w.seq, w.season, w.begun_on, w.ended_on, w.nothing_seen, w.findings, w.not_reached
FROM walk_rows w JOIN properties p USING (chain);

CREATE VIEW duties AS
SELECT p.key AS property, d.subject, d.duty, d.title, d.opens_on, d.due_on, d.why
FROM duty_rows d JOIN properties p USING (chain);

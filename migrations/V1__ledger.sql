-- The ledger: chains of entries that are never changed, and tables computed from them for whoever reads.
--
-- `entries` and `bodies` hold the hashed bytes. A body may be destroyed once `erasures` names it; nothing else is ever
-- updated, deleted or put in again. Everything below the line is computed from them and can be rebuilt at any time.
-- The tables refer to their property in deferred fashion: within one transaction its row may be replaced.
-- Tables keyed by `chain` have a view beside them that names the property; columns carry their units.

CREATE TABLE chains (
    chain INTEGER PRIMARY KEY,
    property TEXT NOT NULL UNIQUE,
    entries INTEGER NOT NULL,
    head BLOB NOT NULL CHECK (length(head) = 32)
) STRICT;

CREATE TABLE entries (
    chain INTEGER NOT NULL REFERENCES chains(chain),
    seq INTEGER NOT NULL CHECK (seq > 0),
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    id BLOB NOT NULL CHECK (length(id) = 16),
    envelope TEXT NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE UNIQUE INDEX entries_by_id ON entries (id);

CREATE TABLE bodies (
    chain INTEGER NOT NULL,
    seq INTEGER NOT NULL,
    body TEXT NOT NULL,
    PRIMARY KEY (chain, seq),
    FOREIGN KEY (chain, seq) REFERENCES entries(chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE erasures (
    chain INTEGER NOT NULL,
    seq INTEGER NOT NULL,
    by_seq INTEGER NOT NULL,
    PRIMARY KEY (chain, seq),
    FOREIGN KEY (chain, seq) REFERENCES entries(chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER entries_no_update BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END;

CREATE TRIGGER entries_no_delete BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END;

-- REPLACE deletes without firing a delete trigger, so putting an entry in again is refused before it can.
CREATE TRIGGER entries_once BEFORE INSERT ON entries
WHEN EXISTS (SELECT 1 FROM entries WHERE chain = NEW.chain AND seq = NEW.seq)
  OR EXISTS (SELECT 1 FROM entries WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'an entry is recorded once'); END;

CREATE TRIGGER bodies_no_update BEFORE UPDATE ON bodies
BEGIN SELECT RAISE(ABORT, 'a body is never changed'); END;

CREATE TRIGGER bodies_no_delete BEFORE DELETE ON bodies
WHEN NOT EXISTS (SELECT 1 FROM erasures WHERE chain = OLD.chain AND seq = OLD.seq)
BEGIN SELECT RAISE(ABORT, 'a body goes only when an entry erases it'); END;

CREATE TRIGGER bodies_once BEFORE INSERT ON bodies
WHEN EXISTS (SELECT 1 FROM bodies WHERE chain = NEW.chain AND seq = NEW.seq)
  OR EXISTS (SELECT 1 FROM erasures WHERE chain = NEW.chain AND seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'a body is recorded once'); END;

CREATE TRIGGER erasures_no_update BEFORE UPDATE ON erasures
BEGIN SELECT RAISE(ABORT, 'an erasure is never changed'); END;

CREATE TRIGGER erasures_no_delete BEFORE DELETE ON erasures
BEGIN SELECT RAISE(ABORT, 'an erasure is never deleted'); END;

CREATE TRIGGER chains_no_delete BEFORE DELETE ON chains
BEGIN SELECT RAISE(ABORT, 'a chain is never deleted'); END;

------------------------------------------------------------------------------------------------------------------------

CREATE TABLE derived (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    outlook_version INTEGER NOT NULL,
    settings_head BLOB NOT NULL
) STRICT;

CREATE TABLE texts (
    chain INTEGER NOT NULL REFERENCES chains(chain),
    seq INTEGER NOT NULL,
    subject TEXT NOT NULL,
    on_day TEXT NOT NULL,
    kind TEXT NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE properties (
    chain INTEGER PRIMARY KEY REFERENCES chains(chain) DEFERRABLE INITIALLY DEFERRED,
    key TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    zone TEXT,
    built INTEGER,
    last_freeze TEXT,
    first_freeze TEXT,
    value_minor INTEGER,
    currency TEXT,
    added_on TEXT,
    archived_on TEXT,
    archived_why TEXT
) STRICT;

CREATE TABLE section_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    name TEXT NOT NULL,
    foundation TEXT NOT NULL,
    walls TEXT,
    area_m2 REAL CHECK (area_m2 > 0),
    place TEXT,
    PRIMARY KEY (chain, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE fixture_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    name TEXT NOT NULL,
    kind TEXT NOT NULL,
    section TEXT,
    place TEXT,
    since TEXT,
    replaced INTEGER NOT NULL,
    retired_on TEXT,
    retired_why TEXT,
    pit_mm REAL,
    rated_l_min REAL,
    height_mm REAL,
    distance_mm REAL,
    demand TEXT,
    what TEXT,
    PRIMARY KEY (chain, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE finding_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    number INTEGER NOT NULL CHECK (number > 0),
    kind TEXT NOT NULL,
    place TEXT NOT NULL,
    section TEXT,
    opened_on TEXT NOT NULL,
    closed_on TEXT,
    closed_why TEXT,
    answers TEXT NOT NULL,
    readings INTEGER NOT NULL,
    last_read_on TEXT,
    last_read TEXT,
    PRIMARY KEY (chain, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE reading_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    finding INTEGER NOT NULL,
    on_day TEXT NOT NULL,
    quantity TEXT NOT NULL,
    typed TEXT NOT NULL,
    value REAL,
    unit TEXT,
    over_mm REAL,
    resolution_mm REAL,
    gauge TEXT,
    point TEXT,
    moved INTEGER NOT NULL CHECK (moved IN (0, 1)),
    by TEXT,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE radon_test_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    section TEXT NOT NULL,
    device TEXT NOT NULL,
    typed TEXT NOT NULL,
    below INTEGER NOT NULL CHECK (below IN (0, 1)),
    pci_l REAL NOT NULL CHECK (pci_l >= 0),
    bq_m3 REAL NOT NULL CHECK (bq_m3 >= 0),
    started TEXT NOT NULL,
    ended TEXT,
    hours REAL,
    closed TEXT,
    room TEXT,
    level TEXT,
    placed_by TEXT,
    lab TEXT,
    beside INTEGER,
    valid INTEGER NOT NULL CHECK (valid IN (0, 1)),
    problems TEXT,
    file_label TEXT,
    file_line INTEGER,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE judgement_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    on_day TEXT NOT NULL,
    findings TEXT NOT NULL,
    judge TEXT NOT NULL,
    licence TEXT NOT NULL,
    says TEXT NOT NULL,
    until TEXT,
    document TEXT,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE quote_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    on_day TEXT NOT NULL,
    findings TEXT NOT NULL,
    amount_minor INTEGER NOT NULL,
    currency TEXT NOT NULL,
    offered_by TEXT NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE event_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    on_day TEXT NOT NULL,
    kind TEXT NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE note_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    on_day TEXT NOT NULL,
    subject TEXT NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE file_rows (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL,
    on_day TEXT NOT NULL,
    subject TEXT NOT NULL,
    name TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    bytes INTEGER NOT NULL,
    PRIMARY KEY (chain, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE outlook (
    chain INTEGER NOT NULL REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    subject TEXT NOT NULL,
    band INTEGER CHECK (band BETWEEN 1 AND 5),
    who TEXT,
    due_on TEXT,
    asks TEXT,
    changes_on TEXT,
    not_known TEXT,
    PRIMARY KEY (chain, subject)
) STRICT, WITHOUT ROWID;

CREATE TABLE overview (
    chain INTEGER PRIMARY KEY REFERENCES properties(chain) DEFERRABLE INITIALLY DEFERRED,
    key TEXT NOT NULL,
    archived INTEGER NOT NULL CHECK (archived IN (0, 1)),
    foundations TEXT NOT NULL,
    worst INTEGER NOT NULL CHECK (worst BETWEEN 0 AND 5),
    worst_subject TEXT,
    who TEXT,
    open_findings INTEGER NOT NULL,
    call_findings INTEGER NOT NULL,
    next_due_on TEXT,
    next_due_subject TEXT,
    next_due_asks TEXT,
    not_known TEXT NOT NULL,
    changes_on TEXT,
    as_of TEXT NOT NULL
) STRICT;

CREATE INDEX overview_in_order ON overview (archived, worst DESC, key);
CREATE INDEX overview_changes ON overview (changes_on);
CREATE INDEX overview_as_of ON overview (as_of);

CREATE VIEW sections AS
SELECT p.key AS property, s.name, s.foundation, s.walls, s.area_m2, s.place
FROM section_rows s JOIN properties p USING (chain);

CREATE VIEW fixtures AS
SELECT p.key AS property, f.name, f.kind, f.section, f.place, f.since, f.replaced, f.retired_on, f.retired_why, f.pit_mm,
    f.rated_l_min, f.height_mm, f.distance_mm, f.demand, f.what
FROM fixture_rows f JOIN properties p USING (chain);

CREATE VIEW findings AS
SELECT p.key AS property, f.number, f.kind, f.place, f.section, f.opened_on, f.closed_on, f.closed_why, f.answers,
    f.readings, f.last_read_on, f.last_read, o.band
FROM finding_rows f JOIN properties p USING (chain)
LEFT JOIN outlook o ON o.chain = f.chain AND o.subject = CAST(f.number AS TEXT);

CREATE VIEW readings AS
SELECT p.key AS property, r.seq, r.finding, r.on_day, r.quantity, r.typed, r.value, r.unit, r.over_mm, r.resolution_mm,
    r.gauge, r.point, r.moved, r.by
FROM reading_rows r JOIN properties p USING (chain);

CREATE VIEW radon_tests AS
SELECT p.key AS property, t.seq, t.section, t.device, t.typed, t.below, t.pci_l, t.bq_m3, t.started, t.ended, t.hours,
    t.closed, t.room, t.level, t.placed_by, t.lab, t.beside, t.valid, t.problems, t.file_label, t.file_line
FROM radon_test_rows t JOIN properties p USING (chain);

CREATE VIEW judgements AS
SELECT p.key AS property, j.seq, j.on_day, j.findings, j.judge, j.licence, j.says, j.until, j.document
FROM judgement_rows j JOIN properties p USING (chain);

CREATE VIEW quotes AS
SELECT p.key AS property, q.seq, q.on_day, q.findings, q.amount_minor, q.currency, q.offered_by
FROM quote_rows q JOIN properties p USING (chain);

CREATE VIEW events AS
SELECT p.key AS property, e.seq, e.on_day, e.kind FROM event_rows e JOIN properties p USING (chain);

CREATE VIEW notes AS
SELECT p.key AS property, n.seq, n.on_day, n.subject, n.text FROM note_rows n JOIN properties p USING (chain);

CREATE VIEW files AS
SELECT p.key AS property, f.seq, f.on_day, f.subject, f.name, f.sha256, f.bytes
FROM file_rows f JOIN properties p USING (chain);

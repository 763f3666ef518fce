-- Duties that people move, snooze and set; who has to be told of a visit.
--
-- A duty's row says which verdict asks for it and how long it takes, and by which day its rule would have it where that is
-- another: an occurrence is known by that day. What goes to a licensed person comes first in the list of what is due, so
-- those few rows have an index of their own. Snoozes are no entries: they belong to whoever reads the list here.

ALTER TABLE duty_rows ADD COLUMN moved_from TEXT;
ALTER TABLE duty_rows ADD COLUMN band INTEGER CHECK (band BETWEEN 1 AND 5);
ALTER TABLE duty_rows ADD COLUMN minutes INTEGER NOT NULL DEFAULT 0 CHECK (minutes >= 0);

CREATE INDEX duty_rows_called ON duty_rows (band DESC, due_on) WHERE band >= 4;

ALTER TABLE properties ADD COLUMN notice_days INTEGER CHECK (notice_days >= 0);
ALTER TABLE properties ADD COLUMN tell TEXT;

CREATE TABLE snoozes (
    property TEXT NOT NULL,
    subject TEXT NOT NULL,
    duty TEXT NOT NULL,
    occurs_on TEXT NOT NULL,
    until TEXT NOT NULL,
    PRIMARY KEY (property, subject, duty, occurs_on)
) STRICT, WITHOUT ROWID;

DROP VIEW duties;

CREATE VIEW duties AS
SELECT p.key AS property, d.subject, d.duty, d.title, d.opens_on, d.due_on, d.why, d.moved_from, d.band, d.minutes
FROM duty_rows d JOIN properties p USING (chain);

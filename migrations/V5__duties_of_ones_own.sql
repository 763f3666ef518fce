-- Duties that people move, snooze and set; who has to be told of a visit.
--
-- A duty in the list of its subject says which verdict asks for it and how long it takes, and by which day its rule would
-- have it where that is another: an occurrence is known by that day. What goes to a licensed person comes first in the list
-- of what is due, so the earliest day of those has a column and an index of its own, which holds these few alone. Snoozes
-- are no entries: they belong to whoever reads the list here.

ALTER TABLE outlook ADD COLUMN called_on TEXT;

CREATE INDEX outlook_called ON outlook (band DESC, called_on) WHERE called_on IS NOT NULL;

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
SELECT p.key AS property, o.subject, json_extract(d.value, '$.duty') AS duty, json_extract(d.value, '$.title') AS title,
    json_extract(d.value, '$.opens_on') AS opens_on, json_extract(d.value, '$.due_on') AS due_on,
    json_extract(d.value, '$.why') AS why, json_extract(d.value, '$.moved_from') AS moved_from,
    json_extract(d.value, '$.band') AS band, json_extract(d.value, '$.minutes') AS minutes
FROM outlook o JOIN properties p USING (chain), json_each(o.duties) d;

-- Duties stand with the outlook of their subject, as a list.
--
-- A row of its own for each duty, in a table with an index by day, was most of what writing a house cost. A subject's duties
-- are computed together and written together, so they are one value; the index has the earliest day of each subject, and a
-- reader that wants all duties in order merges the later ones in. The view is as it was.

DROP VIEW duties;
DROP TABLE duty_rows;

ALTER TABLE outlook ADD COLUMN first_due_on TEXT;
ALTER TABLE outlook ADD COLUMN duties TEXT CHECK (json_valid(duties));

CREATE INDEX outlook_in_order ON outlook (first_due_on) WHERE first_due_on IS NOT NULL;

CREATE VIEW duties AS
SELECT p.key AS property, o.subject, json_extract(d.value, '$.duty') AS duty, json_extract(d.value, '$.title') AS title,
    json_extract(d.value, '$.opens_on') AS opens_on, json_extract(d.value, '$.due_on') AS due_on,
    json_extract(d.value, '$.why') AS why
FROM outlook o JOIN properties p USING (chain), json_each(o.duties) d;

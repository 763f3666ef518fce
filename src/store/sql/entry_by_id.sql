-- Append and adopt: whether an entry was delivered before. Served by the unique index on id.
SELECT c.property, e.seq, e.hash FROM entries e JOIN chains c USING (chain) WHERE e.id = ?1

-- `verify`: entries that the index on id leads to wrongly, or not at all. The inner look-up goes through the index.
SELECT e.chain, e.seq FROM entries e NOT INDEXED
WHERE NOT EXISTS (SELECT 1 FROM entries i INDEXED BY entries_by_id WHERE i.id = e.id AND i.chain = e.chain AND i.seq = e.seq)

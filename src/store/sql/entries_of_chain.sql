-- The fold, history and verify: all entries of a chain in chain order. Served by the primary keys.
SELECT e.seq, e.hash, e.id, e.envelope, b.body
FROM entries e LEFT JOIN bodies b ON b.chain = e.chain AND b.seq = e.seq
WHERE e.chain = ?1 ORDER BY e.seq

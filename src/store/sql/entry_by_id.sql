-- Append: the entry that was delivered before under an id, if there is one. Served by the unique index on id.
SELECT e.chain, e.seq, e.hash, e.envelope, b.body
FROM entries e LEFT JOIN bodies b ON b.chain = e.chain AND b.seq = e.seq
WHERE e.id = ?1

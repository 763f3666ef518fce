-- `export json`: the bytes of every entry of one chain or of all, in chain order. Served by the primary keys.
SELECT e.envelope, e.hash, b.body
FROM entries e LEFT JOIN bodies b ON b.chain = e.chain AND b.seq = e.seq
WHERE e.chain BETWEEN ?1 AND ?2 ORDER BY e.chain, e.seq

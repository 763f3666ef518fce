-- `verify`: entries of no chain, bodies of no entry, and bodies missing without an erasure; each a table, chain and seq.
SELECT 'entries', e.chain, e.seq FROM entries e WHERE NOT EXISTS (SELECT 1 FROM chains c WHERE c.chain = e.chain)
UNION ALL
SELECT 'bodies', b.chain, b.seq FROM bodies b
WHERE NOT EXISTS (SELECT 1 FROM entries e WHERE e.chain = b.chain AND e.seq = b.seq)
UNION ALL
SELECT 'overview', o.chain, 0 FROM overview o WHERE NOT EXISTS (SELECT 1 FROM chains c WHERE c.chain = o.chain)

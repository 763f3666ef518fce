-- `verify`: entries and bodies that belong to nothing, and bodies that are missing without leave; each a table, chain and
-- seq. An absent body has a row in `erasures`; whether that row tells the truth is asked of the entries.
SELECT 'entries', e.chain, e.seq FROM entries e WHERE NOT EXISTS (SELECT 1 FROM chains c WHERE c.chain = e.chain)
UNION ALL
SELECT 'bodies', b.chain, b.seq FROM bodies b
WHERE NOT EXISTS (SELECT 1 FROM entries e WHERE e.chain = b.chain AND e.seq = b.seq)
UNION ALL
SELECT 'erasures', x.chain, x.seq FROM erasures x
WHERE NOT EXISTS (SELECT 1 FROM entries e WHERE e.chain = x.chain AND e.seq = x.seq)

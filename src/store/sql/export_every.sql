-- `export csv`: every entry of one chain or of all, those that were corrected, struck or destroyed too, in the order of the primary
-- key, which serves it. Strikes stand in `texts`, which has a row for each.
, strikes AS MATERIALIZED (
    SELECT x.chain, CAST(json_extract(b.body, '$.fact.entry') AS INTEGER) AS seq, max(x.seq) AS by_seq
    FROM texts x JOIN bodies b ON b.chain = x.chain AND b.seq = x.seq
    WHERE x.chain BETWEEN ?1 AND ?2 AND x.kind = 'entry-struck'
    GROUP BY 1, 2
)
SELECT p.key AS property, t.seq, json_extract(t.envelope, '$.kind') AS kind,
    json_extract(t.envelope, '$.on') AS on_day, json_extract(t.envelope, '$.recorded') AS recorded_at,
    json_extract(b.body, '$.by') AS by, json_extract(b.body, '$.note') AS note,
    coalesce(json_extract(b.body, '$.private'), 0) AS private, c.by_seq AS corrected_by, k.by_seq AS struck_by,
    x.by_seq AS erased_by, lower(hex(t.hash)) AS hash
FROM entries t JOIN properties p USING (chain)
LEFT JOIN bodies b ON b.chain = t.chain AND b.seq = t.seq
LEFT JOIN corrections c ON c.chain = t.chain AND c.seq = t.seq
LEFT JOIN strikes k ON k.chain = t.chain AND k.seq = t.seq
LEFT JOIN erasures x ON x.chain = t.chain AND x.seq = t.seq
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq

-- `export csv`: what goes with every entry, of one chain or of all: who, their words, and what corrected it, which then
-- counts. Before each question that reads a table of entries. Corrections stand in `texts`, which has a row for each; the rest is
-- served by the primary keys.
WITH corrections AS MATERIALIZED (
    SELECT x.chain, CAST(json_extract(b.body, '$.fact.entry') AS INTEGER) AS seq, max(x.seq) AS by_seq
    FROM texts x JOIN bodies b ON b.chain = x.chain AND b.seq = x.seq
    WHERE x.chain BETWEEN ?1 AND ?2 AND x.kind = 'entry-corrected'
    GROUP BY 1, 2
),
said AS NOT MATERIALIZED (
    SELECT e.chain, e.seq,
        json_extract(b.body, '$.by') AS said_by, json_extract(b.body, '$.note') AS note,
        coalesce(json_extract(b.body, '$.private'), 0) AS private, c.by_seq AS corrected_by
    FROM entries e
    LEFT JOIN corrections c ON c.chain = e.chain AND c.seq = e.seq
    LEFT JOIN bodies b ON b.chain = e.chain AND b.seq = coalesce(c.by_seq, e.seq)
)

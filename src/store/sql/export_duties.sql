-- `export csv`: duties of one chain or of all, subject by subject in the order of the primary key, which serves it.
SELECT p.key AS property, o.subject, json_extract(d.value, '$.duty') AS duty, json_extract(d.value, '$.title') AS title,
    json_extract(d.value, '$.opens_on') AS opens_on, json_extract(d.value, '$.due_on') AS due_on,
    json_extract(d.value, '$.why') AS why
FROM outlook o JOIN properties p USING (chain), json_each(o.duties) d
WHERE o.chain BETWEEN ?1 AND ?2 ORDER BY o.chain, o.subject, d.key

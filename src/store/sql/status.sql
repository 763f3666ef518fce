-- `status`: the first look, worst band first, then key. Served in order by overview_in_order, so that a limit reads no more.
SELECT o.key, p.name, o.foundations, o.worst, o.worst_subject, o.who, o.open_findings, o.next_due_on, o.next_due_subject,
    o.next_due_asks, o.not_known, o.chain,
    (SELECT count(*) FROM outlook k, json_each(k.duties) d
     WHERE k.chain = o.chain AND k.first_due_on < ?1 AND json_extract(d.value, '$.due_on') < ?1)
FROM overview o JOIN properties p ON p.chain = o.chain
WHERE o.archived = 0
ORDER BY o.worst DESC, o.key
LIMIT ?2

-- `due`: the subjects of which something falls due up to a day, the earliest first, then by house in the order they came into
-- the ledger. Served in order by outlook_in_order, so that the first screen of many thousands is read and no more.
SELECT o.first_due_on AS due_on, o.chain, o.subject, NULL AS band, o.duties, c.property, p.key, p.notice_days, p.tell
FROM outlook o JOIN properties p ON p.chain = o.chain JOIN chains c ON c.chain = o.chain
WHERE o.first_due_on <= ?1
ORDER BY o.first_due_on, o.chain, o.subject

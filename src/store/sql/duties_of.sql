-- `due`: the duties of one subject, for those after its first. Served by the primary keys.
SELECT o.duties, c.property, p.key, p.notice_days, p.tell
FROM outlook o JOIN properties p ON p.chain = o.chain JOIN chains c ON c.chain = o.chain
WHERE o.chain = ?1 AND o.subject = ?2

-- `due`: the subjects that go to a licensed person up to a day, the worst first, then as in `due`. Served in order by
-- outlook_called, which holds these few alone.
SELECT o.called_on AS due_on, o.chain, o.subject, o.band, o.duties, c.property, p.key, p.notice_days, p.tell
FROM outlook o JOIN properties p ON p.chain = o.chain JOIN chains c ON c.chain = o.chain
WHERE o.band >= 4 AND o.called_on <= ?1
ORDER BY o.band DESC, o.called_on, o.chain, o.subject

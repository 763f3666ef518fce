-- `due`: what goes to a licensed person up to a day, the worst first, then as in `due`. Served in order by
-- duty_rows_called, which holds these few alone.
SELECT p.key, d.subject, d.duty, d.title, d.opens_on, d.due_on, d.why, d.chain, d.moved_from, d.band, d.minutes,
    p.notice_days, p.tell, c.property
FROM duty_rows d JOIN properties p ON p.chain = d.chain JOIN chains c ON c.chain = d.chain
WHERE d.band >= 4 AND d.due_on <= ?1
ORDER BY d.band DESC, d.due_on, d.chain, d.subject, d.duty
LIMIT ?2

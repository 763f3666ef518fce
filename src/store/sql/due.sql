-- `due`: what falls due up to a day and does not go to a licensed person, the earliest first, then by house in the order
-- they came into the ledger. Served in order by duty_rows_in_order, so that the first screen of many thousands is read and
-- no more.
SELECT p.key, d.subject, d.duty, d.title, d.opens_on, d.due_on, d.why, d.chain, d.moved_from, d.band, d.minutes,
    p.notice_days, p.tell, c.property
FROM duty_rows d JOIN properties p ON p.chain = d.chain JOIN chains c ON c.chain = d.chain
WHERE d.due_on <= ?1 AND (d.band IS NULL OR d.band < 4)
ORDER BY d.due_on, d.chain, d.subject, d.duty
LIMIT ?2

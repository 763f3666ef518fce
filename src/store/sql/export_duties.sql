-- `export csv`: duties of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.subject, t.duty, t.title, t.opens_on, t.due_on, t.why
FROM duty_rows t JOIN properties p USING (chain) WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.subject, t.duty

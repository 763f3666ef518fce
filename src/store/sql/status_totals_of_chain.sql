-- `status`: what one property adds to the line on top, to be taken out where its row is computed anew. Served by the
-- primary key.
SELECT archived = 0, worst = 5, called, coalesce(next_due_on < ?2, 0) FROM overview WHERE chain = ?1

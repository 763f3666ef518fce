-- The projection, for the overview of a property of which only what is due next is another. Touches no index.
UPDATE overview SET next_due_on = ?2, next_due_subject = ?3, next_due_asks = ?4 WHERE chain = ?1

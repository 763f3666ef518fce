-- `remind`: a message went out, or is not worth sending any more; what it said is kept no longer. Served by the primary key.
UPDATE reminder_messages SET state = ?2, ended_at = ?3, notice = NULL WHERE id = ?1

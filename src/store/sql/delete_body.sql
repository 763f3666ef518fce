-- Append of an erasure: destroys the body; the trigger lets only erased ones go.
DELETE FROM bodies WHERE chain = ?1 AND seq = ?2

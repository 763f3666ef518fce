-- Append and adopt: where a chain ends now.
UPDATE chains SET entries = ?2, head = ?3 WHERE chain = ?1

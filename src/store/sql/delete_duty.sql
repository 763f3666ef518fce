-- The projection: a duty that a subject has no longer. Served by the primary key.
DELETE FROM duty_rows WHERE chain = ?1 AND subject = ?2 AND duty = ?3

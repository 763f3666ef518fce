-- The projection: the duties of one subject, before they are written as they stand. Served by the primary key.
DELETE FROM duty_rows WHERE chain = ?1 AND subject = ?2

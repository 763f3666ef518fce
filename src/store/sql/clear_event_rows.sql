-- The projection, when a property is projected anew: all its rows of `event_rows`. Served by the primary key.
DELETE FROM event_rows WHERE chain = ?1

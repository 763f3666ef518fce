-- The projection, when a property is projected anew: all its rows of `reading_rows`. Served by the primary key.
DELETE FROM reading_rows WHERE chain = ?1

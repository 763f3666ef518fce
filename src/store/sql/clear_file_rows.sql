-- The projection, when a property is projected anew: all its rows of `file_rows`. Served by the primary key.
DELETE FROM file_rows WHERE chain = ?1

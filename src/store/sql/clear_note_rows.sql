-- The projection, when a property is projected anew: all its rows of `note_rows`. Served by the primary key.
DELETE FROM note_rows WHERE chain = ?1

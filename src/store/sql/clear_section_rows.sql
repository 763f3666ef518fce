-- The projection, when a property is projected anew: all its rows of `section_rows`. Served by the primary key.
DELETE FROM section_rows WHERE chain = ?1

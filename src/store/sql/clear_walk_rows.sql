-- The projection, when a property is projected anew: all its rows of `walk_rows`. Served by the primary key.
DELETE FROM walk_rows WHERE chain = ?1

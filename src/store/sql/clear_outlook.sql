-- The projection, when a property is projected anew: all its rows of `outlook`. Served by the primary key.
DELETE FROM outlook WHERE chain = ?1

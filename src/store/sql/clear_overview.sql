-- The projection, when a property is projected anew: all its rows of `overview`. Served by the primary key.
DELETE FROM overview WHERE chain = ?1

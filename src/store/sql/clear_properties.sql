-- The projection, when a property is projected anew: all its rows of `properties`. Served by the primary key.
DELETE FROM properties WHERE chain = ?1

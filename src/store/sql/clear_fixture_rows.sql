-- The projection, when a property is projected anew: all its rows of `fixture_rows`. Served by the primary key.
DELETE FROM fixture_rows WHERE chain = ?1

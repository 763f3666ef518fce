-- The projection, when a property is projected anew: all its rows of `finding_rows`. Served by the primary key.
DELETE FROM finding_rows WHERE chain = ?1

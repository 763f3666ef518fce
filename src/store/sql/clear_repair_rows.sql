-- The projection, when a property is projected anew: all its rows of `repair_rows`. Served by the primary key.
DELETE FROM repair_rows WHERE chain = ?1

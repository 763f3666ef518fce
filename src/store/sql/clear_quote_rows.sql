-- The projection, when a property is projected anew: all its rows of `quote_rows`. Served by the primary key.
DELETE FROM quote_rows WHERE chain = ?1

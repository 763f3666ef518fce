-- The projection, when a property is projected anew: all its rows of `duty_rows`. Served by the primary key.
DELETE FROM duty_rows WHERE chain = ?1

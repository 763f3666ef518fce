-- The projection, when a property is projected anew: all its rows of `air_log_rows`. Served by the primary key.
DELETE FROM air_log_rows WHERE chain = ?1

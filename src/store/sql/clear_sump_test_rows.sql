-- The projection, when a property is projected anew: all its rows of `sump_test_rows`. Served by the primary key.
DELETE FROM sump_test_rows WHERE chain = ?1

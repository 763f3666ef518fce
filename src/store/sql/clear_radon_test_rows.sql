-- The projection, when a property is projected anew: all its rows of `radon_test_rows`. Served by the primary key.
DELETE FROM radon_test_rows WHERE chain = ?1

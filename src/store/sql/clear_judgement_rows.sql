-- The projection, when a property is projected anew: all its rows of `judgement_rows`. Served by the primary key.
DELETE FROM judgement_rows WHERE chain = ?1

-- The projection, when a property is projected anew: what people wrote there.
DELETE FROM texts WHERE chain = ?1

-- Everything that starts from a key. Served by the unique index on key.
SELECT c.property FROM properties p JOIN chains c USING (chain) WHERE p.key = ?1

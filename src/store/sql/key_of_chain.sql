-- Naming an entry: the key of a chain's property. Served by the primary key.
SELECT key FROM properties WHERE chain = ?1

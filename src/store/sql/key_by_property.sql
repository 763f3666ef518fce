-- Receipts and messages: the key of a property.
SELECT p.key FROM chains c JOIN properties p USING (chain) WHERE c.property = ?1

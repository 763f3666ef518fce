-- Append and adopt: a new chain.
INSERT INTO chains (chain, property, entries, head) VALUES (?1, ?2, 0, zeroblob(32))

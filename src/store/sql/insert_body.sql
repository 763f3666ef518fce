-- Append and adopt: the body of one entry.
INSERT INTO bodies (chain, seq, body) VALUES (?1, ?2, ?3)

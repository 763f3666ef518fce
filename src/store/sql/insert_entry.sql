-- Append and adopt: one entry.
INSERT INTO entries (chain, seq, hash, id, envelope) VALUES (?1, ?2, ?3, ?4, ?5)

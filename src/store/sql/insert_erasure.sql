-- Append: the entry whose body is about to be destroyed, and the one that says so.
INSERT INTO erasures (chain, seq, by_seq) VALUES (?1, ?2, ?3)

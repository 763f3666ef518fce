-- Erasure: what was destroyed leaves the write-ahead log too. Gives whether it was kept from doing so, and page counts.
PRAGMA wal_checkpoint(TRUNCATE)

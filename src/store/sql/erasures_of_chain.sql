-- `verify`: which bodies of a chain are absent, and which entry says so; 0 where the body never came here. Served by the
-- primary key.
SELECT seq, by_seq FROM erasures WHERE chain = ?1 ORDER BY seq

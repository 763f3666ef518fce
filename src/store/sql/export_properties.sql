-- `export csv`: properties of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, p.name, p.zone, p.built, p.last_freeze, p.first_freeze, p.value_minor, p.currency, p.added_on, p.archived_on, p.archived_why
FROM properties p WHERE p.chain BETWEEN ?1 AND ?2 ORDER BY p.chain

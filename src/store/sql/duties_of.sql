-- `due`: the duties of one subject, for those after its first. Served by the primary keys.
SELECT p.key, o.duties FROM outlook o JOIN properties p ON p.chain = o.chain WHERE o.chain = ?1 AND o.subject = ?2

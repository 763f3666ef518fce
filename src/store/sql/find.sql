-- `find`: every place where a text was written, newest first. A scan: texts are few beside readings.
SELECT p.key, t.seq, t.subject, t.on_day, t.kind, t.text FROM texts t JOIN properties p ON p.chain = t.chain
WHERE t.text LIKE ?1 ESCAPE '\'
ORDER BY t.on_day DESC, p.key, t.seq

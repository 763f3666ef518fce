-- The projection: a duty of which only the reason is told otherwise. Touches no index.
UPDATE duty_rows SET why = ?4 WHERE chain = ?1 AND subject = ?2 AND duty = ?3

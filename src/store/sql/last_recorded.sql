-- A calendar of what is due: when the last entry of a property was entered. Served by the primary keys.
SELECT json_extract(envelope, '$.recorded') FROM entries
WHERE chain = (SELECT chain FROM chains WHERE property = ?1)
ORDER BY seq DESC LIMIT 1

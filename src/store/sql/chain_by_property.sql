-- Everything that starts from a property identifier: its chain and head. Served by the unique index.
SELECT chain, entries, head FROM chains WHERE property = ?1

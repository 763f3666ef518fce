-- `status`: what a year's wait costs at a house as it stands on a day.
REPLACE INTO waits (chain, entries, day, outlook_version, settings_head, low, expected, high, priced, not_priced)
SELECT ?1, entries, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9 FROM chains WHERE chain = ?1 AND entries = ?10

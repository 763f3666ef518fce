-- Nearest-name hints and lists: keys in their order; ?1 = 1 includes the archived ones.
SELECT key FROM properties WHERE ?1 OR archived_on IS NULL ORDER BY key

-- Rebuilding: what the derived rows are computed with now.
INSERT OR REPLACE INTO derived (one, outlook_version, settings_head) VALUES (1, ?1, ?2)

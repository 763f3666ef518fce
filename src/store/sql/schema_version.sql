-- Opening: the last migration that was applied.
SELECT coalesce(max(version), 0) FROM refinery_schema_history

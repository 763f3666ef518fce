-- Append and adopt: the highest chain number in use.
SELECT coalesce(max(chain), -1) FROM chains

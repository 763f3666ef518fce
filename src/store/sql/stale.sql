-- `status`: properties whose rows the passing of time may have changed, or that were computed for a later day. Served by overview_changes.
SELECT c.property FROM overview o JOIN chains c USING (chain) WHERE o.changes_on <= ?1
UNION SELECT c.property FROM overview o JOIN chains c USING (chain) WHERE o.as_of > ?1

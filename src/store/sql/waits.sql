-- `status`: the first houses in its order, with what a year's wait costs where that was worked out for them as they stand. Served in
-- order by overview_in_order.
SELECT o.chain, c.property, w.low, w.expected, w.high, w.priced, w.not_priced
FROM (SELECT chain, worst, key FROM overview WHERE archived = 0 ORDER BY worst DESC, key LIMIT ?4) o
JOIN chains c ON c.chain = o.chain
LEFT JOIN waits w ON w.chain = o.chain AND w.entries = c.entries AND w.day = ?1 AND w.outlook_version = ?2 AND w.settings_head = ?3

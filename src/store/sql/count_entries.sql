-- Progress: how many entries there are, by where chains end.
SELECT coalesce(sum(entries), 0) FROM chains

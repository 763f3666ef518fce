-- verify and rebuild: every chain with where it ends, in order.
SELECT chain, property, entries, head FROM chains ORDER BY chain

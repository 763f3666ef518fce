-- Every write that failed: leaves nothing.
ROLLBACK

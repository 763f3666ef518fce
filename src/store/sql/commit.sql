-- Every write: acknowledged from here on.
COMMIT

-- The projection, for every row of `outlook` that an entry touches. Served by the primary key; the index by day is touched
-- only where the first day is another.
INSERT INTO outlook (chain, subject, band, who, due_on, asks, changes_on, not_known, first_due_on, called_on, duties)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)
ON CONFLICT (chain, subject) DO UPDATE SET band = ?3, who = ?4, due_on = ?5, asks = ?6, changes_on = ?7, not_known = ?8,
    first_due_on = ?9, called_on = ?10, duties = ?11

-- `verify`: all rows of `outlook` of one property, in the order of the primary key, which serves it.
SELECT chain, subject, band, who, due_on, asks, changes_on, not_known, first_due_on, called_on, duties
FROM outlook WHERE chain = ?1 ORDER BY chain, subject

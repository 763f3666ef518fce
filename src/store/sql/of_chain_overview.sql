-- `verify`: all rows of `overview` of one property, in the order of the primary key, which serves it.
SELECT chain, key, archived, foundations, worst, worst_subject, who, open_findings, called, next_due_on, next_due_subject, next_due_asks, not_known, changes_on, as_of FROM overview WHERE chain = ?1 ORDER BY chain

-- The projection, for every row of `overview` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO overview (chain, key, archived, foundations, worst, worst_subject, who, open_findings, called, next_due_on, next_due_subject, next_due_asks, not_known, changes_on, as_of)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)

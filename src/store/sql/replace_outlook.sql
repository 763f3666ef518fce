-- The projection, for every row of `outlook` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO outlook (chain, subject, band, who, due_on, asks, changes_on, not_known)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)

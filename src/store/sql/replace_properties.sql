-- The projection, for the row of a property that an entry touches. Served by the primary key. Not REPLACE: a key that
-- another property has must be an error, not the end of that property's row.
INSERT INTO properties (chain, key, name, zone, built, last_freeze, first_freeze, value_minor, currency, added_on, archived_on,
    archived_why, notice_days, tell)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14)
ON CONFLICT (chain) DO UPDATE SET key = ?2, name = ?3, zone = ?4, built = ?5, last_freeze = ?6, first_freeze = ?7,
    value_minor = ?8, currency = ?9, added_on = ?10, archived_on = ?11, archived_why = ?12, notice_days = ?13, tell = ?14

-- The projection, for every row of `properties` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO properties (chain, key, name, zone, built, last_freeze, first_freeze, value_minor, currency, added_on, archived_on, archived_why)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)

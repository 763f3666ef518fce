-- `verify`: all rows of `properties` of one property, in the order of the primary key, which serves it.
SELECT chain, key, name, zone, built, last_freeze, first_freeze, value_minor, currency, added_on, archived_on, archived_why,
    notice_days, tell
FROM properties WHERE chain = ?1 ORDER BY chain

-- `duty snooze`: the line of one occurrence is postponed; the last word counts. Served by the primary key.
INSERT OR REPLACE INTO snoozes (property, subject, duty, occurs_on, until) VALUES (?1, ?2, ?3, ?4, ?5)

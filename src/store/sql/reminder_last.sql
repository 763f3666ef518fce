-- `remind`: how often a channel was given an occurrence as it stands, counted from 0. Served by the primary key.
SELECT max(number) FROM reminders
WHERE channel = ?1 AND property = ?2 AND subject = ?3 AND duty = ?4 AND occurs_on = ?5 AND due_on = ?6

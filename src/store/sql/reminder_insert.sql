-- `remind`: one occurrence that a message tells of. Served by the primary key.
INSERT INTO reminders (channel, property, subject, duty, occurs_on, due_on, number, message)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)

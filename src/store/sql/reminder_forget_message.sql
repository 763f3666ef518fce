-- `remind`: a message certainly did not go out; its reminders go with it. Served by the primary key.
DELETE FROM reminder_messages WHERE id = ?1

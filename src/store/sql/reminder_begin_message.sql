-- `remind`: a message is about to go out. Served by the primary key.
INSERT INTO reminder_messages (id, channel, state, begun_at, notice) VALUES (?1, ?2, 'begun', ?3, ?4)

-- `remind`: how a channel stands now. Served by the primary key.
INSERT OR REPLACE INTO reminder_channels (name, handled_until, down_since, tries, next_try, problem)
VALUES (?1, ?2, ?3, ?4, ?5, ?6)

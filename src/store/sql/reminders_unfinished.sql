-- `remind`: the messages of a channel of which it is not known whether they went out, the earliest first. Served by
-- `reminder_messages_begun`.
SELECT id, notice FROM reminder_messages WHERE channel = ?1 AND state = 'begun' ORDER BY begun_at, id

-- Reminders: what each channel was given, what it may have been given, and which channel is down.
--
-- Rows of this ledger's reader and no entries, as snoozes are. A reminder is one occurrence, as it stood with that day, told
-- by one channel for the n-th time; its row is there before the message goes out, and so no second one is made of it. While
-- it is not known whether a message went out, all it says is kept, to be sent again as it was and under the same name.

CREATE TABLE reminder_messages (
    id TEXT NOT NULL PRIMARY KEY,
    channel TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('begun', 'sent', 'dropped')),
    begun_at TEXT NOT NULL,
    ended_at TEXT,
    notice TEXT CHECK ((state = 'begun') = (notice IS NOT NULL))
) STRICT, WITHOUT ROWID;

CREATE INDEX reminder_messages_begun ON reminder_messages (channel, begun_at) WHERE state = 'begun';

CREATE TABLE reminders (
    channel TEXT NOT NULL,
    property TEXT NOT NULL,
    subject TEXT NOT NULL,
    duty TEXT NOT NULL,
    occurs_on TEXT NOT NULL,
    due_on TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number >= 0),
    message TEXT NOT NULL REFERENCES reminder_messages(id) ON DELETE CASCADE,
    PRIMARY KEY (channel, property, subject, duty, occurs_on, due_on, number)
) STRICT, WITHOUT ROWID;

CREATE INDEX reminders_of_message ON reminders (message);

CREATE TABLE reminder_channels (
    name TEXT NOT NULL PRIMARY KEY,
    handled_until TEXT,
    down_since TEXT,
    tries INTEGER NOT NULL CHECK (tries >= 0),
    next_try TEXT,
    problem TEXT,
    CHECK ((down_since IS NULL) = (next_try IS NULL) AND (down_since IS NULL) = (problem IS NULL))
) STRICT, WITHOUT ROWID;

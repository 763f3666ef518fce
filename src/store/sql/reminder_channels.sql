-- `status`, `remind`: how the channels stand, by name. Few rows, read whole.
SELECT name, handled_until, down_since, tries, next_try, problem FROM reminder_channels ORDER BY name

-- `due`: the snoozes that still hold on a day. Few rows, read whole.
SELECT property, subject, duty, occurs_on, until FROM snoozes WHERE until > ?1

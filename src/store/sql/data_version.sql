-- Every write, once it has the writer's place: a number that changes when another connection has written.
PRAGMA data_version

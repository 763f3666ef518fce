-- Every write: takes the one writer's place before anything is read.
BEGIN IMMEDIATE

-- `status`: the line on top. One pass over the overview.
SELECT count(*), coalesce(sum(worst = 5), 0), coalesce(sum(called), 0), coalesce(sum(next_due_on < ?1), 0) FROM overview WHERE archived = 0

-- Opening: every object of the database, to be compared with ours before anything of it runs.
SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_schema ORDER BY type, name

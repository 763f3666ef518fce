-- `verify`: the day a property's rows were computed for. Served by the primary key.
SELECT as_of FROM overview WHERE chain = ?1

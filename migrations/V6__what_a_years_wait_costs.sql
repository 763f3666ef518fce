-- What a year's wait costs at a house, as `status` worked it out last.
--
-- It hangs on every reading, event and quotation of the house and on the day, so that keeping it with each entry would cost every
-- append what only the first look of a day needs. A row is good while the chain has as many entries, under the same settings and
-- rules, on that day; otherwise it is worked out anew. Amounts are computed figures in units of the ledger's currency, not money that
-- is paid.

CREATE TABLE waits (
    chain INTEGER PRIMARY KEY REFERENCES chains(chain),
    entries INTEGER NOT NULL,
    day TEXT NOT NULL,
    outlook_version INTEGER NOT NULL,
    settings_head BLOB NOT NULL CHECK (length(settings_head) = 32),
    low REAL NOT NULL,
    expected REAL NOT NULL,
    high REAL NOT NULL,
    priced INTEGER NOT NULL,
    not_priced INTEGER NOT NULL
) STRICT;

"""Works off the recurrence rules of tests/reference/recurrence.json with python-dateutil.

Prints how many seconds a round over all of them took at best, and the instants of each rule as seconds since 1970.
"""
import json
import sys
import time
from datetime import datetime, timezone
from zoneinfo import ZoneInfo

from dateutil.rrule import rrulestr

rounds = int(sys.argv[2])
rows = [row["in"] for row in json.load(open(sys.argv[1])) if row["in"]["type"] == "rrule"]
cases = [
    (
        row["rule"],
        datetime.fromisoformat(row["dtstart"]).replace(tzinfo=ZoneInfo(row["tz"])),
        datetime.fromisoformat(row["window_start"]).timestamp(),
        datetime.fromisoformat(row["window_end"]).timestamp(),
    )
    for row in rows
]


def between(rule, start, begins, ends):
    found = []
    for at in rrulestr(rule, dtstart=start):
        at = at.timestamp()
        if at >= ends:
            break
        if at >= begins:
            found.append(int(at))
    return found


best = float("inf")
for _ in range(rounds):
    began = time.perf_counter()
    answers = [between(*case) for case in cases]
    best = min(best, time.perf_counter() - began)
print(json.dumps({"seconds": best, "at": answers}))

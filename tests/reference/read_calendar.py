"""Reads a calendar with the icalendar library and prints what it holds, a JSON object a component.

A moment is printed with its offset as the calendar's own time zone gives it, not the machine's.
"""
import json
import sys

import icalendar

calendar = icalendar.Calendar.from_ical(open(sys.argv[1], "rb").read())
for component in calendar.walk():
    if component.errors:
        sys.exit(f"{component.name}: {component.errors}")
    fields = {"is": component.name}
    for name in ("UID", "SUMMARY", "DESCRIPTION", "LOCATION", "TZID"):
        if name in component:
            fields[name] = str(component[name])
    for name in ("DTSTAMP", "DTSTART", "DUE"):
        if name in component:
            fields[name] = component[name].dt.isoformat()
    print(json.dumps(fields))

//! A time zone as iCalendar tells it (RFC 5545, 3.6.5): each change of its clocks by itself, for the years that are needed.

use chrono::{DateTime, NaiveDateTime, Offset, TimeDelta, TimeZone, Utc};
use chrono_tz::{OffsetComponents, OffsetName, Tz};

use super::{Lines, wall};

/// Writes what holds from the start of the year before `first` to the end of the year after `last`.
pub(super) fn put(zone: Tz, first: i32, last: i32, out: &mut Lines) {
    let new_year = |year| Utc.with_ymd_and_hms(year, 1, 1, 0, 0, 0).earliest();
    let (Some(from), Some(until)) = (new_year(first - 1), new_year(last + 2)) else { return };
    out.put("BEGIN", "VTIMEZONE");
    out.put("TZID", zone.name());
    put_observance(zone, from, None, out);
    let mut day = from;
    while day < until {
        let next = day + TimeDelta::days(1);
        if offset(zone, day) != offset(zone, next) {
            put_observance(zone, change(zone, day, next), Some(offset(zone, day)), out);
        }
        day = next;
    }
    out.put("END", "VTIMEZONE");
}

/// The first second with the offset of `after`.
fn change(zone: Tz, mut before: DateTime<Utc>, mut after: DateTime<Utc>) -> DateTime<Utc> {
    let new = offset(zone, after);
    while (after - before).num_seconds() > 1 {
        let middle = before + TimeDelta::seconds((after - before).num_seconds() / 2);
        if offset(zone, middle) == new { after = middle } else { before = middle }
    }
    after
}

/// What holds from `at` on; `was` is the offset before, none where it held before too.
fn put_observance(zone: Tz, at: DateTime<Utc>, was: Option<i32>, out: &mut Lines) {
    let of = zone.offset_from_utc_datetime(&at.naive_utc());
    let now = of.fix().local_minus_utc();
    let was = was.unwrap_or(now);
    let kind = if of.dst_offset().is_zero() { "STANDARD" } else { "DAYLIGHT" };
    out.put("BEGIN", kind);
    // As the clock showed it that was then set.
    let begins: NaiveDateTime = at.naive_utc() + TimeDelta::seconds(i64::from(was));
    out.put("DTSTART", &wall(begins));
    out.put("TZOFFSETFROM", &written(was));
    out.put("TZOFFSETTO", &written(now));
    if let Some(name) = of.abbreviation() {
        out.put("TZNAME", name);
    }
    out.put("END", kind);
}

fn offset(zone: Tz, at: DateTime<Utc>) -> i32 {
    zone.offset_from_utc_datetime(&at.naive_utc()).fix().local_minus_utc()
}

/// `-0600`, with seconds where there are any.
fn written(seconds: i32) -> String {
    let sign = if seconds < 0 { '-' } else { '+' };
    let size = seconds.abs();
    let (hours, minutes, rest) = (size / 3600, size / 60 % 60, size % 60);
    if rest == 0 { format!("{sign}{hours:02}{minutes:02}") } else { format!("{sign}{hours:02}{minutes:02}{rest:02}") }
}

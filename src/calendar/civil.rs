//! From what the wall clock of a place shows to instants, over the hours that a change of clocks skips or repeats.
//!
//! Three ways, since the texts that rules are written in differ: [`moved_on`] (RFC 5545, 3.3.5), [`first_minute_after`]
//! and [`every_pass`] (Debian's cron, for jobs at a fixed time and for jobs that follow the clock).

use chrono::{DateTime, MappedLocalTime, NaiveDateTime, Offset, TimeDelta, TimeZone};
use chrono_tz::Tz;

/// No zone has skipped more than the day that Samoa left out in 2011.
const LONGEST_GAP: TimeDelta = TimeDelta::days(1);
/// Clocks were never moved by a part of this that matters: the time before a gap is found to the quarter hour.
const QUARTER: TimeDelta = TimeDelta::minutes(15);
const MINUTE: TimeDelta = TimeDelta::minutes(1);

/// The instant of a wall time: the first of two; one that the clock skips is moved on by what was skipped.
///
/// `None` only where the calendar of the crate ends. Source: RFC 5545, 3.3.5: a time that does not exist is read with
/// the offset in force before the gap.
pub fn moved_on(zone: Tz, wall: NaiveDateTime) -> Option<DateTime<Tz>> {
    match zone.from_local_datetime(&wall) {
        MappedLocalTime::Single(at) | MappedLocalTime::Ambiguous(at, _) => Some(at),
        MappedLocalTime::None => {
            let before = steps(wall, -QUARTER).find_map(|earlier| zone.from_local_datetime(&earlier).latest())?;
            let as_if = wall.checked_sub_offset(before.offset().fix())?;
            Some(zone.from_utc_datetime(&as_if))
        }
    }
}

/// The instant of a wall time: the first of two; for one that the clock skips the first minute after.
pub fn first_minute_after(zone: Tz, wall: NaiveDateTime) -> Option<DateTime<Tz>> {
    std::iter::once(wall).chain(steps(wall, MINUTE)).find_map(|later| match zone.from_local_datetime(&later) {
        MappedLocalTime::Single(at) | MappedLocalTime::Ambiguous(at, _) => Some(at),
        MappedLocalTime::None => None,
    })
}

/// Every instant at which the clock shows a wall time: none, one or two.
pub fn every_pass(zone: Tz, wall: NaiveDateTime) -> impl Iterator<Item = DateTime<Tz>> {
    let (first, second) = match zone.from_local_datetime(&wall) {
        MappedLocalTime::Single(at) => (Some(at), None),
        MappedLocalTime::Ambiguous(first, second) => (Some(first), Some(second)),
        MappedLocalTime::None => (None, None),
    };
    first.into_iter().chain(second)
}

/// The wall times from one on (or back), as far as a gap can reach.
fn steps(wall: NaiveDateTime, step: TimeDelta) -> impl Iterator<Item = NaiveDateTime> {
    let many = LONGEST_GAP.num_minutes() / step.num_minutes().abs();
    (1..=many).map_while(move |n| wall.checked_add_signed(step * i32::try_from(n).ok()?))
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDateTime;
    use chrono_tz::Tz;
    use chrono_tz::{America::New_York, Australia::Lord_Howe, Pacific::Apia};

    use super::{every_pass, first_minute_after, moved_on};

    fn wall(text: &str) -> NaiveDateTime {
        text.parse().unwrap()
    }

    /// Changes of clocks as the IANA zone data have them: New York 2027-03-14 02:00 and 2027-11-07 02:00 by an hour,
    /// Lord Howe 2026-10-04 02:00 by half an hour, Apia without 2011-12-30.
    #[test]
    fn gaps_and_repeats_by_each_way() {
        for (zone, at, moved, after, passes) in [
            (New_York, "2027-03-14T02:30:00", "2027-03-14T03:30:00-04:00", "2027-03-14T03:00:00-04:00", 0),
            (New_York, "2027-11-07T01:30:00", "2027-11-07T01:30:00-04:00", "2027-11-07T01:30:00-04:00", 2),
            (New_York, "2027-11-07T02:00:00", "2027-11-07T02:00:00-05:00", "2027-11-07T02:00:00-05:00", 1),
            (Lord_Howe, "2026-10-04T02:10:00", "2026-10-04T02:40:00+11:00", "2026-10-04T02:30:00+11:00", 0),
            (Apia, "2011-12-30T10:00:00", "2011-12-31T10:00:00+14:00", "2011-12-31T00:00:00+14:00", 0),
            (Tz::UTC, "2027-03-14T02:30:00", "2027-03-14T02:30:00+00:00", "2027-03-14T02:30:00+00:00", 1),
        ] {
            let at = wall(at);
            assert_eq!(moved_on(zone, at).unwrap().to_rfc3339(), moved);
            assert_eq!(first_minute_after(zone, at).unwrap().to_rfc3339(), after);
            assert_eq!(every_pass(zone, at).count(), passes, "{at}");
        }
    }
}

//! At which instants a channel is given anything: the moments of a cron text by the clock of a zone, not in quiet hours, and
//! later again where the channel could not be reached.
//!
//! A moment that was slept through is worked off as soon as somebody wakes; several that were slept through are one. A
//! moment in quiet hours waits for their end. A channel that is down is tried again after a minute, then after twice as
//! long each time, up to six hours (design rule of this program). What a change of clocks skips or repeats is decided by
//! [`CronText`]; quiet hours are what the clock on the wall shows.

use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::calendar::civil::{every_pass, first_minute_after};
use crate::calendar::cron_text::CronText;

/// After how long a channel is tried again for the first time, and the longest between two tries.
const FIRST_TRY: TimeDelta = TimeDelta::minutes(1);
const LONGEST: TimeDelta = TimeDelta::hours(6);

/// When reminders go out.
#[derive(Debug, Clone, PartialEq)]
pub struct Moments {
    pub when: CronText,
    pub zone: Tz,
    pub quiet: Option<Quiet>,
}

/// Hours of the day in which nothing is sent: from the first minute on, up to the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quiet {
    from: NaiveTime,
    until: NaiveTime,
}

/// Why a text is no quiet hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum QuietError {
    #[error("is not two times of day")]
    NotTwoTimes,
    #[error("is the whole day: nothing would ever be sent")]
    WholeDay,
}

/// Whether something is to be sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Due {
    Now,
    At(DateTime<Utc>),
    /// The cron text has no moment left.
    Never,
}

/// Up to when a channel's moments are worked off, and when it is tried again where it is down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    pub handled_until: DateTime<Utc>,
    pub next_try: Option<DateTime<Utc>>,
}

impl Moments {
    /// Whether a channel is to be given what is due now, or from when on.
    pub fn due(&self, standing: Standing, now: DateTime<Utc>) -> Due {
        let asked = standing.next_try.or_else(|| self.next_after(standing.handled_until));
        let Some(asked) = asked else { return Due::Never };
        let at = self.not_quiet(asked.max(now));
        if at <= now { Due::Now } else { Due::At(at) }
    }

    /// The first moment of the cron text after an instant, quiet or not.
    pub fn next_after(&self, after: DateTime<Utc>) -> Option<DateTime<Utc>> {
        // What a gap moves stays within a day or two of the day that the rule is about.
        let mut day = after.with_timezone(&self.zone).date_naive().checked_sub_days(Days::new(2))?;
        loop {
            day = self.when.next_day_after(day)?;
            let begins = day.and_time(NaiveTime::MIN).and_utc();
            let (from, until) = (begins.checked_sub_days(Days::new(1))?, begins.checked_add_days(Days::new(3))?);
            let found = self.when.between(self.zone, from, until).ok()?;
            if let Some(first) = found.into_iter().map(|at| at.with_timezone(&Utc)).find(|at| *at > after) {
                return Some(first);
            }
        }
    }

    /// The instant itself, or the end of the quiet hours it is in.
    pub fn not_quiet(&self, at: DateTime<Utc>) -> DateTime<Utc> {
        self.quiet.and_then(|quiet| quiet.ends(self.zone, at)).unwrap_or(at)
    }
}

impl Quiet {
    /// Reads `21:00-07:00`.
    ///
    /// Errors: no two times of day; the whole day.
    pub fn parse(text: &str) -> Result<Quiet, QuietError> {
        let time = |text: &str| NaiveTime::parse_from_str(text.trim(), "%H:%M").ok();
        let times = text.split_once('-').and_then(|(from, until)| Some((time(from)?, time(until)?)));
        let (from, until) = times.ok_or(QuietError::NotTwoTimes)?;
        // By the minute, so 00:00-23:59 leaves a minute in which everything is sent.
        if from == until { Err(QuietError::WholeDay) } else { Ok(Quiet { from, until }) }
    }

    fn holds(self, time: NaiveTime) -> bool {
        match self.from < self.until {
            true => self.from <= time && time < self.until,
            false => self.from <= time || time < self.until,
        }
    }

    /// When the quiet hours end that an instant is in; `None` where it is in none.
    fn ends(self, zone: Tz, at: DateTime<Utc>) -> Option<DateTime<Utc>> {
        let mut at = at;
        let mut moved = None;
        // The end of quiet hours may be quiet once more, in the second pass of a repeated hour.
        while self.holds(at.with_timezone(&zone).time()) {
            let wall = at.with_timezone(&zone).naive_local();
            let next_day = self.from > self.until && wall.time() >= self.from;
            let day: NaiveDate = if next_day { wall.date().succ_opt()? } else { wall.date() };
            let end = day.and_time(self.until);
            let pass = every_pass(zone, end).find(|pass| *pass > at);
            let ends = pass.or_else(|| first_minute_after(zone, end).filter(|pass| *pass > at))?;
            at = ends.with_timezone(&Utc);
            moved = Some(at);
        }
        moved
    }
}

impl std::fmt::Display for Quiet {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}-{}", self.from.format("%H:%M"), self.until.format("%H:%M"))
    }
}

/// How long a channel is left alone that could not be reached for the n-th time in a row, counted from 1.
pub fn pause(tries: u32) -> TimeDelta {
    let doubled = FIRST_TRY.checked_mul(1 << tries.saturating_sub(1).min(16)).unwrap_or(LONGEST);
    doubled.min(LONGEST)
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, TimeDelta, Utc};
    use chrono_tz::America::New_York;

    use super::{Due, Moments, Quiet, QuietError, Standing, pause};
    use crate::calendar::cron_text::CronText;

    fn moments(when: &str, quiet: Option<&str>) -> Moments {
        let quiet = quiet.map(|text| Quiet::parse(text).unwrap());
        Moments { when: CronText::parse(when).unwrap(), zone: New_York, quiet }
    }

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    fn due(moments: &Moments, handled: &str, now: &str) -> Due {
        moments.due(Standing { handled_until: at(handled), next_try: None }, at(now))
    }

    /// Clocks of New York: 2027-03-14 02:00 EST became 03:00 EDT, 2027-11-07 02:00 EDT became 01:00 EST.
    #[test]
    fn moments_are_on_the_wall_clock_and_slept_through_ones_are_one() {
        let daily = moments("0 7 * * *", None);
        assert_eq!(due(&daily, "2027-03-13T12:00:00Z", "2027-03-13T12:00:01Z"), Due::At(at("2027-03-14T11:00:00Z")));
        assert_eq!(due(&daily, "2027-03-13T12:00:00Z", "2027-03-14T10:59:59Z"), Due::At(at("2027-03-14T11:00:00Z")));
        assert_eq!(due(&daily, "2027-03-13T12:00:00Z", "2027-03-14T11:00:00Z"), Due::Now);
        assert_eq!(due(&daily, "2027-03-01T12:00:00Z", "2027-03-14T11:00:00Z"), Due::Now);
        let skipped = moments("30 2 * * *", None);
        assert_eq!(skipped.next_after(at("2027-03-14T00:00:00Z")), Some(at("2027-03-14T07:00:00Z")));
        let repeated = moments("30 1 * * *", None);
        assert_eq!(repeated.next_after(at("2027-11-07T00:00:00Z")), Some(at("2027-11-07T05:30:00Z")));
        assert_eq!(repeated.next_after(at("2027-11-07T05:30:00Z")), Some(at("2027-11-08T06:30:00Z")));
        let leap = moments("0 12 29 2 *", None);
        assert_eq!(leap.next_after(at("2028-03-01T00:00:00Z")), Some(at("2032-02-29T17:00:00Z")));
        assert_eq!(moments("0 0 30 2 *", None).next_after(at("2028-03-01T00:00:00Z")), None);
    }

    #[test]
    fn quiet_hours_wait_for_their_end() {
        let early = moments("0 5 * * *", Some("21:00-07:30"));
        // 05:00 EST is 10:00 UTC, 07:30 EST is 12:30.
        assert_eq!(due(&early, "2027-01-10T12:00:00Z", "2027-01-11T11:00:00Z"), Due::At(at("2027-01-11T12:30:00Z")));
        assert_eq!(due(&early, "2027-01-10T12:00:00Z", "2027-01-11T12:30:00Z"), Due::Now);
        // At noon it is not quiet; at 21:00 it is, though the moment has long come.
        let noon = moments("0 12 * * *", Some("21:00-07:30"));
        assert_eq!(due(&noon, "2027-01-10T00:00:00Z", "2027-01-11T02:00:00Z"), Due::At(at("2027-01-11T12:30:00Z")));
        assert_eq!(due(&noon, "2027-01-10T00:00:00Z", "2027-01-11T01:59:00Z"), Due::Now);
        // The end is shown twice when clocks go back (05:30 and 06:30 UTC), and is skipped when they go ahead.
        let night = moments("0 0 * * *", Some("00:00-01:30"));
        assert_eq!(night.not_quiet(at("2027-11-07T04:10:00Z")), at("2027-11-07T05:30:00Z"));
        assert_eq!(night.not_quiet(at("2027-11-07T06:10:00Z")), at("2027-11-07T06:30:00Z"));
        let skipped = moments("0 0 * * *", Some("00:00-02:30"));
        assert_eq!(skipped.not_quiet(at("2027-03-14T06:00:00Z")), at("2027-03-14T07:00:00Z"));
    }

    #[test]
    fn a_channel_that_is_down_waits_for_its_next_try() {
        let daily = moments("0 7 * * *", None);
        let down = Standing { handled_until: at("2027-01-10T12:00:00Z"), next_try: Some(at("2027-01-10T12:04:00Z")) };
        assert_eq!(daily.due(down, at("2027-01-10T12:03:59Z")), Due::At(at("2027-01-10T12:04:00Z")));
        assert_eq!(daily.due(down, at("2027-01-10T12:04:00Z")), Due::Now);
        let minutes = |tries| pause(tries).num_minutes();
        assert_eq!([1, 2, 3, 9, 10, 4_000_000_000].map(minutes), [1, 2, 4, 256, 360, 360]);
        assert_eq!(pause(0), TimeDelta::minutes(1));
    }

    #[test]
    fn what_is_no_quiet_hours() {
        for (text, error) in [
            ("21:00", QuietError::NotTwoTimes),
            ("9pm-7am", QuietError::NotTwoTimes),
            ("24:00-07:00", QuietError::NotTwoTimes),
            ("00:00-00:00", QuietError::WholeDay),
            ("07:00-07:00", QuietError::WholeDay),
        ] {
            assert_eq!(Quiet::parse(text), Err(error), "{text}");
        }
        assert_eq!(Quiet::parse("21:00-07:30").unwrap().to_string(), "21:00-07:30");
    }
}

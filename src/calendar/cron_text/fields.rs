//! The five fields: what stands in them, and what they stand for.

use std::fmt;

/// What a cron text has that Debian's cron does not take.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CronError {
    #[error("it has {given} {}, not five", if *.given == 1 { "field" } else { "fields" })]
    FieldCount { given: usize },
    #[error("`{given}` is not one of its macros")]
    UnknownMacro { given: String },
    #[error("`{given}` is not a {field}")]
    NotAValue { field: CronField, given: String },
    #[error("`{given}` is outside {least} to {most}, for the {field}")]
    Outside { field: CronField, given: String, least: u8, most: u8 },
    #[error("`{given}` falls, for the {field}")]
    Falling { field: CronField, given: String },
    #[error("`{given}` has a step and no range, for the {field}")]
    StepWithoutRange { field: CronField, given: String },
    #[error("`{given}` has no step of 1 or more behind its stroke, for the {field}")]
    NoStep { field: CronField, given: String },
    #[error("it cannot be worked off")]
    Beyond,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CronField {
    Minute,
    Hour,
    Day,
    Month,
    Weekday,
}

use CronField as F;

const MACROS: [(&str, &str); 7] = [
    ("@yearly", "0 0 1 1 *"),
    ("@annually", "0 0 1 1 *"),
    ("@monthly", "0 0 1 * *"),
    ("@weekly", "0 0 * * 0"),
    ("@daily", "0 0 * * *"),
    ("@midnight", "0 0 * * *"),
    ("@hourly", "0 * * * *"),
];

/// The macros, as they are typed.
pub fn macros() -> impl Iterator<Item = &'static str> {
    MACROS.iter().map(|(word, _)| *word)
}

/// What the fields stand for; bit n is value n.
pub(super) struct Fields {
    minute: Field,
    hour: Field,
    day: Field,
    month: Field,
    weekday: Field,
}

#[derive(Clone, Copy)]
struct Field {
    values: u64,
    begins_with_star: bool,
}

impl Fields {
    pub(super) fn parse(text: &str) -> Result<Fields, CronError> {
        let text = text.trim_matches(|c: char| c.is_ascii_whitespace());
        let known = MACROS.iter().find(|(word, _)| *word == text).map(|(_, fields)| *fields);
        if known.is_none() && text.starts_with('@') {
            return Err(CronError::UnknownMacro { given: text.to_owned() });
        }
        let fields: Vec<&str> = known.unwrap_or(text).split_ascii_whitespace().collect();
        let [minute, hour, day, month, weekday] = fields[..] else {
            return Err(CronError::FieldCount { given: fields.len() });
        };
        let mut weekday = F::Weekday.parse(weekday)?;
        // Sunday by either of its numbers.
        weekday.values = (weekday.values | weekday.values >> 7) & 0x7f;
        Ok(Fields {
            minute: F::Minute.parse(minute)?,
            hour: F::Hour.parse(hour)?,
            day: F::Day.parse(day)?,
            month: F::Month.parse(month)?,
            weekday,
        })
    }

    pub(super) fn follows_clock(&self) -> bool {
        self.minute.begins_with_star || self.hour.begins_with_star
    }

    /// In the terms of the `cron` crate: seconds first, 1 for Sunday; two texts where either day field is enough.
    pub(super) fn schedules(&self) -> Vec<String> {
        let [minute, hour, month] = [self.minute.list(0), self.hour.list(0), self.month.list(0)];
        let [day, weekday] = [self.day.list(0), self.weekday.list(1)];
        let text = |day: &str, weekday: &str| format!("0 {minute} {hour} {day} {month} {weekday}");
        if self.day.begins_with_star || self.weekday.begins_with_star {
            vec![text(&day, &weekday)]
        } else {
            vec![text(&day, "*"), text("*", &weekday)]
        }
    }
}

impl Field {
    fn list(self, moved_by: u32) -> String {
        let values = (0..u64::BITS).filter(|n| self.values >> n & 1 == 1);
        values.map(|n| (n + moved_by).to_string()).collect::<Vec<_>>().join(",")
    }
}

impl CronField {
    fn ends(self) -> (u8, u8) {
        match self {
            F::Minute => (0, 59),
            F::Hour => (0, 23),
            F::Day => (1, 31),
            F::Month => (1, 12),
            F::Weekday => (0, 7),
        }
    }

    /// Names in the order of their numbers, from the least on.
    fn names(self) -> &'static [&'static str] {
        match self {
            F::Month => &["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"],
            F::Weekday => &["sun", "mon", "tue", "wed", "thu", "fri", "sat"],
            _ => &[],
        }
    }

    fn parse(self, text: &str) -> Result<Field, CronError> {
        let (least, most) = self.ends();
        let mut values = 0;
        for part in text.split(',') {
            let behind_star = part.strip_prefix('*');
            // Cron passes over whatever else stands behind a star, other parts too.
            if behind_star.is_some_and(|rest| !rest.is_empty() && !rest.starts_with('/')) {
                values |= bits(least, most, 1);
                break;
            }
            let (range, step) = part.split_once('/').map_or((part, None), |(range, step)| (range, Some(step)));
            let given = || part.to_owned();
            let (first, last) = match range.split_once('-') {
                _ if range == "*" => (least, most),
                Some((first, last)) => (self.number(first)?, self.number(last)?),
                None if step.is_some() => return Err(CronError::StepWithoutRange { field: self, given: given() }),
                None => (self.number(range)?, self.number(range)?),
            };
            let step =
                step.map_or(Some(1), step_of).ok_or_else(|| CronError::NoStep { field: self, given: given() })?;
            if first > last {
                return Err(CronError::Falling { field: self, given: given() });
            }
            values |= bits(first, last, step);
        }
        Ok(Field { values, begins_with_star: text.starts_with('*') })
    }

    fn number(self, text: &str) -> Result<u8, CronError> {
        let (least, most) = self.ends();
        if !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit()) {
            let number = text.parse().ok().filter(|number| (least..=most).contains(number));
            return number.ok_or_else(|| CronError::Outside { field: self, given: text.to_owned(), least, most });
        }
        let place = self.names().iter().position(|name| name.eq_ignore_ascii_case(text));
        let number = place.and_then(|place| u8::try_from(place).ok()).map(|place| place + least);
        number.ok_or_else(|| CronError::NotAValue { field: self, given: text.to_owned() })
    }
}

impl fmt::Display for CronField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            F::Minute => "minute",
            F::Hour => "hour",
            F::Day => "day of the month",
            F::Month => "month",
            F::Weekday => "day of the week",
        })
    }
}

/// A step of 1 or more; one that cannot be held is over every top.
fn step_of(text: &str) -> Option<usize> {
    let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    digits.then(|| text.parse().unwrap_or(usize::MAX)).filter(|step| *step > 0)
}

fn bits(first: u8, last: u8, step: usize) -> u64 {
    (first..=last).step_by(step).fold(0, |bits, n| bits | 1 << n)
}

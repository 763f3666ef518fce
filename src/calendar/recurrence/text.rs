//! RFC 5545 recurrence text (3.3.10) to a rule, by its own grammar and limits.
//!
//! Nothing is repaired: what the text of the standard does not allow is told, with the part it stands in. `UNTIL` is an
//! instant in UTC, as the standard asks where the start has a zone; second 60 is read as 59 (3.3.5, for clocks without
//! leap seconds).

use chrono::{DateTime, NaiveDateTime, Utc, Weekday};

use super::{By, End, Frequency, NthWeekday, Recurrence};

/// The parts of a rule.
pub(crate) const PARTS: [&str; 14] = [
    "FREQ",
    "INTERVAL",
    "COUNT",
    "UNTIL",
    "WKST",
    "BYSECOND",
    "BYMINUTE",
    "BYHOUR",
    "BYDAY",
    "BYMONTHDAY",
    "BYYEARDAY",
    "BYWEEKNO",
    "BYMONTH",
    "BYSETPOS",
];
/// Intervals and counts beyond this are beyond every span that is reckoned.
const ENOUGH: u64 = 1 << 40;

/// What a recurrence text has that RFC 5545 does not allow.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RecurrenceError {
    #[error("`{part}` is not a part of a recurrence rule: NAME=value")]
    NotAPart { part: String },
    #[error("`{part}` is not a part that RFC 5545 knows")]
    UnknownPart { part: String },
    #[error("`{part}` stands twice")]
    Twice { part: String },
    #[error("`FREQ` is missing")]
    NoFrequency,
    #[error("`{given}` is not a frequency")]
    UnknownFrequency { given: String },
    #[error("`COUNT` and `UNTIL` do not go together")]
    CountAndUntil,
    #[error("`{given}` is not a whole number, in `{part}`")]
    NotWhole { part: &'static str, given: String },
    #[error("`{given}` is outside {least} to {most}, in `{part}`")]
    Outside { part: &'static str, given: String, least: u16, most: u16 },
    #[error("`INTERVAL` is 0")]
    NoInterval,
    #[error("`{given}` is not a day of the week, in `{part}`")]
    NotAWeekday { part: &'static str, given: String },
    #[error("`{given}` is not a date and time, in `UNTIL`")]
    NotATime { given: String },
    #[error("`{given}` is not in UTC, in `UNTIL`")]
    NotUtc { given: String },
    #[error("`{given}` has a number, which `BYDAY` does not take here")]
    NumberedDay { given: String },
    #[error("`{part}` does not go with `FREQ={frequency}`")]
    NotWith { part: &'static str, frequency: &'static str },
    #[error("`BYSETPOS` stands without another part that begins with `BY`")]
    SetPosAlone,
}

use RecurrenceError as E;

pub(super) fn parse(text: &str) -> Result<Recurrence, RecurrenceError> {
    let mut parts: Vec<(String, String)> = Vec::new();
    for part in text.split(';') {
        let (name, value) = part.split_once('=').ok_or_else(|| E::NotAPart { part: part.to_owned() })?;
        let (name, value) = (name.to_ascii_uppercase(), value.to_ascii_uppercase());
        if !PARTS.contains(&name.as_str()) {
            return Err(E::UnknownPart { part: name });
        }
        if parts.iter().any(|(earlier, _)| *earlier == name) {
            return Err(E::Twice { part: name });
        }
        parts.push((name, value));
    }
    let value = |name: &str| parts.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str());
    let given = value("FREQ").ok_or(E::NoFrequency)?;
    let frequency = Frequency::from_word(given).ok_or_else(|| E::UnknownFrequency { given: given.to_owned() })?;
    let (mut interval, mut week_start, mut end, mut by) = (1, Weekday::Mon, End::Never, By::default());
    for (name, value) in &parts {
        match name.as_str() {
            "INTERVAL" => interval = whole("INTERVAL", value)?,
            "COUNT" => end = End::After(whole("COUNT", value)?),
            "UNTIL" => end = End::Until(until(value)?),
            "WKST" => week_start = weekday(value).ok_or_else(|| not_a_weekday("WKST", value))?,
            "BYSECOND" => {
                by.second = numbers("BYSECOND", value, 0, 60)?.iter().map(|second| *second.min(&59)).collect()
            }
            "BYMINUTE" => by.minute = numbers("BYMINUTE", value, 0, 59)?,
            "BYHOUR" => by.hour = numbers("BYHOUR", value, 0, 23)?,
            "BYDAY" => by.day = value.split(',').map(nth_weekday).collect::<Result<_, _>>()?,
            "BYMONTHDAY" => by.month_day = numbers("BYMONTHDAY", value, 1, 31)?,
            "BYYEARDAY" => by.year_day = numbers("BYYEARDAY", value, 1, 366)?,
            "BYWEEKNO" => by.week = numbers("BYWEEKNO", value, 1, 53)?,
            "BYMONTH" => by.month = numbers("BYMONTH", value, 1, 12)?,
            "BYSETPOS" => by.position = numbers("BYSETPOS", value, 1, 366)?,
            _ => {}
        }
    }
    if value("COUNT").is_some() && value("UNTIL").is_some() {
        return Err(E::CountAndUntil);
    }
    if interval == 0 {
        return Err(E::NoInterval);
    }
    by.sort();
    together(frequency, &by)?;
    Ok(Recurrence { frequency, interval, week_start, end, by })
}

/// What the standard forbids between parts.
fn together(frequency: Frequency, by: &By) -> Result<(), RecurrenceError> {
    use Frequency as F;
    let not_with = |part| E::NotWith { part, frequency: frequency.word() };
    if !by.week.is_empty() && frequency != F::Yearly {
        return Err(not_with("BYWEEKNO"));
    }
    if !by.year_day.is_empty() && matches!(frequency, F::Daily | F::Weekly | F::Monthly) {
        return Err(not_with("BYYEARDAY"));
    }
    if !by.month_day.is_empty() && frequency == F::Weekly {
        return Err(not_with("BYMONTHDAY"));
    }
    let takes_numbers = frequency == F::Monthly || frequency == F::Yearly && by.week.is_empty();
    if let Some(numbered) = by.day.iter().find(|day| day.nth.is_some()).filter(|_| !takes_numbers) {
        return Err(E::NumberedDay { given: numbered.to_string() });
    }
    if !by.position.is_empty() && by.is_empty_but_position() {
        return Err(E::SetPosAlone);
    }
    Ok(())
}

fn whole(part: &'static str, value: &str) -> Result<u64, RecurrenceError> {
    let digits = !value.is_empty() && value.bytes().all(|byte| byte.is_ascii_digit());
    let not_whole = || E::NotWhole { part, given: value.to_owned() };
    digits.then(|| value.parse().unwrap_or(ENOUGH).min(ENOUGH)).ok_or_else(not_whole)
}

/// Numbers between commas; signed where 0 is not among them, then bounded by their size.
fn numbers(part: &'static str, value: &str, least: u16, most: u16) -> Result<Vec<i16>, RecurrenceError> {
    let signed = !matches!(part, "BYSECOND" | "BYMINUTE" | "BYHOUR" | "BYMONTH");
    let number = |given: &str| {
        let digits = if signed { given.strip_prefix(['+', '-']).unwrap_or(given) } else { given };
        if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
            return Err(E::NotWhole { part, given: given.to_owned() });
        }
        let size = digits.parse().ok().filter(|size| (least..=most).contains(size));
        let size = size.and_then(|size: u16| i16::try_from(size).ok());
        let outside = || E::Outside { part, given: given.to_owned(), least, most };
        size.map(|size| if given.starts_with('-') { -size } else { size }).ok_or_else(outside)
    };
    value.split(',').map(number).collect()
}

/// `TU`, `2TU`, `-1SU`.
fn nth_weekday(given: &str) -> Result<NthWeekday, RecurrenceError> {
    let refused = || not_a_weekday("BYDAY", given);
    let (number, day) = given.len().checked_sub(2).and_then(|at| given.split_at_checked(at)).ok_or_else(refused)?;
    let day = weekday(day).ok_or_else(refused)?;
    if number.is_empty() {
        return Ok(NthWeekday { nth: None, day });
    }
    let digits = number.strip_prefix(['+', '-']).unwrap_or(number);
    if !(1..=2).contains(&digits.len()) || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(refused());
    }
    let size: i16 = digits.parse().map_err(|_| refused())?;
    if !(1..=53).contains(&size) {
        return Err(E::Outside { part: "BYDAY", given: given.to_owned(), least: 1, most: 53 });
    }
    Ok(NthWeekday { nth: Some(if number.starts_with('-') { -size } else { size }), day })
}

fn weekday(word: &str) -> Option<Weekday> {
    super::WEEKDAYS.iter().find(|(known, _)| *known == word).map(|(_, day)| *day)
}

fn not_a_weekday(part: &'static str, given: &str) -> RecurrenceError {
    E::NotAWeekday { part, given: given.to_owned() }
}

/// `20260301T090000Z`; a date or a local time is well formed, but not what a start in a zone goes with.
fn until(given: &str) -> Result<DateTime<Utc>, RecurrenceError> {
    let not_a_time = || E::NotATime { given: given.to_owned() };
    let (local, utc) = given.strip_suffix('Z').map_or((given, false), |local| (local, true));
    let (day, time) = match local.split_once('T') {
        Some((day, time)) => (day, time),
        None if !utc => (local, "000000"),
        None => return Err(not_a_time()),
    };
    let digits = |text: &str, many: usize| text.len() == many && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(day, 8) || !digits(time, 6) {
        return Err(not_a_time());
    }
    let read = NaiveDateTime::parse_from_str(&format!("{day}{time}"), "%Y%m%d%H%M%S").map_err(|_| not_a_time())?;
    if utc { Ok(read.and_utc()) } else { Err(E::NotUtc { given: given.to_owned() }) }
}

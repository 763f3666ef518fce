//! Which input a refusal is about.

use crate::ledger::problem::Problem;
use crate::ledger::when::WhenError;

/// The command line as it was typed, without the program's name and the ledger's path.
pub fn typed() -> String {
    let mut words: Vec<String> = Vec::new();
    let mut skip = false;
    for word in std::env::args().skip(1) {
        if skip {
            skip = false;
        } else if word == "--ledger" || word == "--today" {
            skip = true;
        } else if word.contains(' ') || word.is_empty() {
            words.push(format!("\"{word}\""));
        } else {
            words.push(word);
        }
    }
    let all = words.join(" ");
    if all.chars().count() > 160 { all.chars().take(159).chain(['…']).collect() } else { all }
}

/// What was typed after a flag, or with it after `=`.
pub fn after(flag: &str) -> String {
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        if word == flag {
            return words.next().unwrap_or_default();
        }
        if let Some(value) = word.strip_prefix(flag).and_then(|rest| rest.strip_prefix('=')) {
            return value.to_owned();
        }
    }
    String::new()
}

/// The part of it that a problem is about.
pub fn of(problem: &Problem) -> String {
    use Problem as P;
    match problem {
        P::NotAQuantity { field, typed, .. } | P::NotMoney { field, typed, .. } => format!("{field} {typed:?}"),
        P::NotAWord { field, typed, .. } => format!("{field} {typed}"),
        P::NotADate { field, error } => {
            let (WhenError::NotADate(typed) | WhenError::NotInCalendar(typed) | WhenError::OutOfRange(typed)) = error;
            format!("{field} {typed}")
        }
        P::NotAMonthDay { field, typed } => format!("{field} {typed}"),
        P::NotAClimateZone { typed } => format!("--climate-zone {typed}"),
        P::UnknownZone { zone } => format!("--zone {zone}"),
        P::YearOutOfRange { year, .. } => format!("--built {year}"),
        P::InFuture { on, .. } | P::LaterToday { on, .. } | P::BeforeBuilt { on, .. } | P::BeforeOpened { on, .. } => {
            on.to_string()
        }
        P::EndsInFuture { ended } => ended.to_string(),
        P::EndedBeforeStart { started, ended } => format!("--started {started} --ended {ended}"),
        P::NoDuration { started } => format!("--started {started}"),
        P::Absurd { field, typed, .. } | P::Zero { field, typed } | P::TooSmall { field, typed, .. } => {
            format!("{field} {typed:?}")
        }
        P::TenTimesTheLast { now, .. } => now.clone(),
        P::HoldsNoDay { until, .. } => format!("--until {until}"),
        P::KeyTaken { key } => key.clone(),
        P::NoSection { name } | P::NoFixture { name } | P::NameTaken { name, .. } => name.to_string(),
        P::DayPassed { field, day, .. } => format!("{field} {day}"),
        P::WarrantyBefore { until, .. } => format!("--warranty-until {until}"),
        P::NoticeTooLong { .. } => format!("--notice {}", after("--notice")),
        P::MinutesOutOfRange { minutes, .. } => format!("--minutes {minutes}"),
        P::NothingSet { duty } | P::SkippedAlready { duty, .. } => duty.clone(),
        P::NoSetting { name, .. } => name.clone(),
        P::BadSettingValue { value, .. } => value.clone(),
        _ => typed(),
    }
}

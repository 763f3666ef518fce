//! When a rule for when comes round, between two instants.

use super::calculation::{Calculation, Group, Output};
use super::fault::{Fact, Fault};
use super::input::{Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::calendar::cron_text::CronText;
use crate::calendar::recurrence::Recurrence;
use crate::trade::occurrence;

pub static OCCURRENCES: Calculation = Calculation {
    name: "occurrences",
    group: Group::Time,
    does: "when a recurrence rule or cron text comes round",
    inputs: &[
        Input::new("rule", Kind::Text, "recurrence text (what follows `RRULE:`), five fields of cron text, or a macro"),
        Input::optional("start", Kind::WallTime, "when a recurrence rule begins, not a field of cron text"),
        Input::new("zone", Kind::Zone, "whose clock it goes by"),
        Input::new("from", Kind::Instant, "from then on"),
        Input::new("until", Kind::Instant, "before then"),
    ],
    results: &[Output::new("at", "each instant once, in order, with its offset")],
    rules: &[&occurrence::RECURRENCE, &occurrence::CRON],
    example: concat!(
        r#"--rule "FREQ=MONTHLY;BYDAY=1SA" --start 2026-03-07T09:00:00 --zone America/Chicago "#,
        "--from 2026-03-01T00:00:00-06:00 --until 2026-09-01T00:00:00-05:00"
    ),
    run: occurrences,
};

/// Whether a rule for when is about days that no year has; `None` where it does not read.
pub fn never_comes(text: &str) -> Option<bool> {
    if text.contains('=') {
        return Recurrence::parse(text).ok().map(|rule| rule.never_comes());
    }
    let first = chrono::NaiveDate::from_ymd_opt(2000, 1, 1)?;
    CronText::parse(text).ok().map(|rule| rule.next_day_after(first).is_none())
}

fn occurrences(of: &Inputs) -> Result<Outcome, Fault> {
    let (text, zone) = (of.text("rule")?, of.zone("zone")?);
    let [from, until] = [of.instant("from")?, of.instant("until")?];
    let start = of.wall_time_if_given("start");
    let refused = |fact| Fault::new("rule", fact);
    if text.trim().is_empty() {
        let wanted = "recurrence text such as `FREQ=MONTHLY;BYDAY=1SA`, or cron text such as `0 9 1 * *`".to_owned();
        return Err(refused(Fact::Missing { wanted }));
    }
    let too_much = |error| Fault::new("until", Fact::TooMuch(error));
    let ordered =
        || if until < from { Err(Fault::new("until", Fact::Together("`until` lies before `from`"))) } else { Ok(()) };
    // No cron text has an equals sign, and no recurrence rule is without one.
    let at = if text.contains('=') {
        let rule = Recurrence::parse(text).map_err(|error| refused(Fact::Recurrence(error)))?;
        let wanted = Kind::WallTime.described();
        let start = start.ok_or_else(|| Fault::new("start", Fact::Missing { wanted }))?;
        ordered()?;
        rule.between(start, zone, from, until)
    } else {
        let rule = CronText::parse(text).map_err(|error| refused(Fact::Cron(error)))?;
        if start.is_some() {
            return Err(Fault::new("start", Fact::Together("`start` does not go with cron text, which has none")));
        }
        ordered()?;
        rule.between(zone, from, until)
    };
    let at: Vec<String> = at.map_err(too_much)?.iter().map(|at| at.to_rfc3339()).collect();
    Ok(Outcome::new().with("at", at))
}

//! The rules behind rules for when: on whose word recurrence text and cron text are read, and usual freeze dates taken.
//!
//! What they say is done in `calendar::recurrence`, `calendar::cron_text` and `calendar::climate`.

use super::verdict::{Rule, Standing};
use crate::calendar::climate;

pub static RECURRENCE: Rule = Rule {
    name: "recurrence",
    says: "recurrence text by its grammar and limits; steps on the wall clock; a wall time that does not exist is moved on by the \
           gap, one that occurs twice is the first; the start counts only if the rule gives it; UNTIL is in UTC",
    source: "RFC 5545 (2009), 3.3.10 and 3.3.5",
    standing: Standing::SecondHand,
    scope: "starts from 1900 and spans from 1970, to 2100; that the start counts only if the rule gives it is a choice: the standard \
            leaves other starts undefined",
    variants: &[],
};

pub static CRON: Rule = Rule {
    name: "cron-text",
    says: "five fields or a macro; both day fields together if one begins with *, else either; a job at a fixed time runs once in a \
           repeated hour and at the first minute after a skipped one, a job whose minute or hour begins with * follows the clock",
    source: "crontab(5) and cron(8) of Debian's cron 3.0pl1",
    standing: Standing::SecondHand,
    scope: "from 1970 to 2100; five fields, no seconds, no command behind them",
    variants: &[],
};

pub static FREEZE_DATES: Rule = Rule {
    name: "freeze-dates",
    says: "where a property's own are not given, the usual days of the last and the first freeze are those of its climate zone: 02-19 \
           and 12-06 in 2, 03-25 and 11-11 in 3, 04-13 and 10-25 in 4, 04-27 and 10-13 in 5, 05-08 and 10-01 in 6, 05-17 and 09-25 in \
           7, 05-20 and 09-07 in 8; in 1 a freeze is too rare to have one",
    source: climate::SOURCE,
    standing: Standing::Derived,
    scope: "the United States, by zones of the International Energy Conservation Code as before 2021; within a zone places lie weeks \
            apart, most of all in 2 and 3",
    variants: &[],
};

#[cfg(test)]
mod tests {
    use super::FREEZE_DATES;
    use crate::calendar::climate::{ClimateZone, STANDING};

    #[test]
    fn the_rule_says_what_is_taken() {
        for number in 2..=8 {
            let zone = ClimateZone::parse(&number.to_string()).unwrap();
            let (last, first) = (zone.last_freeze().unwrap(), zone.first_freeze().unwrap());
            let says = format!("{:02}-{:02} and {:02}-{:02} in {number}", last.0, last.1, first.0, first.1);
            assert!(FREEZE_DATES.says.contains(&says), "{says}");
        }
        assert_eq!(FREEZE_DATES.standing.words(), STANDING);
    }
}

//! The rules behind a rule for when: on whose word recurrence text and cron text are read.
//!
//! What they say is done in `calendar::recurrence` and `calendar::cron_text`.

use super::verdict::{Rule, Standing};

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

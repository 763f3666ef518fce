//! What is asked for next of a crack, and the questions that stay open.

use chrono::NaiveDate;

use super::{CATEGORY_2_TO, Crack, Width, is_of_unknown_make, may_hold_earth};
use crate::trade::repaired::look_at_filling;
use crate::trade::series::Movement;
use crate::trade::told;
use crate::trade::verdict::{Band, Step, Verdict};
use crate::trade::words::{Answer, Runs};

pub(super) fn next(verdict: &Verdict, of: &Crack, widest: Option<&Width>, movement: &Movement) -> Vec<Step> {
    let read_by = told::day(of.next_round);
    let since = verdict.at_once_since();
    let mut steps = match verdict.band {
        Some(Band::Urgent) => vec![
            Step::new("keep people out, and have a licensed structural engineer look today").at_once(since),
            Step::recorded_as("record what the engineer concludes", "judgement-given"),
        ],
        Some(Band::Call) => vec![judged_first().at_once(since), read_monthly("it", movement, of.opened)],
        Some(Band::Mend) => {
            let limit = movement.not_ruled_out_mm.map_or_else(|| "what is not ruled out".to_owned(), told::mm);
            vec![
                Step::recorded_as(
                    "read and photograph it before filling, since filling hides the record",
                    "reading-added",
                ),
                Step::new(format!(
                    "fill it rigidly only if the filler bears growth of {limit} a year; else use a flexible one"
                )),
                Step::recorded_as("ask for a quote, or record what was done", "quote-given"),
                Step::recorded_as(
                    format!("until it is filled: read its width again at the same mark by {read_by}"),
                    "reading-added",
                )
                .by(of.next_round),
            ]
        }
        Some(Band::Watch | Band::Note) if of.filled.is_some() => vec![look_at_filling()],
        Some(Band::Note) => vec![Step::recorded_as("measure it again at the next walk", "reading-added")],
        Some(Band::Watch) | None => {
            let read = format!("read its width again at the same mark by {read_by}");
            vec![Step::recorded_as(read, "reading-added").by(of.next_round)]
        }
    };
    steps.extend(questions(of, widest));
    steps
}

/// Said alike of cracks and of walls.
pub(in crate::trade) fn judged_first() -> Step {
    let judged = "a judgement by a licensed structural engineer, before anything is done to it";
    Step::recorded_as(judged, "judgement-given")
}

/// Said alike of cracks and of walls, while an engineer is waited for.
pub(in crate::trade) fn read_monthly(what: &str, movement: &Movement, opened: NaiveDate) -> Step {
    let day = movement.next_month(opened);
    let says =
        format!("until then: read {what} monthly, next by {}, and keep water away from the wall", told::day(day));
    Step::recorded_as(says, "reading-added").by(day)
}

/// Said alike of cracks and of walls.
pub(in crate::trade) fn holds_earth() -> Step {
    let says = "find out whether the wall holds earth; until that is known it is taken that it does";
    Step::answered_by(says, "--retains …")
}

/// The open questions whose answer could send it to an engineer, or take it back from one.
fn questions(of: &Crack, widest: Option<&Width>) -> Vec<Step> {
    let mut steps = Vec::new();
    let wide = widest.is_some_and(|w| w.widest > CATEGORY_2_TO);
    let level = of.runs == Some(Runs::Horizontal) && of.retains != Some(Answer::No);
    if of.surface.is_none() && (level || wide && is_of_unknown_make(of)) {
        let says = "see whether it is in a wall or in a slab; until that is known it is taken as in a wall";
        steps.push(Step::answered_by(says, "--surface …"));
    }
    if level && may_hold_earth(of) && of.retains != Some(Answer::Yes) {
        steps.push(holds_earth());
    }
    if wide && is_of_unknown_make(of) {
        let says = "find out what the wall is made of; until that is known it is taken as masonry";
        steps.push(Step::answered_by(says, "--wall …"));
    }
    if matches!(of.runs, Some(Runs::Unknown) | None) && may_hold_earth(of) {
        let says = "see which way it runs; one that runs horizontally in a wall that holds earth goes to an engineer";
        steps.push(Step::answered_by(says, "--runs …"));
    }
    steps
}

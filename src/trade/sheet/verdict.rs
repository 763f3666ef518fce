//! What sheets that were put up say of a place.
//!
//! The rule in words: of each place the latest sheet that counts is shown. A wet face asks for the source and for another sheet in 30
//! days; a dry one proves nothing and moves no band; one that was not put up as the documents ask does not count, and is put up again.
//! Source: [`SHEET`]; the 30 days are those of every damp place, a design rule of this program.

use chrono::{Days, NaiveDate};

use super::{On, SHEET, Sheet, Shows};
use crate::trade::cautions;
use crate::trade::told;
use crate::trade::verdict::{Band, By, Fired, Step, Verdict, Who};

/// As for every damp place: design rule of this program.
const AGAIN_DAYS: u64 = 30;

/// One sheet that was looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct Tested<'a> {
    pub on: NaiveDate,
    pub at: Option<&'a str>,
    pub sheet: Sheet,
    pub shows: Shows,
}

/// The verdict on the sheets of one subject, in order of date; `None` where none was looked at up to `today`.
pub fn verdict(tests: &[Tested], today: NaiveDate) -> Option<Verdict> {
    let until: Vec<&Tested> = tests.iter().filter(|test| test.on <= today).collect();
    let last = until.last()?;
    let counts = |test: &&&Tested| test.sheet.problems().is_empty();
    let superseded = |at: usize, test: &Tested| until[at + 1..].iter().filter(counts).any(|later| later.at == test.at);
    let shown: Vec<&Tested> =
        until.iter().enumerate().filter(|(at, test)| !superseded(*at, test)).map(|(_, test)| *test).collect();
    let mut verdict = Verdict::from_fired(shown.iter().map(|test| fired(test)).collect());
    let wet = shown.iter().filter(|test| counts(test) && test.shows != Shows::Nothing).map(|test| again(test)).min();
    verdict.asks(match wet {
        Some(day) => vec![
            Step::new("look for where the water comes from, outside first"),
            Step::recorded_as(format!("put a sheet up there again by {}", told::day(day)), "sheet-tested").by(day),
        ],
        None if !counts(&last) => vec![Step::recorded_as("put the sheet up again as the steps say", "sheet-tested")],
        None => vec![Step::recorded_as("put a sheet up there again in the wet season", "sheet-tested")],
    });
    verdict.cautions = vec![cautions::WATER_AND_ELECTRICITY];
    Some(verdict)
}

fn again(test: &Tested) -> NaiveDate {
    test.on.checked_add_days(Days::new(AGAIN_DAYS)).unwrap_or(test.on)
}

fn fired(test: &Tested) -> Fired {
    let on = match test.sheet.on {
        On::Floor => "the floor",
        On::Wall => "the wall",
    };
    let at = test.at.map_or(String::new(), |at| format!(" at `{at}`"));
    let what = format!("a sheet on {on}{at}, looked at on {}", told::day(test.on));
    let problems = test.sheet.problems();
    if !problems.is_empty() {
        return Fired::for_comparison(&SHEET, format!("{what}, does not count: {}", problems.join(", ")));
    }
    let because = format!("{what}: {}", test.shows.says());
    match test.shows {
        Shows::Nothing => Fired::for_comparison(&SHEET, because),
        Shows::FromTheConcrete | Shows::FromTheAir | Shows::Both => {
            Fired::new(&SHEET, Band::Watch, Who::Owner, Some(By::Date(again(test))), because)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Tested, verdict};
    use crate::quantity::{Length, Span};
    use crate::trade::rules::tests::worded;
    use crate::trade::series::tests::day;
    use crate::trade::sheet::{Face, On, Sheet, read};
    use crate::trade::verdict::{Band, Verdict};

    fn tested(on: &str, hours: i128, wet: Face) -> Tested<'static> {
        let kept = Span::hours(hours, 1);
        let sheet = Sheet { on: On::Floor, side: Length::inches(18, 1), kept, sealed: true, sun: false };
        Tested { on: day(on), at: None, sheet, shows: read(wet) }
    }

    fn judged(tests: &[Tested]) -> Verdict {
        worded(verdict(tests, day("2026-03-01")).unwrap())
    }

    #[test]
    fn a_wet_face_is_watched_and_a_dry_one_moves_nothing() {
        for (wet, band) in [
            (Face::Under, Some(Band::Watch)),
            (Face::Room, Some(Band::Watch)),
            (Face::Both, Some(Band::Watch)),
            (Face::Neither, None),
        ] {
            let verdict = judged(&[tested("2026-02-20", 16, wet)]);
            assert_eq!(verdict.band, band, "{wet:?}");
            // 20 Feb and 30 days is 22 Mar.
            assert_eq!(verdict.due_on, band.map(|_| day("2026-03-22")), "{wet:?}");
        }
        let dry = judged(&[tested("2026-02-20", 16, Face::Neither)]);
        assert!(dry.comparison[0].because.contains("does not prove the concrete dry"));
        assert_eq!(verdict(&[tested("2026-03-02", 16, Face::Under)], day("2026-03-01")), None, "of tomorrow");
    }

    #[test]
    fn a_sheet_that_does_not_count_takes_nothing_back() {
        let short = judged(&[tested("2026-02-20", 15, Face::Under)]);
        assert_eq!((short.band, short.comparison.len()), (None, 1));
        assert!(short.comparison[0].because.contains("does not count: it was kept under 16 hours"));
        let after = judged(&[tested("2026-02-10", 16, Face::Under), tested("2026-02-20", 15, Face::Neither)]);
        assert_eq!(after.band, Some(Band::Watch));
        let dry = judged(&[tested("2026-02-10", 16, Face::Under), tested("2026-02-20", 16, Face::Neither)]);
        assert_eq!((dry.band, dry.comparison.len()), (None, 1));
        let elsewhere = Tested { at: Some("north"), ..tested("2026-02-20", 16, Face::Neither) };
        assert_eq!(
            judged(&[tested("2026-02-10", 16, Face::Under), elsewhere]).band,
            Some(Band::Watch),
            "another place"
        );
    }
}

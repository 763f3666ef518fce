//! The hourly record of a continuous monitor: its mean, whether it counts, and what stands out in it.
//!
//! The rule in words: the first 4 hours are left out (12 or more for a house closed late, 24 or more after a fan start); the
//! whole record, those hours included, is 48 hours or longer, with 44 on end after the first 4 and 46 after 12 or more, and no
//! hour is missing after them. Sudden drops and hours on
//! end with one and the same value are told as observed: what made them is not known.
//!
//! Sources: ANSI/AARST MAH-2019, 8.5.3 c) (hours left out, holes); Illinois 32 IAC 422.130 b) 1) (48 h). What counts as
//! standing out is a design rule of this program, no published source.

use std::fmt;

use super::one_test::SHORTEST;
use crate::quantity::{Activity, Exact, Span};
use crate::trade::input::InputError;
use crate::trade::told;
use crate::trade::verdict::{Rule, Standing, Variant};
use crate::trade::words::words;

/// Hours left out at the start: ANSI/AARST MAH-2019, 8.5.3 c) 1, after EPA 402-R-92-004; read.
pub const DISCARD: usize = 4;
/// Hours on end after those left out: EPA 402-R-93-003 (1993), as reprinted; second-hand.
pub const ON_END_1993: usize = 44;
/// Hours on end once the house has been closed 12 hours: ANSI/AARST MAH-2019, 6.1.2; read.
pub const ON_END_EXTENDED: usize = 46;
/// From so many hours left out the record is that of a house closed late or of a fan started, and [`ON_END_EXTENDED`] are
/// asked for after them: ANSI/AARST MAH-2019, 6.1.2 and 7.3.2; read.
pub const LEFT_OUT_EXTENDED: usize = 12;
/// A flat line has so many equal hours on end: design rule of this program, no published source.
pub const FLAT_HOURS: usize = 12;
/// A sudden drop begins at this level or above, so that a few counts more or less are none: design rule of this program, no
/// published source.
pub const DROP_FROM: Activity = Activity::pci_l(2, 1);
/// ... and falls below this share of the hour before: design rule of this program, no published source (decay alone leaves
/// 99 % after an hour).
pub const DROP_SHARE: Exact = Exact::new(1, 2);
/// More than three years of hours; longer records are not one test.
pub const MOST_HOURS: usize = 30_000;

pub static MONITOR: Rule = Rule {
    name: "radon-monitor-record",
    says: "a monitor's record is 48 hours or longer; its first 4 hours are left out of the mean (12 or more in a house closed late, 24 or \
           more after a fan start, with 46 on end after them), and no hour is missing after them",
    source: "ANSI/AARST MAH-2019, 8.5.3 c), 6.1.2 and 7.3.2; Illinois 32 IAC 422.130 b) 1)",
    standing: Standing::Read,
    scope: "continuous monitors with a record of an hour or finer",
    variants: &[
        Variant {
            name: "protocol-1993",
            says: "44 hours on end after the first 4",
            source: "EPA 402-R-93-003 (1993), as reprinted",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "mah-2019-extended",
            says: "46 hours on end once the house has been closed 12 hours",
            source: "ANSI/AARST MAH-2019, 6.1.2",
            standing: Standing::Read,
        },
    ],
};

pub static MONITOR_SIGNS: Rule = Rule {
    name: "radon-monitor-signs",
    says: "12 equal hours on end, or an hour under half of the one before it from 2 pCi/L on, is told as observed; what made it is \
           not known",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "hourly records; it moves no band",
    variants: &[],
};

words! {
    /// How long a record has to be.
    MonitorRule {
        /// So long as any test, with the hours left out: [`SHORTEST`].
        FortyEightHourRun = "48-h-run",
        /// [`ON_END_1993`] after the hours left out.
        Protocol1993 = "protocol-1993",
        /// [`ON_END_EXTENDED`] after the hours left out, 12 or more of a closed house.
        Mah2019Extended = "mah-2019-extended",
    }
}

/// A fact that takes a record its validity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordProblem {
    Short {
        hours: usize,
    },
    /// Fewer hours than are asked for after those left out.
    ShortAfter {
        hours: usize,
        asked: usize,
    },
    NothingCounted,
    /// First missing hour, counted from 1, and how many are missing.
    Gap {
        first: usize,
        hours: usize,
    },
}

impl fmt::Display for RecordProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RecordProblem::Short { hours } => write!(f, "the record has {hours} h, under 48 h"),
            RecordProblem::ShortAfter { hours, asked } => {
                write!(f, "{hours} h are left to count, under {asked} h")
            }
            RecordProblem::NothingCounted => f.write_str("no hour is left to count"),
            RecordProblem::Gap { first, hours: 1 } => write!(f, "hour {first} is missing"),
            RecordProblem::Gap { first, hours } => write!(f, "{hours} h are missing, the first is hour {first}"),
        }
    }
}

/// Something that stands out in a record, told as observed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// Hours `first` to `last`, counted from 1, show one value.
    Flat { first: usize, last: usize, level: Activity },
    /// Hour `hour` is under half of the hour before.
    Drop { hour: usize, from: Activity, to: Activity },
}

impl fmt::Display for Sign {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Sign::Flat { first, last, level } => {
                write!(f, "observed: hours {first} to {last} all show {}", told::activity(*level))
            }
            Sign::Drop { hour, from, to } => {
                write!(f, "observed: hour {hour} falls from {} to {}", told::activity(*from), told::activity(*to))
            }
        }
    }
}

/// A record, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Record {
    /// Of the hours counted; `None` when none is.
    pub mean: Option<Activity>,
    /// Hours counted.
    pub hours: usize,
    pub problems: Vec<RecordProblem>,
    /// Of the whole record; they move no band.
    pub signs: Vec<Sign>,
}

impl Record {
    pub fn is_valid(&self) -> bool {
        self.problems.is_empty()
    }
}

/// Weighs an hourly record, `None` for a missing hour, with the first `discard` hours left out of the mean.
///
/// Errors name `hourly`: it is empty, or longer than three years. Sources: [`MONITOR`], [`MONITOR_SIGNS`].
pub fn record(hourly: &[Option<Activity>], discard: usize) -> Result<Record, InputError> {
    record_by(hourly, discard, MonitorRule::FortyEightHourRun)
}

/// The same by the length that one document asks for.
pub fn record_by(hourly: &[Option<Activity>], discard: usize, rule: MonitorRule) -> Result<Record, InputError> {
    match hourly.len() {
        0 => return Err(InputError::Empty { input: "hourly" }),
        n if n > MOST_HOURS => return Err(InputError::TooLarge { input: "hourly" }),
        _ => {}
    }
    let kept = hourly.get(discard..).unwrap_or(&[]);
    let counted: Vec<Activity> = kept.iter().copied().flatten().collect();
    Ok(Record {
        mean: Activity::mean(&counted),
        hours: counted.len(),
        problems: problems(hourly.len(), discard, kept, rule),
        signs: flat(hourly).into_iter().chain(drops(hourly)).collect(),
    })
}

/// Hours on end that are asked for after `left_out` hours at the start.
///
/// 44 of a run of 48 with 4 left out; 46 where 12 or more are, for a house closed late or a fan started. Sources:
/// [`ON_END_1993`], [`ON_END_EXTENDED`].
pub fn least_counted(left_out: usize, rule: MonitorRule) -> usize {
    match rule {
        MonitorRule::Mah2019Extended => ON_END_EXTENDED,
        MonitorRule::FortyEightHourRun if left_out >= LEFT_OUT_EXTENDED => ON_END_EXTENDED,
        MonitorRule::FortyEightHourRun | MonitorRule::Protocol1993 => ON_END_1993,
    }
}

fn problems(run: usize, discard: usize, kept: &[Option<Activity>], rule: MonitorRule) -> Vec<RecordProblem> {
    let mut problems = Vec::new();
    problems.extend(match rule {
        MonitorRule::FortyEightHourRun => {
            let lasted = i128::try_from(run).map_or(Span::ZERO, |hours| Span::hours(hours, 1));
            (lasted < SHORTEST).then_some(RecordProblem::Short { hours: run })
        }
        MonitorRule::Protocol1993 | MonitorRule::Mah2019Extended => None,
    });
    if kept.iter().all(Option::is_none) {
        problems.push(RecordProblem::NothingCounted);
    } else if problems.is_empty() {
        let asked = least_counted(discard, rule);
        problems.extend((kept.len() < asked).then_some(RecordProblem::ShortAfter { hours: kept.len(), asked }));
    }
    let first = kept.iter().position(Option::is_none);
    problems.extend(
        first.map(|at| RecordProblem::Gap {
            first: discard + at + 1,
            hours: kept.iter().filter(|h| h.is_none()).count(),
        }),
    );
    problems
}

fn flat(hourly: &[Option<Activity>]) -> Vec<Sign> {
    let mut signs = Vec::new();
    let mut start = 0;
    for run in hourly.chunk_by(|a, b| a == b) {
        if let Some(level) = run[0].filter(|_| run.len() >= FLAT_HOURS) {
            signs.push(Sign::Flat { first: start + 1, last: start + run.len(), level });
        }
        start += run.len();
    }
    signs
}

fn drops(hourly: &[Option<Activity>]) -> Vec<Sign> {
    let fell = |(at, pair): (usize, &[Option<Activity>])| {
        let (from, to) = (pair[0]?, pair[1]?);
        let half = from.exact().checked_mul(DROP_SHARE).unwrap_or(from.exact());
        (from >= DROP_FROM && to.exact() < half).then_some(Sign::Drop { hour: at + 2, from, to })
    };
    hourly.windows(2).enumerate().filter_map(fell).collect()
}

#[cfg(test)]
mod tests {
    use super::{DISCARD, MonitorRule, Record, RecordProblem, Sign, record, record_by};
    use crate::quantity::Activity;

    fn pci(level: i128) -> Option<Activity> {
        Some(Activity::pci_l(level, 1))
    }

    /// A rising start, then hours that go up and down between 5 and 6.
    fn lively(hours: usize) -> Vec<Option<Activity>> {
        (0..hours).map(|h| pci([1, 2, 3, 4].get(h).copied().unwrap_or(5 + (h as i128 % 2)))).collect()
    }

    fn weigh(hourly: &[Option<Activity>]) -> Record {
        record(hourly, DISCARD).unwrap()
    }

    #[test]
    fn the_first_hours_are_left_out_of_the_mean() {
        // (1 + 2 + 3 + 4 + 44 × 5) / 48 = 4.7917 with them, 5 without: MAH-2019 8.5.3 c).
        let series: Vec<_> = [1, 2, 3, 4].into_iter().chain(std::iter::repeat_n(5, 44)).map(pci).collect();
        let without = weigh(&series);
        assert_eq!((without.mean, without.hours, without.is_valid()), (pci(5), 44, true));
        let with = record(&series, 0).unwrap();
        assert!((with.mean.unwrap().to_pci_l() - 4.7917).abs() < 5e-5);
    }

    #[test]
    fn a_record_has_forty_eight_hours_and_no_hole() {
        assert_eq!(weigh(&lively(48)).problems, []);
        assert_eq!(weigh(&lively(47)).problems, [RecordProblem::Short { hours: 47 }]);
        let mut holed = lively(50);
        holed[2] = None;
        assert!(weigh(&holed).is_valid(), "a hole in the hours left out is none");
        holed[20] = None;
        holed[30] = None;
        let weighed = weigh(&holed);
        assert_eq!((weighed.problems, weighed.hours), (vec![RecordProblem::Gap { first: 21, hours: 2 }], 44));
        let nothing = record(&lively(48), 48).unwrap();
        assert_eq!((nothing.mean, nothing.problems), (None, vec![RecordProblem::NothingCounted]));
        assert_eq!(record(&lively(48), 60).unwrap().hours, 0);
        assert_eq!(record(&[], DISCARD).unwrap_err().input(), "hourly");
        assert_eq!(record(&vec![None; 30_001], DISCARD).unwrap_err().input(), "hourly");
    }

    #[test]
    fn by_other_documents_the_hours_after_those_left_out_are_counted() {
        // EPA 1993 as reprinted: 44 h on end after the first 4. MAH-2019, 6.1.2: 46 h on end after 12 h closed.
        let problems = |hours, discard, rule| record_by(&lively(hours), discard, rule).unwrap().problems;
        let short = |hours, asked| vec![RecordProblem::ShortAfter { hours, asked }];
        assert_eq!(problems(48, 4, MonitorRule::Protocol1993), []);
        assert_eq!(problems(47, 4, MonitorRule::Protocol1993), short(43, 44));
        assert_eq!(problems(44, 0, MonitorRule::Protocol1993), [], "the monitor left them out itself");
        assert_eq!(problems(58, 12, MonitorRule::Mah2019Extended), []);
        assert_eq!(problems(57, 12, MonitorRule::Mah2019Extended), short(45, 46));
        // The default: 48 h with those left out, 44 after the first 4, and 46 after 12 or more (MAH-2019, 6.1.2 and 7.3.2).
        let run = MonitorRule::FortyEightHourRun;
        assert_eq!(problems(50, 6, run), []);
        assert_eq!(problems(50, 7, run), short(43, 44));
        assert_eq!(problems(58, 12, run), []);
        assert_eq!(problems(57, 12, run), short(45, 46));
        assert_eq!(problems(48, 47, run), short(1, 46));
        let mut holed = lively(60);
        holed[50] = None;
        for rule in [MonitorRule::Protocol1993, MonitorRule::Mah2019Extended] {
            let gap = vec![RecordProblem::Gap { first: 51, hours: 1 }];
            assert_eq!(record_by(&holed, 4, rule).unwrap().problems, gap, "{rule}");
        }
    }

    #[test]
    fn what_stands_out_is_told_as_observed_and_takes_no_validity() {
        let mut hourly = lively(48);
        hourly[10] = pci(2); // from 6 to under half
        hourly[20..32].fill(pci(4));
        let weighed = weigh(&hourly);
        assert!(weighed.is_valid());
        let [flat, drop] = weighed.signs[..] else { panic!("{:?}", weighed.signs) };
        assert_eq!(flat, Sign::Flat { first: 21, last: 32, level: Activity::pci_l(4, 1) });
        assert_eq!(drop.to_string(), "observed: hour 11 falls from 6.0 pCi/L (222 Bq/m3) to 2.0 pCi/L (74 Bq/m3)");
        hourly[31] = pci(5); // eleven equal hours
        hourly[10] = pci(3); // exactly half
        hourly[9] = pci(6);
        assert_eq!(weigh(&hourly).signs, []);
    }
}

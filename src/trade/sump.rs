//! Sump pumps: what a test measures, and what a history of tests asks for.
//!
//! The rule in words: a pump that failed its pour test, or did not switch on and off twice by itself, is mended at once,
//! electrics by a licensed electrician. Water that rises while the pump does not run is urgent ([`rising`]). One that lifts 20 % less than when it was first measured, or is past its published
//! life of 10 years, or under which the water only stands, is watched: tested monthly in the wet season ([`again`]), a new one
//! planned. A pump never tested
//! has no band but for its age, however new it is. Signs that a check valve is looked at for ([`signs`]), an outlet too near the wall and an old battery ([`backup`])
//! stand beside that. Water at electrical equipment is a finding of its own and is not judged here.
//!
//! Tests before the day the pump was installed are those of another pump and are left out. Rates are compared by the level
//! they move, exactly as typed: the pit is the same on both days.
//!
//! Sources: NDSU Extension (pour test), NAHB (life); the 20 % are a design rule of this program.

use chrono::{Months, NaiveDate};

use super::cautions;
use super::site::DISCHARGE;
use super::told;
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::{Answer, words};
use crate::calendar::windows::Year;
use crate::quantity::{Exact, Flow, Length};

pub mod again;
pub mod backup;
pub mod battery;
pub mod curve;
pub mod cycle;
pub mod drawdown;
pub mod fittings;
pub mod head;
pub mod pit;
#[cfg(test)]
mod reference_tests;
pub mod rising;
pub mod signs;
#[cfg(test)]
mod tests;

pub use backup::Backup;
pub use drawdown::{Drawdown, RateErrors, Rates, ReadTo, TAPE_AND_WATCH, rate_errors, rates};
pub use pit::{Opening, Pit};

/// Times a pump switches on and off by itself in a pour test: NDSU Extension, Sump Pumps; read.
pub const SWITCHES: u32 = 2;
/// Share of its first measured rate at or below which a pump is watched: design rule of this program, no published source.
pub const WEAK_FROM: Exact = Exact::new(80, 100);
/// Life of a sump pump, years: NAHB housing facts (1997); read.
pub const LIFE_YEARS: u32 = 10;
/// Life of a pump of low quality, the shortest of four, years: an appraisal handbook's life table (October 2012); read.
pub const LIFE_LOW_YEARS: u32 = 8;
/// Months after which a pump is tested again, "once a year": Grant County, Oregon, Pre-Flood Preparedness; read.
pub const TEST_MONTHS: u32 = 12;

pub static POUR_TEST: Rule = Rule {
    name: "sump-pour-test",
    says: "water poured in about as fast as it comes: the pump has to switch on and off at least twice by itself; one that does not is \
           mended at once, electrics by a licensed electrician",
    source: "NDSU Extension, Ag Hub, flood topic, Sump Pumps",
    standing: Standing::Read,
    scope: "sump pumps with a float, outlet clear, plugged in, pit free of debris",
    variants: &[],
};

pub static WEAK: Rule = Rule {
    name: "sump-rate-lost",
    says: "a pump that lifts 20 % less than when it was first measured is tested monthly in the wet season, and a new one is planned",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "drawdown tests of one pump in one pit; the first is that of the pump as it was installed or first met",
    variants: &[],
};

pub static LIFE: Rule = Rule {
    name: "sump-pump-life",
    says: "a sump pump past 10 years is past its published life: tested monthly in the wet season, a new one planned",
    source: "NAHB, housing facts (1997)",
    standing: Standing::Read,
    scope: "sump pumps whose day of installation is known",
    variants: &[Variant {
        name: "appraisal-2012",
        says: "8 to 15 years by its class, 10 on average; the class is not recorded, so that 8 count",
        source: "life table of an appraisal handbook (October 2012)",
        standing: Standing::Read,
    }],
};

words! {
    /// By which document a pump is past its life.
    #[derive(Default)]
    LifeRule { #[default] Nahb = "nahb-1997", Appraisal = "appraisal-2012" }
}

impl LifeRule {
    fn years(self) -> u32 {
        match self {
            LifeRule::Nahb => LIFE_YEARS,
            LifeRule::Appraisal => LIFE_LOW_YEARS,
        }
    }
}

/// One test as it was recorded; each part may have been left out.
#[derive(Debug, Clone, PartialEq)]
pub struct PumpTest<'a> {
    pub on: NaiveDate,
    /// Water was poured in.
    pub poured: bool,
    /// How often the pump switched on and off again by itself.
    pub switched: Option<u32>,
    /// What went wrong, in the words recorded.
    pub failed: Option<&'a str>,
    pub drawdown: Option<Drawdown>,
    /// Whether water ran back into the pit after the pump stopped.
    pub runs_back: Option<Answer>,
    /// Whether starts followed one another quickly.
    pub short_cycles: Option<Answer>,
    /// Whether water rose while the pump did not run.
    pub water_rising: Option<Answer>,
}

/// One pump and what is recorded about it.
#[derive(Debug, Clone, Default)]
pub struct Pump<'a> {
    pub pit: Option<Pit>,
    /// Day it was installed; tests before it were those of another pump.
    pub installed: Option<NaiveDate>,
    /// In any order.
    pub tests: &'a [PumpTest<'a>],
    /// From the level at which it switches on to where the pit would overflow.
    pub freeboard: Option<Length>,
    /// How far from the wall its outlet is.
    pub outlet: Option<Length>,
    /// Its battery, where it has one.
    pub backup: Backup,
    /// It stands beside a main pump and runs when that does not.
    pub is_backup: bool,
    /// When the wet season begins there.
    pub year: Year,
    /// The document that says how long a pump lasts.
    pub life: LifeRule,
}

/// The verdict on a pump by its tests and its age on `today`. Tests after `today` are left out.
///
/// Sources: [`POUR_TEST`], [`WEAK`], [`LIFE`].
pub fn verdict(of: &Pump, today: NaiveDate) -> Verdict {
    let tests = own_tests(of, today);
    let life_ends = life_ends(of);
    let aged = life_ends.filter(|last| today > *last).zip(of.installed);
    let Some(latest) = tests.last() else {
        return never_tested(of, aged, today);
    };

    let switching = tests.iter().rev().find(|t| t.failed.is_some() || t.switched.is_some());
    let (first, last) = measured(&tests);
    let mut fired: Vec<Fired> = rising::water_rising(&tests).into_iter().collect();
    fired.extend(switching.map(|test| switched(test)));
    fired.extend(first.zip(last).and_then(|(first, last)| weakened(of, first, last)));
    fired.extend(again::keeps_up_only(&tests));
    fired.extend(aged.map(|(last_day, installed)| past_life(of.life, last_day, installed)));
    fired.extend(signs::check_valve(of, &tests));
    fired.extend(signs::outlet(of));
    let backup = Backup { inflow: of.backup.inflow.or(came_in(of, &tests)), ..of.backup };
    fired.extend(backup::fired(&backup, today));
    fired.extend(overflows(of, &tests));
    fired.extend(curve::each_rate(of, &tests));

    let mut verdict = Verdict::from_fired(fired);
    let again = latest.on.checked_add_months(Months::new(TEST_MONTHS)).unwrap_or(NaiveDate::MAX);
    verdict.not_known = not_known(of, latest, switching.is_some(), first.is_some(), again < today);
    verdict.next = next(&verdict, of.is_backup);
    verdict.cautions = vec![cautions::WATER_AND_ELECTRICITY, cautions::LOCAL_LAW];
    // What failed is tested again at once, what is watched monthly while it is wet; whatever else is asked for, a test a
    // year after the last.
    let fails = verdict.because.iter().any(|f| f.rule == &POUR_TEST && f.band == Some(Band::Mend));
    let watched_since = aged.map_or(latest.on, |(last_day, _)| last_day.max(latest.on));
    let watched_since = if is_watched_for_more_than_age(&verdict) { latest.on } else { watched_since };
    let asked = if is_watched(&verdict) { again::watched_again(&of.year, watched_since).min(again) } else { again };
    verdict.ask_by(switching.filter(|_| fails).map_or(asked, |test| test.on));
    let changes = [again.succ_opt(), life_ends.and_then(|day| day.succ_opt())];
    changes
        .into_iter()
        .flatten()
        .chain(backup::changes(&of.backup))
        .filter(|day| *day > today)
        .for_each(|day| verdict.may_change_on(day));
    verdict
}

/// The tests of this pump up to `today`, in order.
fn own_tests<'a>(of: &'a Pump, today: NaiveDate) -> Vec<&'a PumpTest<'a>> {
    let is_its_own = |t: &&PumpTest| t.on <= today && of.installed.is_none_or(|day| t.on >= day);
    let mut tests: Vec<&PumpTest> = of.tests.iter().filter(is_its_own).collect();
    tests.sort_by_key(|t| t.on);
    tests
}

/// What came into the pit when that was last measured up to `today`, and the day; `None` where it never was.
pub fn measured_inflow(of: &Pump, today: NaiveDate) -> Option<(Flow, NaiveDate)> {
    came_in(of, &own_tests(of, today))
}

/// How it runs is not known, and that is said first. An age past its published life is watched all the same; the rest is shown
/// beside that and decides nothing.
fn never_tested(of: &Pump, aged: Option<(NaiveDate, NaiveDate)>, today: NaiveDate) -> Verdict {
    let installed = of.installed;
    let age = aged.map(|(last_day, installed)| past_life(of.life, last_day, installed));
    let beside = signs::outlet(of).into_iter().chain(backup::fired(&of.backup, today));
    let beside = beside.map(|fired| Fired::for_comparison(fired.rule, fired.because));
    let mut verdict = Verdict::from_fired(age.into_iter().chain(beside).collect());
    verdict.not_known.push("the pump (never tested)".to_owned());
    verdict.not_known.extend(installed.is_none().then(|| "when the pump was installed".to_owned()));
    verdict.next = vec![pour(of.is_backup)];
    verdict.next.extend(aged.map(|_| Step::recorded_as("plan a new one: ask for a price", "quote-given")));
    verdict.cautions = vec![cautions::WATER_AND_ELECTRICITY];
    life_ends(of)
        .and_then(|day| day.succ_opt())
        .into_iter()
        .chain(backup::changes(&of.backup))
        .filter(|day| *day > today)
        .for_each(|day| verdict.may_change_on(day));
    verdict
}

/// The latest test that watched the switch.
fn switched(test: &PumpTest) -> Fired {
    let on = told::day(test.on);
    let mend = |because: String| Fired::at_once(&POUR_TEST, Band::Mend, Who::OwnerOrPlumber, test.on, because);
    match (test.failed, test.switched) {
        (Some(words), _) => mend(format!("the test of {on} failed: {words}")),
        (None, Some(times)) if times < SWITCHES => {
            let found = if times == 0 { "did not switch on and off by itself" } else { "switched on and off once" };
            mend(format!("on {on} it {found}, asked is at least {}", counted(SWITCHES)))
        }
        (None, times) => {
            let because = format!("on {on} it switched on and off {}", counted(times.unwrap_or(SWITCHES)));
            Fired::new(&POUR_TEST, Band::Note, Who::Owner, Some(By::Before("the wet season")), because)
        }
    }
}

fn counted(times: u32) -> String {
    match times {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}

/// The rules after which a pump is tested monthly in the wet season, but for its age.
const TESTED_MONTHLY: [&Rule; 3] = [&WEAK, &again::KEEPS_UP_ONLY, &signs::CHECK_VALVE];

fn is_watched_for_more_than_age(verdict: &Verdict) -> bool {
    verdict.because.iter().any(|f| TESTED_MONTHLY.contains(&f.rule))
}

fn is_watched(verdict: &Verdict) -> bool {
    is_watched_for_more_than_age(verdict) || verdict.because.iter().any(|f| f.rule == &LIFE)
}

/// The first and the last test whose rate is known, if there are two.
fn measured<'a>(tests: &[&'a PumpTest<'a>]) -> (Option<&'a PumpTest<'a>>, Option<&'a PumpTest<'a>>) {
    let mut timed = tests.iter().copied().filter(|t| speed(t).is_some_and(|s| !s.is_zero()));
    let first = timed.next();
    // A pump that lifts nothing now is compared with the first that did.
    let last = tests.iter().copied().rev().find(|t| speed(t).is_some());
    (first, last.filter(|last| first.is_some_and(|first| first.on < last.on)))
}

fn speed(test: &PumpTest) -> Option<Exact> {
    test.drawdown.as_ref()?.level_speed()
}

fn weakened(of: &Pump, first: &PumpTest, last: &PumpTest) -> Option<Fired> {
    let (was, is) = (speed(first)?, speed(last)?);
    let less = 100.0 * (1.0 - is.to_f64() / was.to_f64());
    let lost = was.checked_mul(WEAK_FROM).map_or(is.to_f64() <= was.to_f64() * WEAK_FROM.to_f64(), |limit| is <= limit);
    if !lost {
        return less_than_at_first(of, first, last, less);
    }
    let because = format!(
        "on {} it lifts {less:.1} % less than when first measured on {}{}",
        told::day(last.on),
        told::day(first.on),
        in_flows(of, first, last).unwrap_or_default()
    );
    Some(Fired::new(&WEAK, Band::Watch, Who::Owner, Some(By::Before("the wet season")), because))
}

/// A pump that is not weak yet: what it lost over the years is told, and moves no band.
fn less_than_at_first(of: &Pump, first: &PumpTest, last: &PumpTest, less: f64) -> Option<Fired> {
    const DAYS_PER_YEAR: f64 = 365.25;
    let years = (last.on - first.on).num_days() as f64 / DAYS_PER_YEAR;
    if less <= 0.0 || years < 1.0 {
        return None;
    }
    let because = format!(
        "it lifts {less:.1} % less than when first measured on {}, {:.1} % a year{}; under 20 %",
        told::day(first.on),
        less / years,
        in_flows(of, first, last).unwrap_or_default()
    );
    Some(Fired::for_comparison(&WEAK, because))
}

fn came_in(of: &Pump, tests: &[&PumpTest]) -> Option<(Flow, NaiveDate)> {
    let pit = of.pit.as_ref()?;
    let inflow = |test: &PumpTest| Some((rates(pit, test.drawdown.as_ref()?).ok()?.inflow, test.on));
    tests.iter().rev().find_map(|test| inflow(test))
}

/// How long the pit holds with the pump off, at what came in last.
fn overflows(of: &Pump, tests: &[&PumpTest]) -> Option<Fired> {
    let (inflow, on) = came_in(of, tests)?;
    let span = cycle::overflow(of.pit.as_ref()?, of.freeboard?, inflow).ok()??;
    let long = match span.to_seconds() {
        seconds if seconds < 90.0 => format!("{seconds:.0} s"),
        seconds if seconds < 5400.0 => format!("{:.0} min", seconds / 60.0),
        seconds => format!("{:.1} h", seconds / 3600.0),
    };
    let because = format!(
        "with the pump off the pit overflows in about {long} at the {} that came in on {}",
        drawdown::flow(inflow),
        told::day(on)
    );
    Some(Fired::for_comparison(&cycle::OVERFLOW, because))
}

/// Both rates, where the pit is known, and how far the reading may be off.
fn in_flows(of: &Pump, first: &PumpTest, last: &PumpTest) -> Option<String> {
    let pit = of.pit.as_ref()?;
    let (then, now) = (rates(pit, first.drawdown.as_ref()?).ok()?, rates(pit, last.drawdown.as_ref()?).ok()?);
    let error = rate_errors(pit, last.drawdown.as_ref()?, &TAPE_AND_WATCH).ok()?.pump;
    let read = error.map_or_else(String::new, |e| {
        format!("; a tape read to 1/4 in and a watch to 0.5 s move the last by {:.0} %", 100.0 * e)
    });
    let [now, then] = [now, then].map(|r| drawdown::flow(r.pump));
    Some(format!(": {now} against {then}{read}"))
}

/// The last day of a pump's published life.
fn life_ends(of: &Pump) -> Option<NaiveDate> {
    of.installed?.checked_add_months(Months::new(12 * of.life.years()))
}

fn past_life(rule: LifeRule, last_day: NaiveDate, installed: NaiveDate) -> Fired {
    let (on, since) = (told::day(installed), told::day(last_day));
    let because = format!("installed {on}, past {} years since {since}", rule.years());
    let fired = Fired::new(&LIFE, Band::Watch, Who::Owner, Some(By::Before("the wet season")), because);
    fired.by_variant(rule.word())
}

fn not_known(of: &Pump, latest: &PumpTest, watched: bool, measured: bool, old: bool) -> Vec<String> {
    let mut list = Vec::new();
    if old {
        list.push(format!("how the pump runs now (last tested {})", told::day(latest.on)));
    }
    if !watched {
        list.push("whether it switches on and off by itself (never poured and counted)".to_owned());
    }
    if !measured {
        list.push("how much it lifts (no timed fall and rise)".to_owned());
    }
    if of.installed.is_none() {
        list.push("when the pump was installed".to_owned());
    }
    list
}

fn pour(is_backup: bool) -> Step {
    let says = if is_backup {
        "with the main pump unplugged, pour water in until it runs, and count how often it switches"
    } else {
        "pour water in as fast as it comes, and count how often it switches"
    };
    Step::recorded_as(says, "sump-tested")
}

/// What to do, by the rules that ask for it: what is mended first, then what is looked at, then the next test.
fn next(verdict: &Verdict, is_backup: bool) -> Vec<Step> {
    let asks = |rule: &Rule, band| verdict.because.iter().any(|f| f.rule == rule && f.band == Some(band));
    let mut next = Vec::new();
    if asks(&rising::WATER_RISING, Band::Urgent) {
        next.push(
            Step::new(
                "keep out of the water, and have the utility or a licensed electrician cut the power before anybody goes to the pump",
            )
            .at_once(verdict.at_once_since()),
        );
        if !asks(&POUR_TEST, Band::Mend) {
            next.push(Step::recorded_as("test it again once it runs", "sump-tested"));
        }
    }
    if asks(&POUR_TEST, Band::Mend) {
        next.push(Step::new(
            "unplug it, free float and inlet, or renew it; cord, outlet and breaker go to a licensed electrician",
        ));
        next.push(Step::recorded_as("test it again once it is mended", "sump-tested"));
    }
    if asks(&DISCHARGE, Band::Mend) {
        next.push(Step::new("lead its water out farther from the wall, to ground that falls away from it"));
    }
    if asks(&signs::CHECK_VALVE, Band::Watch) {
        next.push(Step::new("look at its check valve, unplugged; renew it, or have one put in where there is none"));
        next.push(Step::recorded_as("test it again, and say whether water still runs back", "sump-tested"));
    }
    if asks(&backup::BATTERY_LIFE, Band::Watch) {
        next.push(Step::new("test its battery, or renew it"));
    }
    if [&WEAK, &LIFE, &again::KEEPS_UP_ONLY].into_iter().any(|rule| asks(rule, Band::Watch)) {
        next.push(Step::recorded_as("test it monthly in the wet season", "sump-tested"));
        next.push(Step::recorded_as("plan a new one: ask for a price", "quote-given"));
    }
    if !next.iter().any(|step| step.records == Some("sump-tested")) {
        next.push(pour(is_backup));
    }
    next
}

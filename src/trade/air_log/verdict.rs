//! What the record of a logger asks for.
//!
//! The rule in words: a 30-day mean over 80 % (between 5 and 40 C), a mean over 60 %, an index of 3 or more, air in which wood
//! settles at 20 % or more, and hours in which a surface is below the dew point are watched: the source is looked for, and the
//! logger is read again in 30 days. Under 30 days the 30-day mean is not enough yet. A record speaks for 90 days after its end;
//! after that it is shown with its days and says nothing of now. What wood settles at is reckoned from air and is no reading of
//! wood: no engineer is called by it.

use chrono::{Days, NaiveDate, NaiveDateTime};

use super::{Margin, Month, WINDOW_HOURS};
use crate::quantity::{Share, Temperature, Units};
use crate::trade::moisture::{
    AIR_HUMIDITY, HUMIDITY, LOOK_AGAIN_DAYS, MEAN_FROM_C, MEAN_HUMIDITY, MEAN_TO_C, SURFACE_HUMIDITY, WOOD_RAISED,
};
use crate::trade::mould::Class;
use crate::trade::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict, Who};
use crate::trade::{air, cautions, timber, told};

/// Days after its end for which a record speaks: design rule of this program, no published source.
pub const SPEAKS_DAYS: u64 = 90;
/// The mould index is to stay below this: ASHRAE 160-2016; from memory.
pub const MOULD_FROM: f64 = 3.0;

pub static MOULD_LIMIT: Rule = Rule {
    name: "mould-index-limit",
    says: "a mould index of 3 or more (first seen by eye) is looked into: the source is looked for, and the logger is read again in 30 \
           days",
    source: "ASHRAE Standard 160-2016 for the limit of 3; Hukka and Viitanen (1999) for the scale",
    standing: Standing::Memory,
    scope: "a model of wood surfaces, fed with the air or the surface of a logger; no finding of mould, and nothing of health",
    variants: &[],
};

pub static WOOD_SETTLES: Rule = Rule {
    name: "wood-settles-damp",
    says: "air in which wood settles at 20 % moisture or more: the wood is read with a meter, and the source is looked for",
    source: "USDA Wood Handbook, FPL-GTR-282 (2021), equation 4-5; Clemson Extension CL-100, section J, for the 20 %",
    standing: Standing::SecondHand,
    scope: "what wood comes to if the air stays so; reckoned from the air, no reading of the wood",
    variants: &[],
};

/// The record of one place, as it was recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct Logged<'a> {
    /// The place in the section, in the words recorded.
    pub at: Option<&'a str>,
    pub from: NaiveDateTime,
    pub to: NaiveDateTime,
    pub hours: u64,
    pub missing: u64,
    /// Mean of the air.
    pub humidity: Share,
    pub worst: Option<Month>,
    /// The class of the material, where it was given.
    pub class: Option<Class>,
    /// Of that class, else of the most sensitive.
    pub index: f64,
    pub peak: f64,
    /// Mean of what wood settles at.
    pub wood: Share,
    /// How the surface is known: "a probe on it", "6 F below the air".
    pub surface: Option<&'a str>,
    pub margin: Option<Margin>,
}

/// The newest record of each place of a section.
#[derive(Debug, Clone, Copy, Default)]
pub struct AirLogs<'a> {
    pub logs: &'a [Logged<'a>],
    pub crawl_space: bool,
}

impl Logged<'_> {
    /// `1 Jun to 30 Aug 2025`, with the place before it.
    fn span(&self) -> String {
        let at = self.at.map_or_else(String::new, |at| format!("{at}, "));
        format!("{at}{} to {}", told::day(self.from.date()), told::day(self.to.date()))
    }

    fn last_day(&self) -> Option<NaiveDate> {
        self.to.date().checked_add_days(Days::new(SPEAKS_DAYS))
    }

    fn speaks(&self, today: NaiveDate) -> bool {
        self.last_day().is_none_or(|last| today <= last)
    }

    fn in_days(&self, days: u64) -> NaiveDate {
        self.to.date().checked_add_days(Days::new(days)).unwrap_or(NaiveDate::MAX)
    }
}

/// The verdict on the air of a section on `today`; no band where no record speaks for that day.
///
/// Sources: [`SURFACE_HUMIDITY`], [`AIR_HUMIDITY`], [`MOULD_LIMIT`], [`WOOD_SETTLES`], [`air::AT_SURFACE`].
pub fn verdict(of: &AirLogs, today: NaiveDate) -> Verdict {
    let (speaking, old): (Vec<&Logged>, Vec<&Logged>) = of.logs.iter().partition(|log| log.speaks(today));
    let silent = |log: &&Logged| {
        let fired = fired(log).into_iter();
        fired
            .map(|f| Fired::for_comparison(f.rule, format!("{}; it says nothing of now", f.because)))
            .collect::<Vec<_>>()
    };
    let all = speaking.iter().flat_map(|log| fired(log)).chain(old.iter().flat_map(silent)).collect();
    let mut verdict = Verdict::from_fired(all);
    verdict.not_known = old.iter().map(|log| format!("the air there now (logged {})", log.span())).collect();
    verdict.not_known.extend(speaking.iter().flat_map(|log| not_known(log)));
    let watched = verdict.band == Some(Band::Watch);
    verdict.asks(next(&speaking, watched));
    if watched {
        verdict.cautions.push(cautions::MOULD_DRYING);
    }
    if of.crawl_space {
        verdict.cautions.extend([cautions::CRAWL_SPACE, cautions::NOT_ALONE]);
    }
    let after = speaking.iter().filter_map(|log| log.last_day()?.succ_opt());
    after.for_each(|day| verdict.may_change_on(day));
    verdict
}

fn fired(log: &Logged) -> Vec<Fired> {
    let span = log.span();
    let again = Some(By::Date(log.in_days(LOOK_AGAIN_DAYS)));
    let say = |rule, watched: bool, because: String| {
        let because = format!("{span}: {because}");
        match watched {
            true => Fired::new(rule, Band::Watch, Who::Owner, again.clone(), because),
            false => Fired::new(rule, Band::Note, Who::Owner, None, because),
        }
    };
    let mut out = vec![thirty_days(log, &span, again.clone())];
    let over = log.humidity > HUMIDITY;
    let side = if over { "over" } else { "not over" };
    out.push(say(
        &AIR_HUMIDITY,
        over,
        format!("mean of {} relative humidity, {side} 60 %", mean(log.humidity, HUMIDITY)),
    ));
    out.push(say(&MOULD_LIMIT, log.peak >= MOULD_FROM, index(log)));
    out.push(settles(log, &say));
    out.extend(log.margin.map(|margin| {
        let surface = log.surface.unwrap_or("a surface");
        let least = format!(
            "surface ({surface}) {} the dew point at the least, on {}",
            above(margin.least_k),
            told::day(margin.at.date())
        );
        let because = match margin.condensing {
            0 => least,
            1 => format!("{least}; in 1 hour the air's vapour condenses on it"),
            hours => format!("{least}; in {hours} hours the air's vapour condenses on it"),
        };
        say(&air::AT_SURFACE, margin.condensing > 0, because)
    }));
    out
}

/// `2.4 K (4.3 F) above`
fn above(kelvin: f64) -> String {
    const F_PER_K: f64 = 1.8;
    let side = if kelvin < 0.0 { "below" } else { "above" };
    format!("{:.1} K ({:.1} F) {side}", kelvin.abs(), kelvin.abs() * F_PER_K)
}

/// A mean to one decimal, as a gauge is read; in full where one decimal would read as the limit itself.
fn mean(of: Share, limit: Share) -> String {
    let tenths = of.exact().round_half_up(1);
    match tenths == limit.exact() {
        true => told::share(of),
        false => format!("{} %", tenths.decimal(1)),
    }
}

fn thirty_days(log: &Logged, span: &str, again: Option<By>) -> Fired {
    let Some(worst) = log.worst else { return not_enough(log, span) };
    let at = if log.surface.is_some() { "at the surface" } else { "of the air, as at surfaces no colder than it" };
    let told = format!(
        "{span}: highest 30-day mean {} relative humidity {at} ({} to {}, at {})",
        mean(worst.humidity, MEAN_HUMIDITY),
        told::day(worst.from.date()),
        told::day(worst.to.date()),
        degrees(worst.temperature),
    );
    match worst.humidity > MEAN_HUMIDITY {
        false => Fired::new(&SURFACE_HUMIDITY, Band::Note, Who::Owner, None, format!("{told}, not over 80 %")),
        true if (MEAN_FROM_C..=MEAN_TO_C).contains(&worst.temperature) => {
            Fired::new(&SURFACE_HUMIDITY, Band::Watch, Who::Owner, again, format!("{told}, over 80 %"))
        }
        true => {
            let because = format!("{told}, over 80 %; its mean temperature is outside 5 to 40 C");
            Fired::for_comparison(&SURFACE_HUMIDITY, because)
        }
    }
}

fn not_enough(log: &Logged, span: &str) -> Fired {
    let hours = log.hours + log.missing;
    let (because, by) = match enough_on(log) {
        Some(day) => {
            let day = told::day(day);
            (
                format!(
                    "{span}: not enough yet for a 30-day mean, {hours} hours of 720; enough on {day} if it runs on"
                ),
                enough_on(log),
            )
        }
        None => (format!("{span}: not enough for a 30-day mean, {} of {hours} hours are missing", log.missing), None),
    };
    let by = By::Date(by.unwrap_or_else(|| log.in_days(LOOK_AGAIN_DAYS)));
    Fired::new(&SURFACE_HUMIDITY, Band::Watch, Who::Owner, Some(by), because)
}

/// The day on which a record that runs on is long enough; `None` where it is, and has holes.
fn enough_on(log: &Logged) -> Option<NaiveDate> {
    let spanned = log.hours + log.missing;
    let enough = log.from.checked_add_signed(chrono::TimeDelta::hours(WINDOW_HOURS as i64))?;
    (spanned < WINDOW_HOURS as u64).then(|| enough.date())
}

fn index(log: &Logged) -> String {
    let class = match log.class {
        Some(class) => format!("a {} material", class.word().replace('-', " ")),
        None => "the most sensitive materials (no class given)".to_owned(),
    };
    format!("mould index {:.2} at its peak, {:.2} at the end, for {class}", log.peak, log.index)
}

fn settles(log: &Logged, say: &dyn Fn(&'static Rule, bool, String) -> Fired) -> Fired {
    let (wood, over) = log.worst.map_or((log.wood, "the whole record"), |worst| (worst.wood, "those 30 days"));
    let settles = format!("wood settles at {:.1} % moisture in the air of {over}", wood.to_percent());
    let because = match wood {
        w if w < WOOD_RAISED => format!("{settles}, under 20 %"),
        w if w < timber::WOOD_DECAY => format!("{settles}, 20 % or more"),
        _ => format!("{settles}, 28 % or more: a reading of the wood as high goes to an engineer"),
    };
    say(&WOOD_SETTLES, wood >= WOOD_RAISED, because)
}

fn not_known(log: &Logged) -> Vec<String> {
    let at = log.at.map_or_else(String::new, |at| format!(" at {at}"));
    let mut out = Vec::new();
    if log.surface.is_none() {
        out.push(format!(
            "how cold the coldest surface{at} is (no probe, no --surface-below); a colder one is damper than the air"
        ));
    }
    if log.class.is_none() {
        out.push(format!("how sensitive the material{at} is (no --class)"));
    }
    match log.missing {
        0 => {}
        1 => out.push(format!("the air{at} in 1 missing hour; the mould index passes over it")),
        n => out.push(format!("the air{at} in {n} missing hours; the mould index passes over them")),
    }
    out
}

fn next(speaking: &[&Logged], watched: bool) -> Vec<Step> {
    let mut steps = Vec::new();
    if watched {
        steps.push(Step::recorded_as(
            "look for the source: standing water, bare or wet soil, blocked vents, leaking pipes; open a finding for what is there",
            "finding-opened",
        ));
        steps.push(Step::recorded_as("read the wood there with a meter, under a finding of its own", "finding-opened"));
    }
    let day = |log: &&Logged| match watched {
        true => enough_on(log).map_or(log.in_days(LOOK_AGAIN_DAYS), |day| day.max(log.to.date())),
        false => log.in_days(SPEAKS_DAYS),
    };
    let by = speaking.iter().map(day).min();
    steps.extend(by.map(|by| {
        Step::recorded_as(
            "read the logger, and set it going again; files of one logger given together are one record",
            "air-logged",
        )
        .by(by)
    }));
    if speaking.is_empty() {
        steps.push(Step::recorded_as("put the logger back, and read it after 30 days or more", "air-logged"));
    }
    steps
}

fn degrees(t: Temperature) -> String {
    format!("{} ({})", t.show(Units::Us), t.show(Units::Metric))
}

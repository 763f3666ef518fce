//! The battery of a backup pump: how old it is, and how long it runs the pump.
//!
//! The rule in words: a backup battery past 5 years is watched, and a new one is planned; from 3 years on its age is noted.
//! How long it runs is told for half its charge, without loss and with that of flooded lead-acid, and moves no band: what it
//! has to last is the owner's question. Where what came in was measured, the backup pump has to run inflow over its own rate
//! of the time, and its charge lasts so much longer; the rate of the main pump says nothing of that.
//!
//! Sources: trade figures from memory (3 to 5 years); [`super::battery::BATTERY`].

use chrono::{Months, NaiveDate};

use super::battery::{BATTERY, RATED_HOURS, run_time};
use super::drawdown::flow;
use crate::quantity::Flow;
use crate::trade::told;
use crate::trade::verdict::{Band, By, Fired, Rule, Standing, Who};

/// Years a backup battery lasts: trade figures; from memory.
pub const LIFE_FROM_YEARS: u32 = 3;
pub const LIFE_TO_YEARS: u32 = 5;
/// Share of its charge used for a long life, the lower of 50 to 80 %: battery texts; read.
const DEPTH: f64 = 0.5;
/// Peukert's exponent without loss, and for flooded lead-acid (1.2 to 1.3): battery texts; read.
const NO_LOSS: f64 = 1.0;
const FLOODED: f64 = 1.3;

pub static BATTERY_LIFE: Rule = Rule {
    name: "backup-battery-life",
    says: "a backup battery past 5 years is past the life it is given (3 to 5): it is tried under load, and a new one is planned",
    source: "figures of the trade",
    standing: Standing::Memory,
    scope: "lead-acid batteries of backup pumps, whose day of installation is known",
    variants: &[],
};

/// A battery and what it drives.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Backup {
    pub installed: Option<NaiveDate>,
    /// Ampere-hours, as printed.
    pub capacity_ah: Option<f64>,
    /// Amperes the pump draws.
    pub draw_a: Option<f64>,
    /// What the backup pump itself is rated to lift.
    pub lifts: Option<Flow>,
    /// What came into the pit when that was last measured, and the day.
    pub inflow: Option<(Flow, NaiveDate)>,
}

/// What there is to say of a battery on `today`; nothing where there is none.
///
/// Sources: [`BATTERY_LIFE`], [`BATTERY`].
pub fn fired(of: &Backup, today: NaiveDate) -> Vec<Fired> {
    let Some(capacity) = of.capacity_ah else { return Vec::new() };
    let mut fired: Vec<Fired> = of.installed.and_then(|day| aged(day, today)).into_iter().collect();
    let hours = |draw, k| run_time(capacity, draw, DEPTH, RATED_HOURS, k).ok().map(|span| span.to_hours());
    fired.extend(of.draw_a.and_then(|draw| {
        let (most, least) = (hours(draw, NO_LOSS)?, hours(draw, FLOODED)?);
        let lasts = lasts(of, most, least).unwrap_or_default();
        let because = format!(
            "half of {capacity} Ah runs a pump of {draw} A for {most:.1} h on end without loss, {least:.1} h with that of flooded \
             lead-acid{lasts}; age and cold shorten it"
        );
        Some(Fired::for_comparison(&BATTERY, because))
    }));
    fired
}

/// How long the charge lasts while the backup pump runs only as much as the inflow asks; `None` where that was never measured.
///
/// Pump-hours over (inflow / what the backup pump lifts): mass balance (derived).
fn lasts(of: &Backup, most: f64, least: f64) -> Option<String> {
    let (inflow, on) = of.inflow?;
    let (came, on) = (flow(inflow), told::day(on));
    if inflow.is_zero() {
        return Some(format!("; nothing came in on {on}, so how long that lasts in a wet time is not known"));
    }
    let Some(lifts) = of.lifts.filter(|lifts| !lifts.is_zero()) else {
        return Some(format!(
            "; how long that lasts at the {came} that came in on {on} is not known without what the backup pump itself is rated \
             to lift"
        ));
    };
    if inflow >= lifts {
        return Some(format!(
            "; the {came} that came in on {on} is not less than the {} it is rated to lift, so the water rises while it runs",
            flow(lifts)
        ));
    }
    let share = inflow.to_l_min() / lifts.to_l_min();
    Some(format!(
        "; at the {came} that came in on {on} a pump that lifts {} as rated has that last {:.0} h, {:.0} h with that loss",
        flow(lifts),
        most / share,
        least / share
    ))
}

/// The days after which the age of a battery says something else.
pub fn changes(of: &Backup) -> impl Iterator<Item = NaiveDate> {
    let installed = of.installed.filter(|_| of.capacity_ah.is_some());
    [LIFE_FROM_YEARS, LIFE_TO_YEARS].into_iter().filter_map(move |years| ends(installed?, years)?.succ_opt())
}

fn ends(installed: NaiveDate, years: u32) -> Option<NaiveDate> {
    installed.checked_add_months(Months::new(12 * years))
}

fn aged(installed: NaiveDate, today: NaiveDate) -> Option<Fired> {
    let past = |years| ends(installed, years).filter(|last| today > *last);
    let said = |years: u32, last| {
        format!("its battery was put in {}, past {years} years since {}", told::day(installed), told::day(last))
    };
    if let Some(last) = past(LIFE_TO_YEARS) {
        let by = Some(By::Before("the wet season"));
        return Some(Fired::new(&BATTERY_LIFE, Band::Watch, Who::Owner, by, said(LIFE_TO_YEARS, last)));
    }
    let last = past(LIFE_FROM_YEARS)?;
    Some(Fired::new(&BATTERY_LIFE, Band::Note, Who::Owner, None, said(LIFE_FROM_YEARS, last)))
}

#[cfg(test)]
mod tests {
    use super::{Backup, changes, fired};
    use crate::quantity::Flow;
    use crate::trade::Band;
    use crate::trade::series::tests::day;

    #[test]
    fn a_battery_is_noted_past_three_years_and_watched_past_five() {
        let of = Backup { installed: Some(day("2020-05-01")), capacity_ah: Some(75.0), ..Backup::default() };
        let band = |today| fired(&of, day(today)).first().and_then(|f| f.band);
        assert_eq!(band("2023-05-01"), None);
        assert_eq!(band("2023-05-02"), Some(Band::Note));
        assert_eq!(band("2025-05-01"), Some(Band::Note));
        assert_eq!(band("2025-05-02"), Some(Band::Watch));
        assert_eq!(changes(&of).collect::<Vec<_>>(), [day("2023-05-02"), day("2025-05-02")]);
        let none = Backup { capacity_ah: None, ..of };
        assert_eq!((fired(&none, day("2030-01-01")).len(), changes(&none).count()), (0, 0));
    }

    #[test]
    fn how_long_it_runs_is_told_and_moves_nothing() {
        // 75 Ah at 20 h, 10 A, to half: 3.75 h; with k 1.3 20 x 0.375^1.3 x 0.5 = 2.794 h.
        let of = Backup { capacity_ah: Some(75.0), draw_a: Some(10.0), ..Backup::default() };
        let all = fired(&of, day("2025-01-01"));
        assert_eq!((all.len(), all[0].band), (1, None));
        assert!(all[0].because.contains("for 3.8 h on end without loss, 2.8 h with"), "{}", all[0].because);
        assert_eq!(fired(&Backup { draw_a: Some(0.0), ..of }, day("2025-01-01")), []);
    }

    #[test]
    fn how_long_it_lasts_goes_by_the_backup_pumps_own_rate() {
        let of = |inflow: Flow, lifts: Option<Flow>| {
            let inflow = Some((inflow, day("2024-11-02")));
            let of = Backup { capacity_ah: Some(75.0), draw_a: Some(10.0), lifts, inflow, ..Backup::default() };
            fired(&of, day("2025-01-01")).swap_remove(0).because
        };
        // 2.2032 of 10 gpm: on 22.032 % of the time. 3.75 h / 0.22032 = 17.02 h; 2.794 h / 0.22032 = 12.68 h.
        let said = of(Flow::gpm(22_032, 10_000), Some(Flow::gpm(10, 1)));
        assert!(
            said.contains(
                "that came in on 2 Nov 2024 a pump that lifts 10 gpm (38 L/min) as rated has that last 17 h, 13 h with"
            ),
            "{said}"
        );
        // 3 of 25 gpm, 12 % of the time: 31.25 h and 23.28 h.
        let said = of(Flow::gpm(3, 1), Some(Flow::gpm(25, 1)));
        assert!(said.contains("has that last 31 h, 23 h with that loss"), "{said}");
        for lifts in [Flow::gpm(2, 1), Flow::gpm(3, 1)] {
            let said = of(Flow::gpm(3, 1), Some(lifts));
            assert!(said.contains("the water rises while it runs") && !said.contains("has that last"), "{said}");
        }
        assert!(of(Flow::gpm(3, 1), None).contains("not known without what the backup pump itself is rated to lift"));
        assert!(of(Flow::ZERO, Some(Flow::gpm(3, 1))).contains("nothing came in on 2 Nov 2024"));
    }
}

//! What to see to before a crack is filled.
//!
//! The rule in words: filling hides the record, so the width is read and a photograph taken with a scale first. Rigid resin is
//! for a crack that a full year shows no growth of and that does not move, that does not leak, where no steel rusts, and whose
//! water, if it was wet, has a known source; and for a width that takes resin. What is not known warns as much as what is known
//! to be against it. The growth that a year's record does not rule out is held against what the hardened resin stretches.
//!
//! Sources: TxDOT Concrete Repair Manual (width), UFC 4-150-07 (static cracks; steel), ASTM C881-15, Table 1 (elongation), ACI
//! 224.1R-07, 3.2 (water; from memory); the rest is a design rule of this program.

use chrono::NaiveDate;

use super::{HARD_BELOW, NARROWEST};
use crate::quantity::{Exact, Length};
use crate::trade::crack::PENCIL;
use crate::trade::told;
use crate::trade::trend::State;
use crate::trade::verdict::{Rule, Standing};
use crate::trade::words::{Answer, Method, Water};

/// Least elongation at break of type IV, as a part of the width: ASTM C881-15, Table 1, 1 %; read.
pub const STRETCHES: Exact = Exact::new(1, 100);
/// A width read at most so many days before filling still stands for it: design rule of this program, no published source.
pub const READ_WITHIN_DAYS: i64 = 7;

pub static BEFORE_FILLING: Rule = Rule {
    name: "epoxy-before-filling",
    says: "rigid resin is for a crack that a full year shows no growth of, that does not move, does not leak and shows no rusting \
           steel; read and photograph it first, for filling hides the record",
    source: "UFC 4-150-07 (19 June 2001), repair CR-1, for static cracks and steel; the full year is a design rule of this program",
    standing: Standing::Read,
    scope: "cracks in concrete and masonry to be filled with epoxy",
    variants: &[],
};

/// What is known of a crack about to be filled; `None` is not asked, or not read.
#[derive(Debug, Clone)]
pub struct Filling {
    pub method: Method,
    /// Why its verdict calls a licensed structural engineer, where it does.
    pub called: Option<String>,
    /// Width as it is filled, else the latest.
    pub width: Option<Length>,
    pub read_on: Option<NaiveDate>,
    /// A photograph with a scale is on record.
    pub photographed: bool,
    /// What the record of a year shows.
    pub trend: Option<State>,
    /// Growth in a year that the record does not rule out.
    pub not_ruled_out: Option<Length>,
    pub moved_while_looked_at: bool,
    pub water: Option<Water>,
    pub water_source_known: bool,
    /// Steel shows or rusts at the crack.
    pub steel_rusts: Option<Answer>,
}

/// What is said before a crack is filled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    pub says: String,
    /// It is asked whether the filling is meant all the same.
    pub stops: bool,
}

impl Warning {
    fn told(says: impl Into<String>) -> Warning {
        Warning { says: says.into(), stops: false }
    }

    fn stops(says: impl Into<String>) -> Warning {
        Warning { says: says.into(), stops: true }
    }
}

/// The warnings that stand before filling on `today`, most general first. Never empty: filling always hides the record.
///
/// Source: [`BEFORE_FILLING`].
pub fn before_filling(of: &Filling, today: NaiveDate) -> Vec<Warning> {
    let mut warnings = vec![Warning::told(record(of, today))];
    warnings.extend(engineer(of));
    warnings.extend(movement(of));
    warnings.extend(stretch(of));
    warnings.extend(water(of));
    warnings.extend(steel(of));
    warnings.extend(width(of));
    warnings
}

fn record(of: &Filling, today: NaiveDate) -> String {
    let is_fresh = of.read_on.is_some_and(|day| (0..=READ_WITHIN_DAYS).contains(&(today - day).num_days()));
    let first = match (is_fresh, of.photographed) {
        (true, true) => "its width and photograph are what later readings will be compared with",
        (true, false) => "photograph it with a scale first",
        (false, true) => "read its width first",
        (false, false) => "read its width and photograph it with a scale first",
    };
    format!("filling hides the record and ends its series: {first}")
}

/// Who looks before any repair, by the finding's verdict.
fn engineer(of: &Filling) -> Option<Warning> {
    let because = of.called.as_ref()?;
    Some(Warning::stops(format!("a licensed structural engineer looks before any repair: {because}")))
}

/// Whether what it is filled with is as stiff as the wall.
fn is_rigid(method: Method) -> bool {
    method != Method::PolyurethaneInjection
}

fn is_injected(method: Method) -> bool {
    matches!(method, Method::EpoxyInjection | Method::PolyurethaneInjection)
}

fn movement(of: &Filling) -> Option<Warning> {
    let said = |what: &str| match is_rigid(of.method) {
        true => format!("rigid filling is for a crack that does not move: {what}"),
        false => format!("a filling hides movement and does not stop it: {what}"),
    };
    if of.moved_while_looked_at {
        return Some(Warning::stops(said("it moved while it was looked at")));
    }
    match of.trend {
        Some(State::NoTrendShown) => None,
        Some(State::Growing) => Some(Warning::stops(said("its record says growing"))),
        Some(State::Closing) => Some(Warning::stops(said("its record says closing"))),
        Some(State::Insufficient) | None => {
            Some(Warning::told(said("there is no full year of readings to show whether it does")))
        }
    }
}

/// Growth that stays possible beside what hardened resin bears.
fn stretch(of: &Filling) -> Option<Warning> {
    let (growth, width) = (of.not_ruled_out?, of.width.filter(|_| is_rigid(of.method))?);
    let bears = Length::from_exact(width.exact().checked_mul(STRETCHES)?)?;
    (of.trend == Some(State::NoTrendShown) && growth > bears).then(|| {
        Warning::told(format!(
            "growth up to {} a year is not ruled out; hardened resin of type IV has to stretch 1 % before it breaks, {} here",
            told::length(growth),
            told::length(bears)
        ))
    })
}

fn water(of: &Filling) -> Vec<Warning> {
    let mut says = Vec::new();
    let leaks = matches!(of.water, Some(Water::Seeping | Water::Running));
    if leaks {
        says.push(match of.method {
            Method::PolyurethaneInjection => Warning::told(
                "it leaks: a grout for leaking cracks is meant for that; see on the pack whether this one is",
            ),
            Method::EpoxyInjection => Warning::stops(
                "it leaks: epoxy does not bond to running water; polyurethane grout is made for leaking cracks",
            ),
            _ => Warning::stops(
                "it leaks: what is laid on from inside is pushed off; it is let dry or injected with a grout",
            ),
        });
    }
    if (leaks || of.water == Some(Water::Damp)) && !of.water_source_known {
        let wet = if leaks { "it leaks" } else { "it is damp" };
        says.push(Warning::stops(format!(
            "{wet} and the source of the water is not known: look for it first, for the crack comes again"
        )));
    }
    if matches!(of.water, None | Some(Water::Unknown)) {
        says.push(Warning::told("whether it is ever wet is not known: look after rain first"));
    }
    says
}

fn steel(of: &Filling) -> Option<Warning> {
    match of.steel_rusts {
        Some(Answer::Yes) => {
            Some(Warning::stops("steel rusts here: filling does not stop it, and an engineer looks first"))
        }
        Some(Answer::No) => None,
        None | Some(Answer::Unknown) => {
            Some(Warning::told("whether steel rusts behind it is not known: look for rust stains"))
        }
    }
}

fn width(of: &Filling) -> Option<Warning> {
    let Some(width) = of.width else {
        return Some(Warning::told("its width was never read"));
    };
    let read = told::length(width);
    match width {
        w if w < NARROWEST && is_injected(of.method) => Some(Warning::stops(format!(
            "{read} is narrower than 0.002 in (0.05 mm), the least that takes injected resin"
        ))),
        w if w < HARD_BELOW && is_injected(of.method) => {
            Some(Warning::told(format!("{read} is under 0.005 in (0.13 mm), which is hard to fill well")))
        }
        w if w >= PENCIL => Some(Warning::stops(format!(
            "{read} is about 1/4 in or more: a licensed structural engineer looks before any repair"
        ))),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{Filling, before_filling};
    use crate::quantity::Length;
    use crate::trade::rules::tests::assert_wording;
    use crate::trade::series::tests::day;
    use crate::trade::trend::State;
    use crate::trade::words::{Answer, Method, Water};

    /// 1 mm wide, read today and photographed, a full year without a trend, dry, no rust.
    fn ready() -> Filling {
        Filling {
            method: Method::EpoxyInjection,
            called: None,
            width: Some(Length::mm(1, 1)),
            read_on: Some(day("2025-06-01")),
            photographed: true,
            trend: Some(State::NoTrendShown),
            not_ruled_out: Some(Length::mm(1, 100)),
            moved_while_looked_at: false,
            water: Some(Water::Dry),
            water_source_known: false,
            steel_rusts: Some(Answer::No),
        }
    }

    fn added(of: Filling) -> Vec<String> {
        let warnings = before_filling(&of, day("2025-06-01"));
        warnings.iter().for_each(|warning| assert_wording(&warning.says));
        warnings.into_iter().skip(1).map(|warning| warning.says).collect()
    }

    #[test]
    fn filling_always_says_that_it_hides_the_record() {
        let first = |of: Filling| before_filling(&of, day("2025-06-08")).swap_remove(0).says;
        assert!(first(ready()).ends_with("are what later readings will be compared with"));
        assert!(first(Filling { photographed: false, ..ready() }).ends_with("photograph it with a scale first"));
        assert!(first(Filling { read_on: Some(day("2025-05-31")), ..ready() }).ends_with("read its width first"));
        assert!(first(Filling { read_on: Some(day("2025-06-09")), ..ready() }).ends_with("read its width first"));
        let bare = Filling {
            width: None,
            read_on: None,
            photographed: false,
            trend: None,
            not_ruled_out: None,
            water: None,
            steel_rusts: None,
            ..ready()
        };
        let bare = before_filling(&bare, day("2025-06-08"));
        assert!(bare[0].says.ends_with("read its width and photograph it with a scale first"));
        assert!(bare.iter().all(|warning| !warning.stops), "what is not known asks for nothing: {bare:?}");
        assert_eq!(bare.len(), 5, "what is not known warns: {bare:?}");
    }

    #[test]
    fn a_crack_that_is_dry_read_for_a_year_and_of_a_width_to_fill_has_no_other_warning() {
        assert_eq!(added(ready()), Vec::<String>::new());
        // 1 % of 1 mm is 0.01 mm (ASTM C881-15, Table 1).
        let more = added(Filling { not_ruled_out: Some(Length::mm(11, 1000)), ..ready() });
        assert!(
            more.len() == 1 && more[0].starts_with("growth up to 0.011 mm (0.0004 in) a year is not ruled out"),
            "{more:?}"
        );
    }

    #[test]
    fn a_crack_that_may_move_leaks_or_rusts_is_warned_of() {
        let cases = [
            (Filling { trend: None, ..ready() }, "no full year of readings"),
            (Filling { trend: Some(State::Insufficient), ..ready() }, "no full year of readings"),
            (Filling { trend: Some(State::Growing), ..ready() }, "its record says growing"),
            (Filling { trend: Some(State::Closing), ..ready() }, "its record says closing"),
            (Filling { moved_while_looked_at: true, ..ready() }, "it moved while it was looked at"),
            (
                Filling { water: Some(Water::Seeping), water_source_known: true, ..ready() },
                "it leaks: epoxy does not bond",
            ),
            (Filling { called: Some("it runs".to_owned()), ..ready() }, "engineer looks before any repair: it runs"),
            (Filling { water: Some(Water::Running), water_source_known: true, ..ready() }, "it leaks"),
            (Filling { water: Some(Water::Damp), ..ready() }, "the source of the water is not known"),
            (Filling { water: Some(Water::Unknown), ..ready() }, "whether it is ever wet is not known"),
            (Filling { steel_rusts: Some(Answer::Yes), ..ready() }, "steel rusts here"),
            (Filling { steel_rusts: None, ..ready() }, "whether steel rusts behind it is not known"),
        ];
        for (of, says) in cases {
            let warnings = added(of);
            assert!(warnings.len() == 1 && warnings[0].contains(says), "{says}: {warnings:?}");
        }
        assert!(added(Filling { water: Some(Water::Damp), water_source_known: true, ..ready() }).is_empty());
    }

    #[test]
    fn a_leak_whose_source_is_not_known_says_both() {
        let warnings = added(Filling { water: Some(Water::Running), ..ready() });
        assert!(warnings.len() == 2 && warnings[1].contains("source of the water is not known"), "{warnings:?}");
    }

    #[test]
    fn polyurethane_is_the_grout_for_leaks_and_is_not_rigid() {
        // USBR MERL-2013-58: chemical grouting (polyurethane, acrylic) of leaking cracks.
        let leaking = Filling { water: Some(Water::Running), water_source_known: true, trend: None, ..ready() };
        let said = |method| added(Filling { method, ..leaking.clone() }).join(" | ");
        let grout = said(Method::PolyurethaneInjection);
        assert!(
            grout.contains("is meant for that") && !grout.contains("rigid") && !grout.contains("does not bond"),
            "{grout}"
        );
        assert!(said(Method::EpoxyInjection).contains("polyurethane grout is made for leaking cracks"));
        let stops =
            |method| before_filling(&Filling { method, ..leaking.clone() }, day("2025-06-01")).iter().any(|w| w.stops);
        assert!(stops(Method::EpoxyInjection) && !stops(Method::PolyurethaneInjection) && stops(Method::Patch));
    }

    #[test]
    fn widths_outside_what_takes_resin_are_named() {
        // TxDOT: 0.002 in and 0.005 in. 1/4 in: common practice, the rule of the crack itself.
        let cases = [
            ("0.0019 in", Some("narrower than 0.002 in")),
            ("0.002 in", Some("hard to fill well")),
            ("0.0049 in", Some("hard to fill well")),
            ("0.005 in", None),
            ("0.249 in", None),
            ("1/4 in", Some("a licensed structural engineer looks before any repair")),
        ];
        for (width, says) in cases {
            let width_of = Some(Length::parse(width).unwrap());
            let warnings = added(Filling { width: width_of, not_ruled_out: None, ..ready() });
            assert_eq!(warnings.len(), usize::from(says.is_some()), "{width}: {warnings:?}");
            assert!(says.is_none_or(|says| warnings[0].contains(says)), "{width}: {warnings:?}");
        }
    }
}

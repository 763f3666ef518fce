//! How much a thing at a house can measure at most. What is beyond is a slip of the unit or of the decimal point, and nobody is
//! asked whether it was meant.
//!
//! Design rule of this program, no published source: each bound is well beyond what is read on a house, and bounds what is
//! entered now, not what was recorded before.

use super::reading_added::{Measured, ReadingAdded};
use crate::ledger::problem::Problem;
use crate::quantity::{Area, Flow, Length, Measure, Typed};
use crate::trade::words::FindingKind;

/// Longer than any house: one kilometre. It bounds what was recorded before, too.
pub(super) const MOST_LENGTH: Length = Length::mm(1_000_000, 1);
/// More than a pump in a pit lifts.
const MOST_FLOW: Flow = Flow::gpm(1000, 1);

/// A length in metres with its spelling.
type Most = (i128, &'static str);

/// Refuses what is more than `most`; a quantity that may point either way is bounded both ways.
fn within<Q: Measure + PartialOrd>(
    field: &'static str,
    typed: Option<&Typed<Q>>,
    beyond: impl Fn(&Q) -> bool,
    most: &str,
    found: &mut Vec<Problem>,
) {
    if let Some(typed) = typed.filter(|t| beyond(&t.value())) {
        found.push(Problem::Absurd { field, typed: typed.typed().to_owned(), most: most.to_owned() });
    }
}

/// Refuses a length of more than so many metres; beyond a kilometre it has been refused already.
pub(super) fn length(
    field: &'static str,
    typed: Option<&Typed<Length>>,
    (metres, most): Most,
    found: &mut Vec<Problem>,
) {
    let beyond = |l: &Length| l.abs() > Length::mm(metres * 1000, 1);
    within(field, typed, beyond, most, found);
}

pub(super) fn flow(field: &'static str, typed: Option<&Typed<Flow>>, found: &mut Vec<Problem>) {
    within(field, typed, |f| *f > MOST_FLOW, "1000 gpm", found);
}

/// What a reading shows, and what it was taken over.
pub(super) fn reading(reading: &ReadingAdded, kind: Option<FindingKind>, found: &mut Vec<Problem>) {
    let field = reading.measured.flag();
    let most = match kind {
        // What it is nobody said, so it may be a hollow in the garden.
        Some(FindingKind::Other) => (150, "150 m"),
        _ => most(&reading.measured),
    };
    let near = |l: &&Typed<Length>| l.value().abs() <= MOST_LENGTH;
    length(field, reading.measured.length().filter(near), most, found);
    if let Measured::Profile(profile) = &reading.measured {
        for height in [&profile.one_end, &profile.middle, &profile.other_end] {
            length(field, Some(height), most, found);
        }
    }
    if let Measured::Area(area) | Measured::FreeArea(area) = &reading.measured {
        within(field, Some(area), |a| *a > Area::m2(10_000, 1), "10000 m2", found);
    }
    length("--over", reading.over.as_ref().filter(near), (200, "200 m"), found);
    length("--resolution", reading.resolution.as_ref().filter(near), (1, "1 m"), found);
    // Out of plumb is the short side of a triangle of which the height is a longer one.
    if let (Measured::Plumb(out), Some(over)) = (&reading.measured, &reading.over)
        && out.value() > over.value()
    {
        let (typed, most) = (out.typed().to_owned(), over.typed().to_owned());
        found.push(Problem::Absurd { field, typed, most });
    }
}

/// The most a quantity can show.
fn most(measured: &Measured) -> Most {
    match measured {
        Measured::Width(_) | Measured::Offset(_) | Measured::Depth(_) | Measured::Probe(_) => (1, "1 m"),
        Measured::Bow(_) | Measured::Plumb(_) | Measured::EdgeDistance(_) | Measured::Step(_) | Measured::Gap(_) => {
            (2, "2 m")
        }
        Measured::Level(_) | Measured::Profile(_) | Measured::WaterDepth(_) | Measured::Fall(_) => (10, "10 m"),
        Measured::Across(_) | Measured::Clearance(_) => (20, "20 m"),
        Measured::Length(_) => (100, "100 m"),
        Measured::Height(_) | Measured::Distance(_) => (150, "150 m"),
        _ => (1000, "1 km"),
    }
}

#[cfg(test)]
mod tests {
    use super::reading;
    use crate::ledger::kind::reading_added::{Measured, ReadingAdded};
    use crate::quantity::{Length, Typed};

    /// Both sides of each bound of the table above, as they are typed.
    #[test]
    fn each_quantity_has_its_own_most() {
        type Make = fn(Typed<Length>) -> Measured;
        let cases: [(Make, &str, &str); 9] = [
            (Measured::Width, "1 m", "1.001 m"),
            (Measured::Offset, "1000 mm", "1001 mm"),
            (Measured::Bow, "2 m", "2.001 m"),
            (Measured::WaterDepth, "10 m", "10.001 m"),
            (Measured::Level, "10 m", "10.001 m"),
            (Measured::Clearance, "20 m", "20.001 m"),
            (Measured::Length, "100 m", "100.001 m"),
            (Measured::Height, "150 m", "150.001 m"),
            (Measured::Step, "2000 mm", "2001 mm"),
        ];
        for (make, most, beyond) in cases {
            for (typed, refused) in [(most, 0), (beyond, 1)] {
                let measured = make(Typed::parse(typed).unwrap());
                let mut found = Vec::new();
                let (over, resolution, with, at) = (None, None, None, None);
                reading(
                    &ReadingAdded { finding: 1, measured, over, resolution, with, at, moved: false },
                    None,
                    &mut found,
                );
                assert_eq!(found.len(), refused, "{typed}: {found:?}");
            }
        }
    }
}

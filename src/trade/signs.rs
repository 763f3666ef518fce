//! Several weaker signs at one place.
//!
//! The rule in words: of binding, a sloping floor, cracks and walkway heave three or more at one place go to a licensed
//! structural engineer. Signs of one kind count once, for several cracks of one wall may be one thing. A finding counts that
//! is watched or to be mended by itself, or not known: one that is called or urgent sends somebody anyway, and one that is
//! only noted (a dry hairline) was looked at and found slight.

use std::collections::BTreeSet;

use super::cautions;
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict, Who};

/// Kinds of weaker sign that together send it on: design rule of this program, no published source.
pub const LEAST_SIGNS: usize = 3;

pub static SEVERAL_SIGNS: Rule = Rule {
    name: "several-signs",
    says: "three or more of binding, sloping floor, cracks and walkway heave at one place go to a licensed structural engineer",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "open findings at one place (one section, or the same words where no section is named), each too weak to send anybody \
            by itself and more than noted",
    variants: &[],
};

/// Whether a finding of this band is such a sign: see above.
pub fn is_weak(band: Option<Band>) -> bool {
    band.is_none_or(|band| Band::Note < band && band < Band::Call)
}

/// A sign that by itself sends nobody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sign {
    Binding,
    SlopingFloor,
    Crack,
    WalkwayHeave,
}

impl Sign {
    fn word(self) -> &'static str {
        match self {
            Sign::Binding => "binding",
            Sign::SlopingFloor => "sloping floor",
            Sign::Crack => "cracks",
            Sign::WalkwayHeave => "walkway heave",
        }
    }
}

/// The open findings at one place (one section) that are such signs, each with its subject.
#[derive(Debug, Clone, Default)]
pub struct AtOnePlace<'a> {
    pub place: &'a str,
    pub signs: &'a [(Sign, &'a str)],
}

/// The verdict on one place; no band below three kinds of sign.
pub fn verdict(of: &AtOnePlace) -> Verdict {
    let kinds: BTreeSet<Sign> = of.signs.iter().map(|(sign, _)| *sign).collect();
    if kinds.len() < LEAST_SIGNS {
        return Verdict::from_fired(Vec::new());
    }
    let seen: Vec<String> = of.signs.iter().map(|(sign, subject)| format!("{} ({subject})", sign.word())).collect();
    let because = format!("{} kinds of sign at `{}`: {}", kinds.len(), of.place, seen.join(", "));
    let fired =
        Fired::new(&SEVERAL_SIGNS, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because);
    let mut verdict = Verdict::from_fired(vec![fired]);
    verdict.next = vec![Step::recorded_as(
        "a judgement by a licensed structural engineer on all of them together",
        "judgement-given",
    )];
    verdict.cautions = vec![cautions::LOCAL_LAW];
    verdict
}

#[cfg(test)]
mod tests {
    use super::{AtOnePlace, Sign, is_weak, verdict};
    use crate::trade::rules::tests::worded;
    use crate::trade::verdict::Band;

    #[test]
    fn three_kinds_of_sign_at_one_place_are_called() {
        let three = [(Sign::Binding, "2"), (Sign::Crack, "1"), (Sign::SlopingFloor, "4")];
        let called = worded(verdict(&AtOnePlace { place: "main", signs: &three }));
        assert_eq!(called.band, Some(Band::Call));
        assert_eq!(called.because[0].because, "3 kinds of sign at `main`: binding (2), cracks (1), sloping floor (4)");
        assert_eq!(verdict(&AtOnePlace { place: "main", signs: &three[..2] }).band, None);
        let weak = [None, Some(Band::Watch), Some(Band::Mend)];
        assert!(weak.into_iter().all(is_weak));
        assert!(![Band::Note, Band::Call, Band::Urgent].into_iter().any(|band| is_weak(Some(band))));
        // Three cracks may be one thing.
        let cracks = [(Sign::Crack, "1"), (Sign::Crack, "2"), (Sign::Crack, "3"), (Sign::Binding, "4")];
        assert_eq!(verdict(&AtOnePlace { place: "main", signs: &cracks }).band, None);
    }
}

//! Doors and windows that bind, and findings of no other kind.
//!
//! The rule in words: by itself each is watched. A door that binds together with other signs at one place is
//! [`super::signs`]'s to weigh.

use chrono::NaiveDate;

use super::told::NotKnown;
use super::verdict::{Band, Fired, Rule, Standing, Step, Verdict, Who};

pub static BINDING: Rule = Rule {
    name: "binding-alone",
    says: "a door or window that binds, by itself, is watched",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "doors and windows above a foundation; many bind with the humidity of the season",
    variants: &[],
};

pub static OTHER: Rule = Rule {
    name: "other-watched",
    says: "a finding of no other kind is watched until it is closed",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "findings that no published rule of the program speaks of",
    variants: &[],
};

/// A door or window that binds.
#[derive(Debug, Clone, Default)]
pub struct Binding<'a> {
    pub what: Option<&'a str>,
    pub since: Option<NaiveDate>,
}

/// A finding of no other kind.
#[derive(Debug, Clone, Default)]
pub struct Other<'a> {
    pub what: Option<&'a str>,
}

/// The verdict on one door or window that binds.
pub fn binding(of: &Binding) -> Verdict {
    let what = of.what.unwrap_or("a door or window");
    let mut verdict =
        Verdict::from_fired(vec![Fired::new(&BINDING, Band::Watch, Who::Owner, None, format!("{what} binds"))]);
    let mut list = NotKnown::default();
    list.asked(of.what, "which door or window it is");
    list.asked(of.since.as_ref(), "since when it binds");
    verdict.not_known = list.into_list();
    verdict.next = vec![Step::recorded_as(
        "try it again in the next season, and look for cracks and sloping floors near it",
        "note-added",
    )];
    verdict
}

/// The verdict on a finding of no other kind.
pub fn verdict(of: &Other) -> Verdict {
    let what = of.what.unwrap_or("a finding that is not described");
    let mut verdict = Verdict::from_fired(vec![Fired::new(&OTHER, Band::Watch, Who::Owner, None, what)]);
    let mut list = NotKnown::default();
    list.asked(of.what, "what it is");
    verdict.not_known = list.into_list();
    verdict.next = vec![Step::recorded_as("look at it again at the next walk", "note-added")];
    verdict
}

#[cfg(test)]
mod tests {
    use super::{Binding, Other, binding, verdict};
    use crate::trade::rules::tests::worded;
    use crate::trade::verdict::Band;

    #[test]
    fn each_is_watched_by_itself() {
        let door = worded(binding(&Binding { what: Some("hall door"), since: None }));
        assert_eq!((door.band, door.because[0].because.to_string()), (Some(Band::Watch), "hall door binds".to_owned()));
        assert_eq!(door.not_known, ["since when it binds (not asked)"]);
        let other = worded(verdict(&Other::default()));
        assert_eq!((other.band, other.not_known.len()), (Some(Band::Watch), 1));
    }
}

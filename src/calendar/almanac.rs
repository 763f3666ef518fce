//! The almanac: what is looked at and done, for which part of a house, when, and on whose word.
//!
//! Data in `almanac.toml`; this file reads it. `of` names are words of the layers above (foundation and fixture kinds);
//! a test there sees that each is known.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

static TEXT: &str = include_str!("almanac.toml");

/// The almanac of this program.
pub static ALMANAC: LazyLock<Almanac> =
    LazyLock::new(|| toml::from_str(TEXT).expect("the almanac's own test reads it"));

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Almanac {
    #[serde(rename = "point")]
    pub points: Vec<Point>,
    #[serde(rename = "duty")]
    pub duties: Vec<Duty>,
    #[serde(rename = "place")]
    pub places: Vec<Place>,
}

/// What to mind wherever something is done in a part of a house, whatever it is.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// `section:crawl-space`.
    pub of: String,
    /// Names of the texts in `trade/cautions.rs`.
    pub cautions: Vec<String>,
}

/// One stop of a walk.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Point {
    pub code: String,
    /// `property`, `section:basement`, `fixture:tree`.
    pub of: Vec<String>,
    pub seasons: Vec<String>,
    pub title: String,
    /// What to look at.
    pub look: String,
    /// Kinds of finding that are often opened here.
    pub finds: Vec<String>,
    pub cautions: Vec<String>,
}

/// A thing to be done again and again, or some days after something.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Duty {
    pub code: String,
    /// `property`, `section:basement`, `fixture:sump-pump`, or `repair`.
    pub of: Vec<String>,
    pub title: String,
    pub rule: Rule,
    pub by: By,
    pub minutes: u32,
    pub why: String,
    pub source: String,
    /// `read`, `second-hand`, `practice` or `memory`.
    pub standing: String,
    /// Names of the texts in `trade/cautions.rs`.
    pub cautions: Vec<String>,
    /// The setting that says which of several documents' frequencies stands, and the value of it that means this row.
    #[serde(default)]
    pub choice: Option<String>,
    #[serde(default)]
    pub variant: Option<String>,
    /// Nobody is asked for it until it is set on.
    #[serde(default)]
    pub off: bool,
}

impl Duty {
    /// Whether a verdict asks for it, and not the calendar.
    pub fn is_asked(&self) -> bool {
        matches!(self.rule, Rule::Verdict { .. })
    }
}

/// When a duty falls due.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(untagged, deny_unknown_fields)]
pub enum Rule {
    /// Once in that season.
    Season { season: Season },
    /// So many months after it was last done.
    Months { months: u32 },
    /// So many days before a day of the year.
    Before { before: DayOfYear, days: u32 },
    /// By a day of every year, `01-31`.
    Yearly { on: String },
    /// Between `from_days` and `days` after something that happened.
    After {
        after: Trigger,
        #[serde(default)]
        from_days: u32,
        days: u32,
    },
    /// By the day that the verdict on its subject names, where it asks for such an entry.
    Verdict { verdict: String },
    /// By the day on which a warranty ends.
    Warranty { warranty: Warranty },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Season {
    Spring,
    Autumn,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DayOfYear {
    LastFreeze,
    FirstFreeze,
    WetSeason,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trigger {
    Repair,
    SystemStart,
    /// The present piece was put in.
    Installed,
}

/// The day of a warranty that counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Warranty {
    Ends,
}

/// The entry that satisfies a duty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// A walk that reached every point of it.
    Walk,
    SumpTest,
    RadonTest,
    RepairCheck,
    Reading,
    /// Whatever the verdict asks for.
    Verdict,
    /// No entry can say it: `stemwall done`.
    Done,
}

impl Almanac {
    /// The duties of a part of a house.
    pub fn duties_of<'a>(&'a self, of: &'a str) -> impl Iterator<Item = &'a Duty> {
        self.duties.iter().filter(move |duty| duty.of.iter().any(|o| o == of))
    }

    /// Names of the cautions of a part of a house, whatever is done there.
    pub fn cautions_in(&self, of: &str) -> &[String] {
        self.places.iter().find(|place| place.of == of).map_or(&[], |place| &place.cautions)
    }

    /// A duty by its name.
    pub fn duty(&self, code: &str) -> Option<&Duty> {
        self.duties.iter().find(|duty| duty.code == code)
    }

    /// The points of a part of a house in a season.
    pub fn points_of<'a>(&'a self, of: &'a str, season: &'a str) -> impl Iterator<Item = &'a Point> {
        let here = move |point: &&Point| point.of.iter().any(|o| o == of) && point.seasons.iter().any(|s| s == season);
        self.points.iter().filter(here)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::ALMANAC;

    #[test]
    fn every_row_has_a_name_of_its_own_a_reason_and_a_source() {
        let almanac = &*ALMANAC;
        let codes: Vec<&String> =
            almanac.points.iter().map(|p| &p.code).chain(almanac.duties.iter().map(|d| &d.code)).collect();
        assert_eq!(codes.iter().collect::<BTreeSet<_>>().len(), codes.len());
        for duty in &almanac.duties {
            assert!(!duty.why.is_empty() && !duty.source.is_empty(), "{}", duty.code);
            assert!(["read", "second-hand", "practice", "memory"].contains(&duty.standing.as_str()), "{}", duty.code);
            let unsourced = duty.source.contains("no standard") || duty.source.contains("no published source");
            assert!(!unsourced || ["practice", "memory"].contains(&duty.standing.as_str()), "{}", duty.code);
            assert_eq!(duty.choice.is_some(), duty.variant.is_some(), "{}", duty.code);
            assert!((1..=60).contains(&duty.minutes), "{}", duty.code);
        }
    }

    #[test]
    fn where_documents_differ_there_is_more_than_one_to_choose() {
        let rows = ALMANAC.duties.iter();
        let chosen: BTreeSet<_> = rows.filter_map(|d| Some((d.choice.as_deref()?, d.variant.as_deref()?))).collect();
        for choice in chosen.iter().map(|(choice, _)| choice) {
            assert!(chosen.iter().filter(|(other, _)| other == choice).count() > 1, "{choice}");
        }
        assert_eq!(chosen.iter().map(|(choice, _)| choice).collect::<BTreeSet<_>>().len(), 3);
    }
}

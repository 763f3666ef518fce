//! The risk chart of 1992, which a later one took the place of: the printed figures and nothing between them.
//!
//! The rule in words: of 1,000 people so many, at each level of the chart; no formula is published for it and none is fitted here, so a
//! level between two rows is told by both. It has smokers and people who never smoked, and nobody else.
//!
//! Source: EPA, A Citizen's Guide to Radon (1992), chart as reprinted; read.

use super::risk::{CHART_TO, Group};
use crate::quantity::{Activity, Exact};
use crate::trade::input::InputError;
use crate::trade::told;

/// Level in pCi/L, of 1,000 smokers, of 1,000 who never smoked; 0 is printed as "less than 1".
const CHART: [(Activity, u32, u32); 7] = [
    (Activity::pci_l(20, 1), 135, 8),
    (Activity::pci_l(10, 1), 71, 4),
    (Activity::pci_l(8, 1), 57, 3),
    (Activity::pci_l(4, 1), 29, 2),
    (Activity::pci_l(2, 1), 15, 1),
    (Activity::pci_l(13, 10), 9, 0),
    (Activity::pci_l(4, 10), 3, 0),
];

/// What the chart has at a level.
#[derive(Debug, Clone, PartialEq)]
pub struct Printed {
    /// As a fraction, where the level is a row of the chart and its figure no "less than 1".
    pub risk: Option<f64>,
    pub said: String,
}

/// The chart's figure at `level`, or the two between which it is. Errors: above 20 pCi/L, and for the general population.
pub fn printed(level: Activity, group: Group) -> Result<Printed, InputError> {
    if level.exact_pci_l() > CHART_TO {
        return Err(InputError::Outside { input: "level", range: "the chart, which ends at 20 pCi/L" });
    }
    let of = |row: &(Activity, u32, u32)| match group {
        Group::Current => Ok(row.1),
        Group::Never => Ok(row.2),
        Group::General => {
            Err(InputError::Outside { input: "group", range: "the chart of 1992, which has `never` and `current`" })
        }
    };
    let figure = |deaths: u32| if deaths == 0 { "less than 1".to_owned() } else { deaths.to_string() };
    let at = CHART.iter().find(|(at, ..)| *at == level).map(of).transpose()?;
    let above = CHART.iter().rev().find(|(at, ..)| *at > level).map(of).transpose()?;
    let below = CHART.iter().find(|(at, ..)| *at < level).map(of).transpose()?;
    let deaths = match (at, below, above) {
        (Some(deaths), ..) => figure(deaths),
        (None, Some(0), Some(0)) => figure(0),
        (None, Some(below), Some(above)) if below == above => figure(below),
        (None, Some(below), Some(above)) => format!("{} to {}", figure(below), figure(above)),
        (None, _, above) => format!("at most {}", figure(above.unwrap_or_default())),
    };
    Ok(Printed {
        risk: at.filter(|deaths| *deaths > 0).map(|deaths| Exact::new(i128::from(deaths), 1000).to_f64()),
        said: format!(
            "{deaths} of 1,000 {} would die of lung cancer from it, in a lifetime at this level, {}, by the chart of 1992",
            group.words(),
            told::activity(level)
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::{Group, printed};
    use crate::quantity::Activity;

    #[test]
    fn the_chart_of_1992_is_given_as_printed_and_not_between_its_rows() {
        // EPA, A Citizen's Guide to Radon (1992): smokers 135, 71, 57, 29, 15, 9, 3 of 1,000; never smoked 8, 4, 3, 2, 1, <1, <1.
        let current = [(20, 0.135), (10, 0.071), (8, 0.057), (4, 0.029), (2, 0.015)];
        for (level, risk) in current {
            assert_eq!(printed(Activity::pci_l(level, 1), Group::Current).unwrap().risk, Some(risk), "{level}");
        }
        let said = |tenths, group| printed(Activity::pci_l(tenths, 10), group).unwrap();
        assert_eq!(said(13, Group::Current).risk, Some(0.009));
        assert_eq!((said(20, Group::Never).risk, said(4, Group::Never).risk), (Some(0.001), None));
        for (tenths, group, deaths) in [
            (60, Group::Current, "29 to 57 of 1,000 people who smoke would"),
            (4, Group::Never, "less than 1 of 1,000 people who never smoked would"),
            (10, Group::Never, "less than 1 of 1,000 people"),
            (15, Group::Never, "less than 1 to 1 of 1,000"),
            (2, Group::Current, "at most 3 of 1,000"),
        ] {
            let said = said(tenths, group);
            assert!(said.said.starts_with(deaths), "{}", said.said);
            assert!(said.said.ends_with("by the chart of 1992"), "{}", said.said);
        }
        assert_eq!(said(60, Group::Current).risk, None, "nothing is printed for 6 pCi/L");
        assert_eq!(printed(Activity::pci_l(4, 1), Group::General).unwrap_err().input(), "group");
        assert_eq!(printed(Activity::pci_l(201, 10), Group::Never).unwrap_err().input(), "level");
    }
}

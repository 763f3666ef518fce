//! Lifetime risk of lung cancer from radon at home, by level and smoking.
//!
//! The rule in words: R(c) = A (1 - exp(-k c / A)), c in pCi/L for a lifetime at that level. A and k are fitted here to the
//! 21 printed figures of EPA's chart and give every one of them back at two significant figures; they are not published
//! constants. The chart ends at 20 pCi/L, and above it nothing is said. A risk never lowers a band, and is never to be shown
//! without the group and "a lifetime at this level".
//!
//! Source: EPA 402-R-03-003 (2003), chart as printed in A Citizen's Guide to Radon and a guide for health professionals (2020).

use crate::quantity::{Activity, Exact};
use crate::trade::input::InputError;
use crate::trade::told;
use crate::trade::verdict::{Rule, Standing, Variant};
use crate::trade::words::words;

/// Highest level of the chart, pCi/L: EPA 402-R-03-003 (2003); read.
pub const CHART_TO: Exact = Exact::integer(20);

pub static RISK: Rule = Rule {
    name: "radon-lifetime-risk",
    says: "lifetime risk A (1 - exp(-k c / A)), a fit to the 21 figures of the chart: never smoked A 1, k 0.001835 per pCi/L; \
           smoking 0.77 and 0.01615; general 0.70 and 0.00585; nothing above 20 pCi/L",
    source: "fit to the chart of EPA 402-R-03-003 (2003)",
    standing: Standing::Derived,
    scope: "a lifetime at this level, 0.4 to 20 pCi/L; the group always stands beside it, and it lowers no band",
    variants: &[Variant {
        name: "chart-1992",
        says: "29 of 1,000 smokers at 4 pCi/L, where the chart of 2003 has 62",
        source: "EPA, A Citizen's Guide to Radon (1992)",
        standing: Standing::Read,
    }],
};

words! {
    /// Which of EPA's charts.
    Chart { Of2003 = "chart-2003", Of1992 = "chart-1992" }
}

words! {
    /// Whom a risk is for.
    Group { Never = "never", Current = "current", General = "general" }
}

impl Group {
    /// As it is put to people.
    pub fn words(self) -> &'static str {
        match self {
            Group::Never => "people who never smoked",
            Group::Current => "people who smoke",
            Group::General => "the general population",
        }
    }

    /// A and k (per pCi/L) of the fit.
    fn fit(self) -> (f64, f64) {
        match self {
            Group::Never => (1.0, 0.001_835),
            Group::Current => (0.77, 0.016_15),
            Group::General => (0.70, 0.005_85),
        }
    }
}

/// Lifetime risk at `level` as a fraction; above 20 pCi/L an error that names `level`.
///
/// Source: [`RISK`].
pub fn lifetime_risk(level: Activity, group: Group) -> Result<f64, InputError> {
    if level.exact_pci_l() > CHART_TO {
        return Err(InputError::Outside { input: "level", range: "the chart, which ends at 20 pCi/L" });
    }
    let (most, slope) = group.fit();
    Ok(-most * (-slope * level.to_pci_l() / most).exp_m1())
}

/// A risk in words, to the two significant figures of the chart, never without the group and for how long.
pub fn told(risk: f64, level: Activity, group: Group) -> String {
    let deaths = two_figures(risk * 1e5);
    format!(
        "about {deaths} of 100,000 {} would die of lung cancer from it, in a lifetime at this level, {}",
        match group {
            Group::General => "of the general population",
            Group::Never | Group::Current => group.words(),
        },
        told::activity(level)
    )
}

/// `3,600`, `73`, `1.8`.
fn two_figures(number: f64) -> String {
    if number <= 0.0 {
        return "0".to_owned();
    }
    let places = 1 - number.log10().floor() as i32;
    if places > 0 {
        return format!("{number:.*}", usize::try_from(places).unwrap_or(0));
    }
    let step = 10_f64.powi(-places);
    let whole = ((number / step).round() * step).round() as u64;
    if whole >= 1000 { format!("{},{:03}", whole / 1000, whole % 1000) } else { whole.to_string() }
}

#[cfg(test)]
mod tests {
    use super::{Group, lifetime_risk, told};
    use crate::quantity::{Activity, Exact};

    /// EPA 402-R-03-003 chart, deaths per 100,000: level, never smokers, current smokers, general population.
    const CHART: [(Activity, u32, u32, u32); 7] = [
        (Activity::pci_l(20, 1), 3_600, 26_000, 11_000),
        (Activity::pci_l(10, 1), 1_800, 15_000, 5_600),
        (Activity::pci_l(8, 1), 1_500, 12_000, 4_500),
        (Activity::pci_l(4, 1), 730, 6_200, 2_300),
        (Activity::pci_l(2, 1), 370, 3_200, 1_200),
        (Activity::pci_l(125, 100), 230, 2_000, 730),
        (Activity::pci_l(4, 10), 73, 640, 230),
    ];

    /// To two significant figures, as the chart is printed.
    fn printed(risk: f64) -> u32 {
        let per_100_000 = risk * 1e5;
        let step = 10_f64.powi(per_100_000.log10().floor() as i32 - 1);
        ((per_100_000 / step).round() * step).round() as u32
    }

    #[test]
    fn every_cell_of_the_chart_is_given_back() {
        for (level, never, current, general) in CHART {
            for (group, deaths) in [(Group::Never, never), (Group::Current, current), (Group::General, general)] {
                assert_eq!(printed(lifetime_risk(level, group).unwrap()), deaths, "{level:?} {group}");
            }
        }
    }

    #[test]
    fn a_risk_is_told_to_two_figures_with_its_group() {
        // EPA 402-R-03-003 chart: 3,600, 26,000 and 73 of 100,000.
        let said = |level: Activity, group| told(lifetime_risk(level, group).unwrap(), level, group);
        assert_eq!(
            said(Activity::pci_l(20, 1), Group::Never),
            "about 3,600 of 100,000 people who never smoked would die of lung cancer from it, in a lifetime at this level, \
             20.0 pCi/L (740 Bq/m3)"
        );
        assert!(said(Activity::pci_l(20, 1), Group::Current).starts_with("about 26,000 of 100,000 people who smoke "));
        assert!(said(Activity::pci_l(4, 10), Group::Never).starts_with("about 73 of 100,000 "));
        assert!(said(Activity::ZERO, Group::General).starts_with("about 0 of 100,000 of the general population"));
    }

    #[test]
    fn the_chart_is_never_continued() {
        let just_over = Activity::from_exact(Exact::new(740_001, 1000)).unwrap();
        for group in Group::ALL {
            assert!(lifetime_risk(Activity::bq_m3(740, 1), *group).is_ok());
            assert_eq!(lifetime_risk(just_over, *group).unwrap_err().input(), "level");
            assert_eq!(lifetime_risk(Activity::ZERO, *group), Ok(0.0));
        }
    }
}

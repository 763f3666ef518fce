//! Radon in air. Stored in becquerels per cubic metre; a picocurie per litre is 37 Bq/m3 exactly.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, fixed, rough};

const PCI_L: Exact = Exact::integer(37);

measure!(
    /// An activity concentration, stored in Bq/m3. Never negative.
    Activity, least: Some(Exact::ZERO), signed: false
);
sums!(Activity);

impl Activity {
    /// `num / den` becquerels per cubic metre, for constants: see [`Exact::new`] for when it panics.
    pub const fn bq_m3(num: i128, den: i128) -> Activity {
        Activity(Exact::new(num, den))
    }

    /// `num / den` picocuries per litre, for constants: see [`Exact::new`] for when it panics.
    pub const fn pci_l(num: i128, den: i128) -> Activity {
        Activity(Exact::new(num, den).times(PCI_L))
    }

    pub fn to_bq_m3(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_pci_l(self) -> f64 {
        self.exact_pci_l().to_f64()
    }

    /// The value in picocuries per litre, exact wherever it fits.
    pub fn exact_pci_l(self) -> Exact {
        self.0.in_units_of(PCI_L)
    }

    /// A computed level, for people: `4.2 pCi/L`, to the one decimal that reports give, or `155 Bq/m3`.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} pCi/L", fixed(self.exact_pci_l(), 1)),
            Units::Metric => format!("{} Bq/m3", rough(self.0)),
        }
    }
}

//! How verdicts put things into words: quantities, days, and what is not known.
//!
//! Both systems stand side by side, whatever the ledger shows, and with more places than a screen would give, so that a
//! figure just over a limit does not read as the limit.

use chrono::{Datelike, NaiveDate};

use super::words::Answer;
use crate::quantity::{Activity, Area, Exact, Length, Share, Units};

/// A recorded length: `9.5 mm (0.374 in)`, or `2.4 m (8 ft)` from a foot on.
pub(super) fn length(length: Length) -> String {
    if length.abs() < Length::feet(1, 1) {
        return format!("{} mm ({})", length.exact().decimal(3), inches(length.to_inches()));
    }
    format!("{} ({})", length.show(Units::Metric), length.show(Units::Us))
}

/// To a thousandth of an inch, and below a hundredth to one place more, so that hairlines do not read alike.
fn inches(inches: f64) -> String {
    let places = if inches != 0.0 && inches.abs() < 0.01 { 4 } else { 3 };
    format!("{inches:.places$} in")
}

/// A computed length in mm, with inches beside it.
pub(super) fn mm(mm: f64) -> String {
    const MM_PER_INCH: f64 = 25.4;
    // From a centimetre on, a hundredth of a millimetre is beyond any gauge.
    if mm.abs() >= 10.0 {
        return format!("{mm:.1} mm ({:.2} in)", mm / MM_PER_INCH);
    }
    format!("{mm:.2} mm ({:.3} in)", mm / MM_PER_INCH)
}

/// `27.96 %`.
pub(super) fn share(share: Share) -> String {
    format!("{} %", share.exact().decimal(3))
}

/// `12.5 ft2 (1.161 m2)`.
pub(super) fn area(area: Area) -> String {
    format!("{:.1} ft2 ({:.3} m2)", area.to_ft2(), area.to_m2())
}

/// `4.2 pCi/L (155 Bq/m3)`, to one decimal, half up.
pub(super) fn activity(level: Activity) -> String {
    format!("{} ({})", level.show(Units::Us), level.show(Units::Metric))
}

/// Whether `out` over `over` is more than 1 in `one_in`, exactly wherever the numbers fit; exactly 1 in `one_in` is not.
pub(super) fn is_steeper(out: Length, over: Length, one_in: i128) -> bool {
    match out.abs().exact().checked_mul(Exact::integer(one_in)) {
        Some(scaled) => scaled > over.abs().exact(),
        None => out.to_mm().abs() * one_in as f64 > over.to_mm().abs(),
    }
}

/// `31 Dec 2025`.
pub(super) fn day(day: NaiveDate) -> String {
    const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    format!("{} {} {:04}", day.day(), MONTHS[day.month0() as usize], day.year())
}

/// The questions and readings a verdict lacks. *Not asked*, *unknown* and *never read* stay three different things.
#[derive(Debug, Default)]
pub(super) struct NotKnown(Vec<String>);

impl NotKnown {
    /// A question whose answer may be `unknown`.
    pub fn answer<T: PartialEq>(&mut self, answer: Option<T>, unknown: T, what: &str) {
        match answer {
            None => self.0.push(format!("{what} (not asked)")),
            Some(given) if given == unknown => self.0.push(format!("{what} (answered unknown)")),
            Some(_) => {}
        }
    }

    /// A question without such an answer.
    pub fn asked<T: ?Sized>(&mut self, answer: Option<&T>, what: &str) {
        if answer.is_none() {
            self.0.push(format!("{what} (not asked)"));
        }
    }

    /// Where water comes from; `no` says that it was looked for and not found.
    pub fn source(&mut self, known: Option<Answer>) {
        let what = "where the water comes from";
        self.answer(known, Answer::Unknown, what);
        if known == Some(Answer::No) {
            self.0.push(format!("{what} (not found)"));
        }
    }

    pub fn read<T>(&mut self, reading: Option<&T>, what: &str) {
        if reading.is_none() {
            self.0.push(format!("{what} (never read)"));
        }
    }

    pub fn say(&mut self, what: impl Into<String>) {
        self.0.push(what.into());
    }

    pub fn into_list(self) -> Vec<String> {
        self.0
    }
}

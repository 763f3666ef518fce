//! The sheets that were put up for a section or a finding.

use chrono::NaiveDate;

use crate::ledger::property::{Property, SheetTest};
use crate::ledger::subject::Subject;
use crate::trade::Verdict;
use crate::trade::sheet::verdict::{Tested, verdict};
use crate::trade::sheet::{Sheet, read};

/// `None` while none was put up: that is asked of nobody.
pub(super) fn of_sheets(property: &Property, subject: &Subject, today: NaiveDate) -> Option<Verdict> {
    let of = |test: &&SheetTest| match subject {
        Subject::Finding(number) => test.test.finding == Some(*number),
        Subject::Named(name) => test.test.section.as_ref() == Some(name),
        Subject::Property => false,
    };
    let tests: Vec<Tested> = property.sheet_tests.iter().filter(of).map(tested).collect();
    verdict(&tests, today)
}

fn tested(of: &SheetTest) -> Tested<'_> {
    let test = &of.test;
    let (side, kept) = (test.side.value(), test.kept.value());
    let sheet = Sheet { on: test.surface, side, kept, sealed: !test.open_edge, sun: test.sun };
    Tested { on: of.on.date, at: test.at.as_deref(), sheet, shows: read(test.wet) }
}

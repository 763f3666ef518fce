//! Where a fact stands in the order of happening.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::kind::Fact;
use super::property::Property;
use super::subject::Subject;
use super::when::When;

/// Where a fact stands in the order of happening: standing facts first, then date, time, place in the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Order {
    dated: bool,
    pub on: Option<When>,
    pub seq: u64,
}

impl Order {
    pub fn of(fact: &Fact, on: When, seq: u64) -> Order {
        let standing = fact.is_standing();
        Order { dated: !standing, on: (!standing).then_some(on), seq }
    }
}

/// What is known to the minute of the days of findings. A day alone means some time of it, so that what hangs on such a moment
/// of its day comes after it: a fact about a finding after the finding was opened, its closing after what was read of it.
#[derive(Default)]
pub(super) struct Timed {
    opened: BTreeMap<u32, When>,
    read: BTreeMap<(u32, NaiveDate), When>,
}

impl Timed {
    /// What a property has of one day, of the findings that a fact is about.
    pub fn of(property: &Property, fact: &Fact, on: When) -> Timed {
        let mut timed = Timed::default();
        if on.time.is_some() {
            return timed;
        }
        for number in findings_of(fact) {
            let Some(finding) = property.findings.get(&number) else { continue };
            timed.opened_at(number, finding.opened);
            finding
                .readings
                .iter()
                .rev()
                .take_while(|r| r.on.date >= on.date)
                .for_each(|r| timed.read_at(number, r.on));
        }
        timed
    }

    pub fn note(&mut self, fact: &Fact, on: When) {
        match fact {
            Fact::FindingOpened(f) => self.opened_at(f.number, on),
            Fact::ReadingAdded(r) => self.read_at(r.finding, on),
            Fact::LevelSurveyed(of) => of.finding.into_iter().for_each(|number| self.read_at(number, on)),
            _ => {}
        }
    }

    fn opened_at(&mut self, number: u32, on: When) {
        if on.time.is_some() {
            self.opened.insert(number, on);
        }
    }

    fn read_at(&mut self, number: u32, on: When) {
        if on.time.is_some() {
            let last = self.read.entry((number, on.date)).or_insert(on);
            *last = on.max(*last);
        }
    }

    /// Where a fact of `on` stands: at its time, and without one where it can.
    pub fn placed(&self, fact: &Fact, on: When) -> When {
        if on.time.is_some()
            || matches!(fact, Fact::FindingOpened(_))
            || (self.opened.is_empty() && self.read.is_empty())
        {
            return on;
        }
        let about = findings_of(fact);
        let opened = about.iter().filter_map(|n| self.opened.get(n)).filter(|opened| opened.date == on.date).max();
        let closes = matches!(fact, Fact::FindingClosed(_));
        let read = about.iter().filter(|_| closes).filter_map(|n| self.read.get(&(*n, on.date))).max();
        opened.max(read).copied().unwrap_or(on)
    }
}

fn findings_of(fact: &Fact) -> Vec<u32> {
    let number = |subject: &Subject| if let Subject::Finding(number) = subject { Some(*number) } else { None };
    fact.about().iter().filter_map(number).collect()
}

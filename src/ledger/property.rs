//! A property as its living facts give it: what the fold builds, and what verdicts and projections read.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use uuid::Uuid;

use super::duty_change::DutyChange;
use super::entry::{Attachment, Remarks};
use super::kind::air_logged::AirLogged;
use super::kind::finding_opened::Particulars;
use super::kind::fixture_added::Fitted;
use super::kind::gauge_looked::GaugeLooked;
use super::kind::level_surveyed::LevelSurveyed;
use super::kind::radon_tested::RadonTested;
use super::kind::reading_added::Measured;
use super::kind::repair_made::RepairMade;
use super::kind::sheet_tested::SheetTested;
use super::kind::sump_tested::SumpTested;
use super::subject::{Name, Subject};
use super::when::When;
use crate::calendar::climate::ClimateZone;
use crate::calendar::hemisphere::is_southern;
use crate::calendar::windows::Year;
use crate::quantity::{Area, Length, Money, Typed};
use crate::trade::words::{Answer, EventKind, FindingKind, FixtureKind, Foundation, Outcome, Season, Walls};

/// A day of the year, `04-25`.
pub type MonthDay = (u32, u32);

/// One property as it stands.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Property {
    pub id: Uuid,
    /// Empty while no living fact has said that the property exists.
    pub key: String,
    pub name: String,
    pub zone: Option<chrono_tz::Tz>,
    pub built: Option<i32>,
    pub last_freeze: Option<MonthDay>,
    pub first_freeze: Option<MonthDay>,
    /// Whose defaults stand where no freeze date was given.
    pub climate_zone: Option<ClimateZone>,
    /// Day on which the wet season begins.
    pub wet_season: Option<MonthDay>,
    pub value: Option<Money>,
    /// When it came into the ledger.
    pub added: Option<When>,
    pub archived: Option<(When, String)>,
    /// Since when its record goes on in another ledger.
    pub handed_over: Option<When>,
    pub sections: BTreeMap<Name, Section>,
    pub fixtures: BTreeMap<Name, Fixture>,
    /// Put in with [`Property::open`].
    pub findings: BTreeMap<u32, Finding>,
    /// The kinds that findings of the property have, closed ones included.
    pub finding_kinds: BTreeSet<FindingKind>,
    /// The highest finding number ever given out, struck findings included.
    pub last_number: u32,
    pub radon_tests: Vec<RadonTest>,
    /// At the gauges of radon systems.
    pub gauge_looks: Vec<GaugeLook>,
    pub air_logs: Vec<AirLog>,
    /// Of sections; those of findings are among their readings.
    pub level_surveys: Vec<LevelSurvey>,
    pub sheet_tests: Vec<SheetTest>,
    pub sump_tests: Vec<SumpTest>,
    pub repairs: Vec<Repair>,
    pub walks: Vec<Walk>,
    pub duties_done: Vec<DutyDone>,
    /// What is different about duties here, by what it was set for and the duty's name.
    pub duties: BTreeMap<(Subject, String), DutyChange>,
    /// Occurrences that are left out or moved: subject, duty, and the day by its rule.
    pub skips: BTreeMap<(Subject, String, NaiveDate), Skip>,
    pub expected: Vec<Expected>,
    /// How many days before a visit somebody has to be told.
    pub notice_days: Option<u32>,
    /// Who has to be told.
    pub tell: Option<String>,
    pub judgements: Vec<Judgement>,
    pub quotes: Vec<Quote>,
    pub events: Vec<Event>,
    pub notes: Vec<Note>,
    pub files: Vec<FileAttached>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    pub foundation: Foundation,
    pub walls: Option<Walls>,
    pub area: Option<Typed<Area>>,
    pub place: Option<String>,
    /// Whether a Class I vapour retarder lies on its ground.
    pub retarder: Option<Answer>,
    /// Whether its soil is shrinkable clay.
    pub clay: Option<Answer>,
    pub seq: u64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Fixture {
    pub kind: FixtureKind,
    pub section: Option<Name>,
    pub fitted: Fitted,
    /// When the present one was put in, if known: age and curve count from here.
    pub since: Option<NaiveDate>,
    /// The day it came into the ledger by.
    pub added: NaiveDate,
    pub retired: Option<(When, String)>,
    /// How often it was replaced.
    pub replaced: u32,
    pub seq: u64,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    pub kind: FindingKind,
    pub place: String,
    pub section: Option<Name>,
    pub particulars: Particulars,
    pub opened: When,
    pub closed: Option<(When, String)>,
    /// Closings that did not last, in order.
    pub was_closed: Vec<Closing>,
    /// In order of happening.
    pub readings: Vec<Reading>,
    /// One of its entries came with a photograph.
    pub photographed: bool,
    /// When it was mended in a way that ends its series.
    pub mended: Vec<When>,
    pub seq: u64,
}

/// A finding was closed, and opened again.
#[derive(Debug, Clone, PartialEq)]
pub struct Closing {
    pub on: When,
    pub why: String,
    pub reopened: When,
    pub reopened_why: String,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub seq: u64,
    pub on: When,
    pub measured: Measured,
    pub over: Option<Typed<Length>>,
    pub resolution: Option<Typed<Length>>,
    pub with: Option<String>,
    pub at: Option<String>,
    /// It moved while it was looked at.
    pub moved: bool,
    pub by: Option<String>,
}

impl Reading {
    /// `width 0.8 mm`
    pub fn words(&self) -> String {
        format!("{} {}", self.measured.quantity().replace('-', " "), self.measured.words())
    }
}

#[derive(Debug, Clone, PartialEq)]
pub struct RadonTest {
    pub seq: u64,
    pub on: When,
    pub test: RadonTested,
}

/// A logger's record.
#[derive(Debug, Clone, PartialEq)]
pub struct AirLog {
    pub seq: u64,
    pub on: When,
    pub log: AirLogged,
}

/// The levels of a section's floor.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelSurvey {
    pub seq: u64,
    pub on: When,
    pub survey: LevelSurveyed,
}

/// A look at the gauge of a radon system.
#[derive(Debug, Clone, PartialEq)]
pub struct GaugeLook {
    pub seq: u64,
    pub on: When,
    pub look: GaugeLooked,
}

/// A sheet that was taped to a floor or a wall.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetTest {
    pub seq: u64,
    pub on: When,
    pub test: SheetTested,
}

#[derive(Debug, Clone, PartialEq)]
pub struct SumpTest {
    pub seq: u64,
    pub on: When,
    pub test: SumpTested,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Repair {
    pub seq: u64,
    pub on: When,
    pub made: RepairMade,
    /// Looks at it afterwards, in order of happening.
    pub checks: Vec<RepairCheck>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct RepairCheck {
    pub seq: u64,
    pub on: When,
    pub held: Answer,
}

/// A round of looking by a check list.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    pub seq: u64,
    pub on: When,
    pub season: Season,
    /// Each point as it ended last.
    pub points: Vec<PointWalk>,
    pub ended: Option<When>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct PointWalk {
    pub seq: u64,
    pub on: When,
    pub about: Subject,
    pub point: String,
    pub outcome: Outcome,
    pub why: Option<String>,
    pub findings: Vec<u32>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct DutyDone {
    pub seq: u64,
    pub on: When,
    pub about: Subject,
    pub duty: String,
    /// The occurrence, where several of one name stand side by side.
    pub occurs: Option<NaiveDate>,
}

/// What became of one occurrence of a duty.
#[derive(Debug, Clone, PartialEq)]
pub struct Skip {
    /// When that was said.
    pub on: NaiveDate,
    /// Its new day; `None`: it is left out.
    pub until: Option<NaiveDate>,
    pub nobody_in: bool,
    pub why: Option<String>,
}

/// Somebody comes, or something was ordered.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    pub about: Subject,
    pub by: NaiveDate,
    pub what: String,
    /// `None`: every duty of the subject waits.
    pub duty: Option<String>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    pub seq: u64,
    pub on: When,
    pub about: Vec<u32>,
    pub from: String,
    pub licence: String,
    pub says: String,
    pub until: Option<NaiveDate>,
    pub until_width: Option<Length>,
    /// In a year.
    pub until_growth: Option<Length>,
    pub until_event: Vec<EventKind>,
    pub file: Option<Attachment>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    pub seq: u64,
    pub on: When,
    pub about: Vec<Subject>,
    pub amount: Money,
    pub from: String,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    pub seq: u64,
    pub on: When,
    pub kind: EventKind,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Note {
    pub seq: u64,
    pub on: When,
    pub about: Subject,
    pub text: String,
    /// It says that the place was looked over.
    pub look: bool,
}

/// A file attached by an entry of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct FileAttached {
    pub seq: u64,
    pub on: When,
    pub about: Subject,
    pub file: Attachment,
}

/// Where a fact stands: its place in the chain, when it happened, and what was said around it.
#[derive(Debug, Clone, Copy)]
pub struct At<'a> {
    pub seq: u64,
    pub on: When,
    pub remarks: &'a Remarks,
}

impl Property {
    pub fn exists(&self) -> bool {
        !self.key.is_empty()
    }

    /// What is known of its year: what was given wins over the defaults of its climate zone.
    pub fn year(&self) -> Year {
        let by_zone = self.defaults();
        Year {
            last_freeze: self.last_freeze.or(by_zone.and_then(ClimateZone::last_freeze)),
            first_freeze: self.first_freeze.or(by_zone.and_then(ClimateZone::first_freeze)),
            wet_season: self.wet_season,
            southern: self.is_southern(),
        }
    }

    /// The climate zone whose defaults count; they are of places north of the equator.
    pub fn defaults(&self) -> Option<ClimateZone> {
        self.climate_zone.filter(|_| !self.is_southern())
    }

    fn is_southern(&self) -> bool {
        let by_freezes = Year::southern_by(self.last_freeze, self.first_freeze);
        by_freezes.unwrap_or_else(|| self.zone.is_some_and(is_southern))
    }

    /// The day of the first thing that happened at the property.
    pub fn earliest(&self) -> Option<When> {
        let findings = self.findings.values().map(|f| f.opened);
        let tests = self.radon_tests.iter().map(|t| t.test.started).chain(self.sump_tests.iter().map(|t| t.on));
        let surveys = self.level_surveys.iter().map(|s| s.on).chain(self.sheet_tests.iter().map(|t| t.on));
        let looks = self.gauge_looks.iter().map(|l| l.on);
        let said = self.events.iter().map(|e| e.on).chain(self.notes.iter().map(|n| n.on));
        findings.chain(tests).chain(surveys).chain(looks).chain(said).chain(self.walks.iter().map(|w| w.on)).min()
    }

    /// Whether `subject` is something that entries can be about.
    pub fn knows(&self, subject: &Subject) -> bool {
        match subject {
            Subject::Property => self.exists(),
            Subject::Finding(number) => self.findings.contains_key(number),
            Subject::Named(name) => self.sections.contains_key(name) || self.fixtures.contains_key(name),
        }
    }

    /// Every subject below the property as it is addressed, for the nearest-name hint.
    pub fn subjects(&self) -> Vec<Subject> {
        let named = self.sections.keys().chain(self.fixtures.keys()).cloned().map(Subject::Named);
        named.chain(self.findings.keys().copied().map(Subject::Finding)).collect()
    }

    /// Puts a finding in.
    pub fn open(&mut self, number: u32, finding: Finding) {
        self.last_number = self.last_number.max(number);
        self.finding_kinds.insert(finding.kind);
        self.findings.insert(number, finding);
    }

    pub fn open_findings(&self) -> impl Iterator<Item = (u32, &Finding)> {
        self.findings.iter().filter(|(_, f)| f.closed.is_none()).map(|(n, f)| (*n, f))
    }

    /// The radon tests of one section, in order of happening.
    pub fn radon_tests_in<'a>(&'a self, section: &'a Name) -> impl Iterator<Item = &'a RadonTest> {
        self.radon_tests.iter().filter(move |t| t.test.section == *section)
    }

    /// What the wall of a finding is made of: as said of the finding, else of its section.
    pub fn walls_of(&self, finding: &Finding) -> Option<Walls> {
        let of_section = || finding.section.as_ref().and_then(|s| self.sections.get(s)).and_then(|s| s.walls);
        finding.particulars.walls.or_else(of_section)
    }
}

impl Finding {
    /// What two findings must share to count as being at one place: the section and the wall where they are named,
    /// else the words of the place.
    pub fn wall(&self) -> (Option<&Name>, &str) {
        (self.section.as_ref(), self.particulars.wall.as_deref().unwrap_or(&self.place))
    }
}

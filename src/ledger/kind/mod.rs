//! The vocabulary of facts: one file a kind, one row in the table below.
//!
//! A kind says what its fields are (the struct, whose documentation is the user's), when a fact of it may join a
//! history ([`Kind::problems`]), and what it changes in the state ([`Kind::apply`]). To add one: write its file, add its
//! row, and say in `tests/it/errors.rs` what it refuses; `tests/it/kinds.rs` sees that it documents itself.

use schemars::{JsonSchema, Schema};
use serde::de::DeserializeOwned;
use serde::{Serialize, Serializer};

use super::problem::Problem;
use super::property::{At, Property};
use super::settings::Settings;
use super::subject::Subject;
use super::when::When;

pub mod air_logged;
mod bounds;
pub mod duty_done;
pub mod duty_dropped;
pub mod duty_dropped_for_all;
pub mod duty_expected;
pub mod duty_set;
pub mod duty_set_for_all;
pub mod duty_skipped;
pub mod entry_corrected;
pub mod entry_erased;
pub mod entry_struck;
pub mod event_happened;
pub mod file_attached;
pub mod finding_closed;
pub mod finding_opened;
pub mod finding_reopened;
pub mod fixture_added;
pub mod fixture_replaced;
pub mod fixture_retired;
pub mod gauge_looked;
pub mod handed_over;
pub mod judgement_given;
pub mod ledger_started;
pub mod level_surveyed;
pub mod note_added;
pub mod point_walked;
pub mod property_added;
pub mod property_archived;
pub mod property_changed;
pub mod quote_given;
pub mod radon_tested;
pub mod reading_added;
pub mod repair_checked;
pub mod repair_made;
pub mod seal_given;
pub mod section_added;
pub mod section_changed;
pub mod setting_changed;
pub mod sheet_tested;
pub mod sump_tested;
pub mod taken_over;
pub mod walk_begun;
pub mod walk_ended;

/// A kind of fact about a property.
pub trait Kind: Serialize + DeserializeOwned + JsonSchema {
    /// What is there from the start: sections and fixtures stood there before they came into the ledger, so their
    /// facts come first in the order of happening, whatever day they were entered.
    const STANDING: bool = false;

    /// What the fact is about, the subject first in line leading.
    fn about(&self) -> Vec<Subject>;

    /// Everything that keeps the fact from happening at this point of the history.
    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>);

    /// What is refused of a fact that is entered now, and stands where it was recorded before: slips that a person can be
    /// asked about. A rule added here loses no fact of an older history.
    fn slips(&self, _: When, _: &Property, _: &mut Vec<Problem>) {}

    /// Changes the state; called only where [`Kind::problems`] found none.
    fn apply(&self, at: &At, property: &mut Property);

    /// One line for the history, without the subject and without a final period.
    fn sentence(&self) -> String;
}

/// A kind of fact about the ledger itself.
pub trait LedgerKind: Serialize + DeserializeOwned + JsonSchema {
    fn problems(&self, settings: &Settings, found: &mut Vec<Problem>);
    fn apply(&self, settings: &mut Settings);
    fn sentence(&self) -> String;
}

/// Whose chain a kind belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Home {
    Property,
    Ledger,
}

/// A row of the table of kinds, for documentation and schemas.
pub struct KindRow {
    pub name: &'static str,
    pub home: Home,
    pub version: u32,
    pub schema: fn() -> Schema,
}

/// Why a stored fact cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum KindError {
    #[error("kind `{0}` is not known to this program")]
    UnknownKind(String),
    #[error("version {version} of kind `{kind}` is newer than this program reads ({known})")]
    NewerVersion { kind: &'static str, version: u32, known: u32 },
    #[error("its body is not a `{kind}`: {error}")]
    NotThisKind { kind: &'static str, error: String },
}

macro_rules! kinds {
    (
        property { $($pname:literal v $pv:literal $pvariant:ident in $pmod:ident,)+ }
        ledger { $($lname:literal v $lv:literal $lvariant:ident in $lmod:ident,)+ }
    ) => {
        /// One fact of any kind.
        #[derive(Debug, Clone, PartialEq)]
        pub enum Fact {
            $($pvariant($pmod::$pvariant),)+
            $($lvariant($lmod::$lvariant),)+
        }

        $(impl From<$pmod::$pvariant> for Fact {
            fn from(fact: $pmod::$pvariant) -> Fact { Fact::$pvariant(fact) }
        })+
        $(impl From<$lmod::$lvariant> for Fact {
            fn from(fact: $lmod::$lvariant) -> Fact { Fact::$lvariant(fact) }
        })+

        /// The table of kinds.
        pub static KINDS: &[KindRow] = &[
            $(KindRow { name: $pname, home: Home::Property, version: $pv, schema: || schemars::schema_for!($pmod::$pvariant) },)+
            $(KindRow { name: $lname, home: Home::Ledger, version: $lv, schema: || schemars::schema_for!($lmod::$lvariant) },)+
        ];

        impl Fact {
            /// The kind's name as it stands in the envelope.
            pub fn kind(&self) -> &'static str {
                match self { $(Fact::$pvariant(_) => $pname,)+ $(Fact::$lvariant(_) => $lname,)+ }
            }

            /// The version that bodies of this kind are written in.
            pub fn version(&self) -> u32 {
                match self { $(Fact::$pvariant(_) => $pv,)+ $(Fact::$lvariant(_) => $lv,)+ }
            }

            pub fn home(&self) -> Home {
                match self { $(Fact::$pvariant(_) => Home::Property,)+ $(Fact::$lvariant(_) => Home::Ledger,)+ }
            }

            /// Reads the JSON of a fact of `kind` written in version `v`.
            ///
            /// Errors: unknown kind, a newer version, missing or unknown fields, a value its type refuses.
            pub fn read(kind: &str, v: u32, json: &str) -> Result<Fact, KindError> {
                match kind {
                    $($pname => read_as($pname, $pv, v, json).map(Fact::$pvariant),)+
                    $($lname => read_as($lname, $lv, v, json).map(Fact::$lvariant),)+
                    _ => Err(KindError::UnknownKind(kind.to_owned())),
                }
            }

            /// See [`Kind::STANDING`].
            pub fn is_standing(&self) -> bool {
                match self { $(Fact::$pvariant(_) => <$pmod::$pvariant as Kind>::STANDING,)+ _ => false }
            }

            /// See [`Kind::about`]; empty for the ledger's own facts.
            pub fn about(&self) -> Vec<Subject> {
                match self { $(Fact::$pvariant(f) => f.about(),)+ _ => Vec::new() }
            }

            /// See [`Kind::problems`]; the ledger's own facts have none at a property.
            pub fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
                match self { $(Fact::$pvariant(f) => f.problems(at, property, found),)+ _ => {} }
            }

            /// See [`Kind::slips`].
            pub fn slips(&self, on: When, property: &Property, found: &mut Vec<Problem>) {
                match self { $(Fact::$pvariant(f) => f.slips(on, property, found),)+ _ => {} }
            }

            /// See [`Kind::apply`].
            pub fn apply(&self, at: &At, property: &mut Property) {
                match self { $(Fact::$pvariant(f) => f.apply(at, property),)+ _ => {} }
            }

            pub fn problems_in_ledger(&self, settings: &Settings, found: &mut Vec<Problem>) {
                match self { $(Fact::$lvariant(f) => f.problems(settings, found),)+ _ => {} }
            }

            pub fn apply_to_ledger(&self, settings: &mut Settings) {
                match self { $(Fact::$lvariant(f) => f.apply(settings),)+ _ => {} }
            }

            pub fn sentence(&self) -> String {
                match self { $(Fact::$pvariant(f) => f.sentence(),)+ $(Fact::$lvariant(f) => f.sentence(),)+ }
            }
        }

        impl Serialize for Fact {
            fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                match self { $(Fact::$pvariant(f) => f.serialize(s),)+ $(Fact::$lvariant(f) => f.serialize(s),)+ }
            }
        }
    };
}

kinds! {
    property {
        "property-added" v 2 PropertyAdded in property_added,
        "property-changed" v 2 PropertyChanged in property_changed,
        "property-archived" v 1 PropertyArchived in property_archived,
        "section-added" v 2 SectionAdded in section_added,
        "section-changed" v 2 SectionChanged in section_changed,
        "fixture-added" v 4 FixtureAdded in fixture_added,
        "fixture-replaced" v 4 FixtureReplaced in fixture_replaced,
        "fixture-retired" v 1 FixtureRetired in fixture_retired,
        "finding-opened" v 2 FindingOpened in finding_opened,
        "finding-closed" v 1 FindingClosed in finding_closed,
        "finding-reopened" v 1 FindingReopened in finding_reopened,
        "reading-added" v 1 ReadingAdded in reading_added,
        "level-surveyed" v 1 LevelSurveyed in level_surveyed,
        "radon-tested" v 4 RadonTested in radon_tested,
        "gauge-looked" v 1 GaugeLooked in gauge_looked,
        "air-logged" v 1 AirLogged in air_logged,
        "sheet-tested" v 1 SheetTested in sheet_tested,
        "sump-tested" v 3 SumpTested in sump_tested,
        "repair-made" v 2 RepairMade in repair_made,
        "repair-checked" v 1 RepairChecked in repair_checked,
        "walk-begun" v 1 WalkBegun in walk_begun,
        "point-walked" v 1 PointWalked in point_walked,
        "walk-ended" v 1 WalkEnded in walk_ended,
        "duty-done" v 2 DutyDone in duty_done,
        "duty-set" v 2 DutySet in duty_set,
        "duty-dropped" v 1 DutyDropped in duty_dropped,
        "duty-skipped" v 1 DutySkipped in duty_skipped,
        "duty-expected" v 1 DutyExpected in duty_expected,
        "judgement-given" v 2 JudgementGiven in judgement_given,
        "quote-given" v 2 QuoteGiven in quote_given,
        "event-happened" v 1 EventHappened in event_happened,
        "file-attached" v 1 FileAttached in file_attached,
        "note-added" v 2 NoteAdded in note_added,
        "seal-given" v 1 SealGiven in seal_given,
        "handed-over" v 1 HandedOver in handed_over,
        "taken-over" v 1 TakenOver in taken_over,
        "entry-corrected" v 1 EntryCorrected in entry_corrected,
        "entry-struck" v 1 EntryStruck in entry_struck,
        "entry-erased" v 2 EntryErased in entry_erased,
    }
    ledger {
        "ledger-started" v 1 LedgerStarted in ledger_started,
        "setting-changed" v 1 SettingChanged in setting_changed,
        "duty-set-for-all" v 2 DutySetForAll in duty_set_for_all,
        "duty-dropped-for-all" v 1 DutyDroppedForAll in duty_dropped_for_all,
    }
}

fn read_as<T: DeserializeOwned>(kind: &'static str, known: u32, v: u32, json: &str) -> Result<T, KindError> {
    if v > known {
        return Err(KindError::NewerVersion { kind, version: v, known });
    }
    serde_json::from_str(json).map_err(|e| KindError::NotThisKind { kind, error: e.to_string() })
}

/// Refuses an empty text, and one with control characters, which have no place in a single line.
pub(in crate::ledger) fn check_line(field: &'static str, text: &str, found: &mut Vec<Problem>) {
    if text.trim().is_empty() {
        found.push(Problem::Empty { field });
    } else if text.chars().any(char::is_control) {
        found.push(Problem::ControlCharacters { field });
    }
}

/// Refuses a finding that is not there, or not at that time.
pub(super) fn check_finding(number: u32, at: &At, property: &Property, found: &mut Vec<Problem>) {
    match property.findings.get(&number) {
        None => found.push(Problem::NoFinding { number, on: at.on }),
        Some(finding) if at.on < finding.opened && at.on.date < finding.opened.date => {
            found.push(Problem::BeforeOpened { on: at.on, number, opened: finding.opened });
        }
        Some(_) => {}
    }
}

/// Refuses a section that is not there.
pub(super) fn check_section(name: &super::subject::Name, property: &Property, found: &mut Vec<Problem>) {
    if !property.sections.contains_key(name) {
        found.push(Problem::NoSection { name: name.clone() });
    }
}

/// Refuses the key of the house as the name of a part that it does not have yet: it is the house that was meant, or a name
/// was left out.
pub(super) fn check_name_is_no_key(name: &super::subject::Name, property: &Property, found: &mut Vec<Problem>) {
    let there = property.sections.contains_key(name) || property.fixtures.contains_key(name);
    if property.key == name.as_str() && !there {
        found.push(Problem::NameIsKey { name: name.clone() });
    }
}

/// Refuses a name that a section or a fixture has already.
pub(super) fn check_name_is_free(name: &super::subject::Name, property: &Property, found: &mut Vec<Problem>) {
    let thing = match (property.sections.contains_key(name), property.fixtures.contains_key(name)) {
        (true, _) => "section",
        (_, true) => "fixture",
        _ => return,
    };
    found.push(Problem::NameTaken { name: name.clone(), thing });
}

/// `2 to 4 of the …` is written by people; this writes `findings 1, 2 and 3` or `finding 1`.
pub(super) fn findings_in_words(numbers: &[u32]) -> String {
    match numbers {
        [one] => format!("finding {one}"),
        [head @ .., last] => {
            let head: Vec<_> = head.iter().map(u32::to_string).collect();
            format!("findings {} and {last}", head.join(", "))
        }
        [] => "no finding".to_owned(),
    }
}

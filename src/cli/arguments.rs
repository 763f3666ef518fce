//! What can be typed.
//!
//! The flags of a command are put together only when it is that command that was typed (`defer`): putting all of them together
//! took longer than most commands. A struct of flags is described in a plain comment, because a doc comment on it would then
//! stand as the description of the command; `duty` is put together at once, because its `expect --by` is not the `--by` of all.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use crate::command::{
    Circumstances, air, defer, dossier, duty::DueFields, finding, fixture, hours, import, init, judgement, plan,
    plastic_sheet, property, quote, radon, reading, repair, section, sump, survey,
};

mod duties;
mod remind;

pub use duties::Duty;
pub use remind::{Remind, Verb as RemindVerb};

/// A ledger of house foundations: what was seen, how it moved, what is due, and on whose authority
///
/// Stemwall compares what you record with published tables and says who should look. It never says that something is
/// safe or unsafe, and it certifies nothing; local codes and licensed practice come first.
#[derive(Debug, Parser)]
#[command(name = "stemwall", version, max_term_width = 100)]
pub struct Arguments {
    /// The ledger file [default: houses.stemwall in the data folder]
    #[arg(long, global = true, value_name = "PATH", env = "STEMWALL_LEDGER", hide_env_values = true)]
    pub ledger: Option<PathBuf>,
    /// Compute everything as of this day, and date what is recorded without --on by it; nothing is dated beyond the real clock
    #[arg(long, global = true, value_name = "DATE", env = "STEMWALL_TODAY", hide_env_values = true)]
    pub today: Option<String>,
    /// Who records
    #[arg(long, global = true, value_name = "NAME", env = "STEMWALL_BY", hide_env_values = true)]
    pub by: Option<String>,
    /// Answer in JSON (commands that read)
    #[arg(long, global = true)]
    pub json: bool,
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Command {
    /// Make a ledger where there is none
    Init(init::Init),
    /// Houses: add, list, show, change, archive
    #[command(subcommand)]
    Property(Property),
    /// Parts of a footprint, each with one kind of foundation
    #[command(subcommand)]
    Section(Section),
    /// Equipment and things outdoors that need care
    #[command(subcommand)]
    Fixture(Fixture),
    /// What was seen at a place and is not as it should be
    #[command(subcommand)]
    Finding(Finding),
    /// Measurements of a finding
    #[command(subcommand)]
    Reading(Reading),
    /// The test with a sheet taped to a floor or a wall, step by step, and what it showed
    #[command(subcommand)]
    PlasticSheet(PlasticSheet),
    /// Levels of a floor by marked points
    #[command(subcommand)]
    Survey(Survey),
    /// Radon tests of a section
    #[command(subcommand)]
    Radon(Radon),
    /// Temperature and humidity of a section, as a logger recorded them
    #[command(subcommand)]
    Air(Air),
    /// Rounds of looking, by the almanac's check list
    #[command(subcommand)]
    Walk(Walk),
    /// Tests of a sump pump
    #[command(subcommand)]
    Sump(Sump),
    /// Work done on findings, and whether it held
    #[command(subcommand)]
    Repair(Repair),
    /// What a licensed professional concluded
    #[command(subcommand)]
    Judgement(Judgement),
    /// Prices offered
    #[command(subcommand)]
    Quote(Quote),
    /// Storm, flood, earthquake, freeze, works, sale, heating
    #[command(subcommand)]
    Event(Event),
    /// Attach a file to a subject or an entry: stemwall attach larkspur-14/2 letter.pdf
    Attach {
        /// larkspur-14, larkspur-14/2 or larkspur-14#12
        subject: String,
        file: PathBuf,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// Notes
    #[command(subcommand)]
    Note(Note),
    /// Find a text in notes, places, reasons and judgements: stemwall find "heat pump"
    Find { text: String },
    /// Files of others
    #[command(subcommand)]
    Import(Import),
    /// The first look: every house, worst first
    Status {
        /// Show this many houses at most
        #[arg(long, value_name = "N")]
        limit: Option<usize>,
    },
    /// What is due, where, and why now: stemwall due --within 30d
    Due(DueFields),
    /// A duty was done that no other entry can say: stemwall done larkspur-14/fan
    Done {
        /// The code in the list of what is due, what it was done to, or the duty's name
        what: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// The almanac of duties, and what you make of it
    #[command(subcommand)]
    Duty(Duty),
    /// Send what is due, once, by every channel of remind.toml: stemwall remind --stay keeps doing so
    Remind(Remind),
    /// Everything about a subject, in order of happening: stemwall history larkspur-14/2
    History {
        /// A house or something of it; may be left out where there is one house only
        subject: Option<String>,
    },
    /// The verdict on a subject, and on whose authority: stemwall why larkspur-14/2
    Why {
        /// A house or something of it; may be left out where there is one house only
        subject: Option<String>,
    },
    /// What waiting costs, year by year, and what that hangs on: stemwall defer larkspur-14/2
    Defer(Box<defer::Asked>),
    /// What the next twelve months may cost, over all houses, the dearest first
    Risk {
        #[command(flatten)]
        assumed: defer::Assumed,
    },
    /// Which repair in which year: stemwall plan --budget 6000 --years 5
    Plan(Box<plan::Asked>),
    /// Recorded costs of repairs, added up: stemwall spent --year 2025 --each property
    Spent {
        /// One house; all where it is left out
        key: Option<String>,
        /// Only of this year
        #[arg(long, value_name = "YEAR", allow_negative_numbers = true, value_parser = clap::value_parser!(i32).range(1800..=9999))]
        year: Option<i32>,
        /// property: a sum a house in place of every repair
        #[arg(long, value_name = "WORD", value_parser = ["property"])]
        each: Option<String>,
    },
    /// The stages a finding passes through if it is left, with every figure and its source
    #[command(subcommand)]
    Ladder(Ladder),
    /// Every rule of the program, or one of them: stemwall rules crack-category
    Rules { name: Option<String> },
    /// Run a published calculation by itself: stemwall reckon step-height --step "3/8 in"
    #[command(disable_help_flag = true)]
    Reckon {
        /// A calculation and its inputs as flags; none lists all, --help tells of one, --lines reads JSON Lines
        #[arg(trailing_var_arg = true, allow_hyphen_values = true, value_name = "NAME")]
        words: Vec<String>,
    },
    /// Set an entry right: stemwall correct larkspur-14#12 --width "0.9 mm" --why misread
    Correct(Correct),
    /// An entry should never have been made: stemwall strike larkspur-14#12 --why "wrong house"
    Strike {
        entry: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// One entry, or what entries are made of
    #[command(subcommand)]
    Entry(Entry),
    /// Settings of the whole ledger
    #[command(subcommand)]
    Setting(Setting),
    /// Check every entry, link, file and computed row; or a dossier, without a ledger: stemwall verify larkspur.html
    Verify {
        /// A dossier in HTML, PDF or JSON
        file: Option<PathBuf>,
        /// The seal that you were given by somebody else
        #[arg(long, value_name = "HASH", requires = "file")]
        seal: Option<String>,
    },
    /// The history of a house for a buyer, an engineer, an insurer: stemwall dossier larkspur-14 --out larkspur.html
    Dossier(dossier::Fields),
    /// A short text for somebody else to keep, which fixes every entry so far: stemwall seal larkspur-14 --to "the notary"
    Seal {
        /// The house; may be left out where there is one only
        key: Option<String>,
        /// Who keeps it
        #[arg(long, value_name = "TEXT")]
        to: Option<String>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// What is known and what was never tested, for whoever fills in a disclosure form: stemwall disclosure larkspur-14
    Disclosure {
        /// The house; may be left out where there is one only
        key: Option<String>,
        /// Put amounts of money in: they stay out otherwise
        #[arg(long)]
        costs: bool,
        /// Put in what is marked private: it stays out otherwise
        #[arg(long)]
        private: bool,
    },
    /// Write one archive with the ledger and its files
    Backup { file: PathBuf },
    /// Put an archive back where there is no ledger
    Restore { file: PathBuf },
    /// Everything out again, as tables, as entries, or as a copy
    #[command(subcommand)]
    Export(Export),
    /// Compute everything that comes from the entries anew
    Rebuild,
    /// Four invented houses in a new folder, to look around in
    Demo {
        /// The folder to make
        #[arg(long, value_name = "FOLDER", default_value = "stemwall-demo")]
        into: PathBuf,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Property {
    /// stemwall property add larkspur-14 --name "Larkspur Lane 14" --zone America/Chicago --built 1962
    Add {
        /// Its short name: lower-case letters, digits and hyphens
        key: String,
        #[command(flatten)]
        fields: property::Changes,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// Every house with the worst of it
    List,
    /// stemwall property show larkspur-14
    Show { key: Option<String> },
    /// stemwall property change larkspur-14 --value "350000 USD"
    Change {
        /// The house; may be left out where there is one only
        key: Option<String>,
        #[command(flatten)]
        fields: property::Changes,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// To a new owner, as a ledger of its own: stemwall property hand-over larkspur-14 --out larkspur.stemwall --to "A. Reed"
    HandOver {
        key: String,
        /// The ledger to make
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
        /// Who has it now
        #[arg(long, value_name = "TEXT")]
        to: Option<String>,
        /// With what is marked private, which stays here otherwise
        #[arg(long)]
        with_private: bool,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// Take the houses of a ledger that was handed over into this one: stemwall property take-over larkspur.stemwall
    TakeOver { file: PathBuf },
    /// stemwall property archive larkspur-14 --why sold
    Archive {
        key: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Section {
    /// stemwall section add larkspur-14/main --foundation basement --walls poured
    Add {
        /// KEY/NAME
        subject: String,
        #[command(flatten)]
        fields: section::Fields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// stemwall section change larkspur-14/main --area "1100 ft2"
    Change {
        subject: String,
        #[command(flatten)]
        fields: section::Fields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Fixture {
    /// stemwall fixture add larkspur-14/pump --kind sump-pump --in main --pit "18 in" --installed 2021-05-01
    Add {
        /// KEY/NAME
        subject: String,
        #[command(flatten)]
        fields: fixture::Fields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// stemwall fixture replace larkspur-14/pump --installed 2026-03-01
    Replace {
        subject: String,
        #[command(flatten)]
        fields: fixture::FittedFields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// stemwall fixture retire larkspur-14/tree --why "felled"
    Retire {
        subject: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Finding {
    /// stemwall finding open larkspur-14 --kind crack --place "south wall" --in main --runs vertical --water dry
    Open {
        /// The house; may be left out where there is one only
        key: Option<String>,
        #[command(flatten)]
        fields: Box<finding::Fields>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// stemwall finding list --open
    List {
        key: Option<String>,
        /// Leave closed ones out
        #[arg(long)]
        open: bool,
    },
    /// A finding with its readings and its verdict: stemwall finding show larkspur-14/2
    Show { subject: String },
    /// stemwall finding close larkspur-14/2 --why "source found and mended"
    Close {
        subject: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// stemwall finding reopen larkspur-14/2 --why "damp again"
    Reopen {
        subject: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Reading {
    /// stemwall reading add larkspur-14/2 --width "0.8 mm" --resolution "0.1 mm"
    Add {
        /// The finding: larkspur-14/2
        subject: String,
        #[command(flatten)]
        fields: Box<reading::Fields>,
        /// Record it though it is ten times the last
        #[arg(long)]
        sure: bool,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Radon {
    /// stemwall radon add larkspur-14/main --device charcoal --result "5.1 pCi/L" --started 2026-01-12T10:00 --lasted "48 h"
    Add {
        /// The section: larkspur-14/main
        subject: String,
        #[command(flatten)]
        fields: Box<radon::Fields>,
        /// Record it though it says what another entry says, or is ten times the last
        #[arg(long)]
        sure: bool,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// A look at the U-tube gauge of a radon system: stemwall radon gauge larkspur-14/fan --levels unequal
    Gauge {
        /// The radon system: larkspur-14/fan
        subject: String,
        /// unequal (suction) or equal (none)
        #[arg(long, value_name = "LEVELS")]
        levels: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// A continuous monitor's file: stemwall radon import-hours larkspur-14/main log.csv --time Time --level Radon
    ImportHours {
        /// The section: larkspur-14/main
        subject: String,
        #[command(flatten)]
        fields: Box<hours::Fields>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum PlasticSheet {
    /// How it is done, hour by hour, with what to mind: stemwall plastic-sheet steps larkspur-14/main --surface floor
    Steps {
        /// A section, or a damp place: larkspur-14/main
        subject: String,
        /// What it is taped to: floor or wall
        #[arg(long, value_name = "SURFACE")]
        surface: String,
        /// When it was put up, to be told from when on it may be looked at: 2026-03-01T18:00
        #[arg(long, value_name = "TIME")]
        begun: Option<String>,
    },
    /// What it showed: stemwall plastic-sheet add larkspur-14/main --surface floor --side "18 in" --kept "17 h" --wet under
    Add {
        /// A section, or a damp place: larkspur-14/main
        subject: String,
        #[command(flatten)]
        fields: Box<plastic_sheet::Fields>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Survey {
    /// stemwall survey add larkspur-14/main --point "door: 0 in" --point "sink: -0.4 in" --with "water level"
    Add {
        /// A section, or a finding of kind settlement: larkspur-14/main
        subject: String,
        #[command(flatten)]
        fields: Box<survey::Fields>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Air {
    /// The files of a logger as one record: stemwall air import-hours tannery-3/crawl june.csv july.csv --at "north joists"
    ImportHours {
        /// The section: tannery-3/crawl
        subject: String,
        #[command(flatten)]
        fields: Box<air::Fields>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Walk {
    /// Asks point by point; goes on where a walk was broken off: stemwall walk start larkspur-14. With --json it asks nothing and
    /// shows the stops, with how each was last time; with --from as well, how the walk stands then
    Start {
        /// The house; may be left out where there is one only
        key: Option<String>,
        /// spring, summer, autumn or winter [default: that of the day]
        #[arg(long)]
        season: Option<String>,
        /// Take the answers from a file: a line a stop, as in `main/floor-below-ground: nothing seen`
        #[arg(long, value_name = "FILE")]
        from: Option<PathBuf>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// The check list to print: stemwall walk sheet larkspur-14 --out sheet.html
    Sheet {
        key: Option<String>,
        /// spring, summer, autumn or winter [default: that of the day]
        #[arg(long)]
        season: Option<String>,
        /// Where to write it [default: standard output]
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Sump {
    /// stemwall sump test larkspur-14/pump --fall "8 in" --fall-time "15 s" --rise "2 in" --rise-time "60 s"
    Test {
        /// The pump: larkspur-14/pump
        subject: String,
        #[command(flatten)]
        fields: Box<sump::Fields>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Repair {
    /// stemwall repair add larkspur-14/1 --method polyurethane-injection --batch "lot 7" --cost "350 USD"
    Add {
        /// The findings that were mended
        #[arg(required = true)]
        subjects: Vec<String>,
        #[command(flatten)]
        fields: Box<repair::Fields>,
        /// Record a filling though something speaks against it
        #[arg(long)]
        sure: bool,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// A look at it afterwards: stemwall repair check larkspur-14#31 --held yes
    Check {
        /// The entry of the repair
        entry: String,
        /// yes, no, or unknown where it could not be seen
        #[arg(long, value_name = "ANSWER")]
        held: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Judgement {
    /// stemwall judgement add larkspur-14/2 --from "R. Ode" --licence "PE 12345" --says "watch it for a year"
    Add {
        /// The findings it is about
        #[arg(required = true)]
        subjects: Vec<String>,
        #[command(flatten)]
        fields: judgement::Fields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Quote {
    /// stemwall quote add larkspur-14/2 --amount "1450 USD" --from "Brook & Daughter"
    Add {
        /// The findings it is for, or the sections and fixtures: larkspur-14/2, larkspur-14/main
        #[arg(required = true)]
        subjects: Vec<String>,
        #[command(flatten)]
        fields: quote::Fields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Event {
    /// stemwall event add --all --kind storm --on 2026-02-20
    Add {
        /// The houses it happened to
        #[arg(conflicts_with = "all")]
        keys: Vec<String>,
        /// It happened to every house
        #[arg(long)]
        all: bool,
        /// storm, flood, earthquake, freeze, works, sale or heating
        #[arg(long)]
        kind: Option<String>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Note {
    /// stemwall note add larkspur-14 "walked round it after the flood: dry everywhere" --look
    Add {
        subject: String,
        text: String,
        /// This note says that the place was looked over: the whole house, or one section
        #[arg(long)]
        look: bool,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Import {
    /// A survey's radon tests from a CSV file
    Radon(import::Radon),
    /// Readings, sump tests, findings or properties from a CSV file, a line an entry
    Csv(import::Csv),
    /// Entries that `export json` wrote, byte for byte; what is here already changes nothing
    Json {
        /// JSON Lines; files that entries name lie in the folder FILE.files
        file: PathBuf,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Export {
    /// A folder with one table a file, for a spreadsheet: stemwall export csv --out tables
    Csv {
        /// One house only
        key: Option<String>,
        /// The folder to make
        #[arg(long, value_name = "FOLDER")]
        out: PathBuf,
    },
    /// Every entry with its hash, a line each, for programs: stemwall export json --out entries.jsonl
    Json {
        /// One house only
        key: Option<String>,
        /// The file to write; files that entries name go into FILE.files
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
    },
    /// A copy that any SQLite client reads: stemwall export sqlite --out copy.db
    Sqlite {
        /// One house only
        key: Option<String>,
        /// The file to write
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
    },
}

// Takes the flags that record an entry of its kind; `--reason` and `--text` for those that are words only
#[derive(Debug, Args)]
pub struct Correct {
    /// larkspur-14#12, then the flags that record such an entry, --why TEXT, --on DATE, --note TEXT, --photo FILE
    #[arg(required = true, num_args = 1.., trailing_var_arg = true, allow_hyphen_values = true, value_name = "ENTRY")]
    pub words: Vec<String>,
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Ladder {
    /// stemwall ladder show wall-crack-wet
    Show {
        /// One of them; all in brief where it is left out
        name: Option<String>,
        /// Of this file in place of the program's
        #[arg(long, value_name = "FILE")]
        ladder: Option<std::path::PathBuf>,
        /// The program's file as it is, to be changed and given with --ladder
        #[arg(long)]
        toml: bool,
    },
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Entry {
    /// stemwall entry show larkspur-14#12
    Show { entry: String },
    /// Destroy the body of an entry, and files only it needed; the envelope stays
    Erase {
        entry: String,
        #[arg(long, value_name = "TEXT")]
        why: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// Every kind of entry with its fields
    Kinds,
    /// The JSON Schema of envelopes, bodies and facts
    Schema,
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Setting {
    /// Every setting as it stands
    List,
    /// stemwall setting change radon-retest-years 5
    Change {
        name: String,
        #[arg(allow_hyphen_values = true)]
        value: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}

/// What a correction is told beside the flags of its kind.
#[derive(Debug, Parser)]
#[command(name = "correct", no_binary_name = true, disable_help_flag = true)]
pub struct Correction {
    #[arg(long, value_name = "TEXT")]
    pub why: Option<String>,
    /// A reading is right although it is ten times another, or a tenth
    #[arg(long)]
    pub sure: bool,
    #[command(flatten)]
    pub circumstances: Circumstances,
}

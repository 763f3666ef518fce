//! What can be typed.
//!
//! The flags of a command are put together only when it is that command that was typed (`defer`): putting all of them together
//! took longer than most commands. A struct of flags is described in a plain comment, because a doc comment on it would then
//! stand as the description of the command; `duty` is put together at once, because its `expect --by` is not the `--by` of all.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

use crate::command::{Circumstances, defer, dossier, duty::DueFields, init, plan};

mod duties;
mod files;
mod looked;
mod made;
mod places;
mod remind;

pub use duties::Duty;
pub use files::{Export, Import};
pub use looked::{Air, Finding, PlasticSheet, Radon, Reading, Sump, Survey, Walk};
pub use made::{Event, Judgement, Note, Quote, Repair};
pub use places::{Fixture, Property, Section};
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

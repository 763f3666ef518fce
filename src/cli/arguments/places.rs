//! A house and its parts: properties, sections, fixtures.

use std::path::PathBuf;

use clap::Subcommand;

use crate::command::{Circumstances, fixture, property, section};

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

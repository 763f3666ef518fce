//! Files in and out.

use std::path::PathBuf;

use clap::Subcommand;

use crate::command::import;

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

//! What was seen, read and tested: findings, readings, radon, sheets, surveys, loggers, walks, pumps.

use std::path::PathBuf;

use clap::Subcommand;

use crate::command::{Circumstances, air, finding, hours, plastic_sheet, radon, reading, sump, survey};

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

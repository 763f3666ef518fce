//! What was done, said, offered and what happened: repairs, judgements, quotations, events, notes.

use clap::Subcommand;

use crate::command::{Circumstances, judgement, quote, repair};

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

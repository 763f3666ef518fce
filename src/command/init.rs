//! `init`: a ledger where there is none.

use super::typed::Reading;
use super::{Context, Error};
use crate::ledger::entry::Remarks;
use crate::ledger::kind::ledger_started::LedgerStarted;
use crate::ledger::problem::Problem;
use crate::quantity::{Currency, Units};
use crate::store::Store;

#[derive(Debug, clap::Args)]
pub struct Init {
    /// Units of computed figures: us or metric
    #[arg(long, default_value = "us")]
    pub units: String,
    /// Currency, three letters
    #[arg(long, default_value = "USD")]
    pub currency: String,
}

pub fn init(context: &Context, asked: &Init) -> Result<Store, Error> {
    let mut read = Reading::default();
    let units = read.word("--units", Some(&asked.units), "a system of units", &["us", "metric"], Units::from_word);
    let currency = Currency::from_code(&asked.currency);
    if currency.is_none() {
        let typed = asked.currency.clone();
        read.problems.push(Problem::NotAWord {
            field: "--currency",
            typed,
            wanted: "a currency",
            words: &["USD", "EUR"],
        });
    }
    let (units, currency) = read.done((units, currency))?;
    let started = LedgerStarted { units: units.unwrap_or(Units::Us), currency: currency.unwrap_or(Currency::USD) };
    let remarks = Remarks { by: context.by.clone(), ..Remarks::default() };
    Ok(Store::create(&context.path, started, remarks, context.now)?)
}

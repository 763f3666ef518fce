//! What is asked of a plan: budgets, years, deadlines and hands, as they are typed and as they are meant.

use super::items::Item;
use crate::command::Error;
use crate::command::defer::{self, Assumed};
use crate::deferral::plan::works::May;
use crate::ledger::settings::Settings;
use crate::quantity::{Currency, Money, MoneyError};
use crate::trade::planning::{Deadlines, VISIT_FEE};

/// Years a plan looks ahead at most.
pub const MOST_YEARS: usize = 40;
const YEARS: usize = 5;
/// What one year's budget is made larger by, to see what that saves, in major units.
const EXTRA: f64 = 1000.0;

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Asked {
    /// One house; all where it is left out
    pub key: Option<String>,
    /// What each year may spend: 6000, "6000 USD"
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    pub budget: Option<String>,
    /// What one year may spend; once for each year in order, in place of --budget
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true, conflicts_with = "budget")]
    pub budget_by_year: Vec<String>,
    /// How many years, at most 40 [default: 5, or as many as --budget-by-year]
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub years: Option<usize>,
    /// What is left of a year's budget may be spent in later ones
    #[arg(long)]
    pub carry: bool,
    /// property: a plan for each house, with the whole budget for each
    #[arg(long, value_name = "WORD", value_parser = ["property"])]
    pub each: Option<String>,
    /// Do it in that year of the plan: larkspur-14/2=1
    #[arg(long, value_name = "KEY/N=YEAR")]
    pub lock: Vec<String>,
    /// Leave it out of the plan
    #[arg(long, value_name = "KEY/N")]
    pub leave: Vec<String>,
    /// The first is not done before the second: larkspur-14/3=larkspur-14/1
    #[arg(long, value_name = "KEY/N=KEY/M")]
    pub after: Vec<String>,
    /// The last year for it, in place of that of its band: larkspur-14/2=3, or none: larkspur-14/2=none
    #[arg(long, value_name = "KEY/N=YEAR")]
    pub deadline: Vec<String>,
    /// The last year for what is urgent [default: 1]
    #[arg(long, value_name = "YEAR", allow_negative_numbers = true)]
    pub urgent_by: Option<usize>,
    /// The last year for what goes to a licensed person [default: 2]
    #[arg(long, value_name = "YEAR", allow_negative_numbers = true)]
    pub call_by: Option<usize>,
    /// The fee of a visit, shared by repairs of one craft at one house in one year [default: 150, assumed]
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    pub visit: Option<String>,
    /// What a year's budget is made larger by, to see what that saves [default: 1000]
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    pub extra: Option<String>,
    #[command(flatten)]
    pub assumed: Assumed,
    /// Write the picture of the plan
    #[arg(long, value_name = "FILE", conflicts_with = "each")]
    pub svg: Option<std::path::PathBuf>,
    /// Draw it in letters
    #[arg(long, conflicts_with_all = ["svg", "each"])]
    pub picture: bool,
}

/// Why nothing can be planned.
#[derive(Debug, thiserror::Error)]
pub enum PlanningError {
    #[error("a plan needs a budget")]
    NoBudget,
    #[error("{flag} `{given}`: {error}")]
    Money { flag: &'static str, given: String, error: MoneyError, wanted: Currency },
    #[error("{given} years cannot be planned")]
    Years { given: usize },
    #[error("--budget-by-year is given {given} times for {years} years")]
    Budgets { given: usize, years: usize },
    #[error("`{given}` does not say {wanted}")]
    NotAHand { flag: &'static str, given: String, wanted: &'static str },
    #[error("year {given} is not in a plan of {years} years")]
    NotAYear { flag: &'static str, given: usize, years: usize },
    #[error("`{subject}` is not in the plan")]
    NotInPlan { flag: &'static str, subject: String },
    #[error("`{0}` is told two things at once")]
    TwoHands(String),
    #[error("`{subject}` has to be done by year {by} of the plan")]
    PastDeadline { subject: String, by: usize },
    #[error("repairs wait for each other in a circle: {}", .0.join(", "))]
    Circle(Vec<String>),
    #[error("what has to be done does not fit the budgets: {} is missing in year {year}", missing.show())]
    DoesNotFit { year: usize, missing: Money, must: Vec<String> },
    #[error("what has to be done cannot be done in that order, whatever the budgets: {}", must.join(", "))]
    NeverFits { must: Vec<String> },
    #[error("no plan was found in the time there is")]
    NotFound,
    #[error("the amounts are too large to be added up exactly")]
    TooLarge,
}

/// What was typed, as it is meant in this ledger.
pub struct Means {
    pub assumed: defer::Means,
    pub budgets: Vec<i64>,
    pub carry: bool,
    pub deadlines: Deadlines,
    pub fee: i64,
    pub extra: i64,
    pub currency: Currency,
}

impl Asked {
    /// Errors: no budget, amounts or years that do not read, another currency than the ledger's.
    pub fn read(&self, settings: &Settings, today: chrono::NaiveDate) -> Result<Means, Error> {
        let currency = settings.currency;
        let many = self.budget_by_year.len();
        let years = self.years.unwrap_or(if many > 0 { many } else { YEARS });
        if years == 0 || years > MOST_YEARS {
            return Err(PlanningError::Years { given: years }.into());
        }
        let budgets = match &self.budget {
            Some(budget) => vec![money("--budget", budget, currency)?; years],
            None if many == 0 => return Err(PlanningError::NoBudget.into()),
            None if many != years => return Err(PlanningError::Budgets { given: many, years }.into()),
            None => {
                let each = self.budget_by_year.iter().map(|text| money("--budget-by-year", text, currency));
                each.collect::<Result<_, _>>()?
            }
        };
        let or = |flag, typed: &Option<String>, default: f64| match typed {
            Some(text) => money(flag, text, currency),
            None => Ok((default * Money { minor: 0, currency }.minor_per_major() as f64) as i64),
        };
        let year = |flag, typed: Option<usize>, default: usize| match typed {
            Some(given) if given == 0 || given > years => Err(PlanningError::NotAYear { flag, given, years }),
            Some(given) => Ok(given),
            None => Ok(default.min(years)),
        };
        let default = Deadlines::default();
        Ok(Means {
            budgets,
            carry: self.carry,
            deadlines: Deadlines {
                urgent: year("--urgent-by", self.urgent_by, default.urgent)?,
                call: year("--call-by", self.call_by, default.call)?,
            },
            fee: or("--visit", &self.visit, VISIT_FEE)?,
            extra: or("--extra", &self.extra, EXTRA)?,
            currency,
            assumed: self.assumed.read(settings, today)?,
        })
    }

    /// Whether a year or a last year is said by hand, so that what nothing else would have done is.
    pub(super) fn puts_in(&self, subject: &str) -> bool {
        let said =
            |typed: &String| typed.split_once('=').is_some_and(|(of, by)| of.trim() == subject && by.trim() != "none");
        self.lock.iter().chain(&self.deadline).any(said)
    }

    /// Lays deadlines and hands on the items.
    pub(super) fn in_items(&self, mut items: Vec<Item>, means: &Means) -> Result<Vec<Item>, PlanningError> {
        let years = means.budgets.len();
        let place = |flag, subject: &str, items: &[Item]| {
            let found = items.iter().position(|item| item.subject == subject);
            found.ok_or_else(|| PlanningError::NotInPlan { flag, subject: subject.to_owned() })
        };
        for item in &mut items {
            item.deadline = means.deadlines.of(item.band).or(item.fixture.then_some(means.deadlines.urgent));
        }
        for typed in &self.deadline {
            let wanted = "which finding has to be done by which year: `larkspur-14/2=3`";
            let (subject, by) = halves("--deadline", typed, wanted)?;
            let at = place("--deadline", subject, &items)?;
            items[at].deadline = match by {
                "none" => None,
                by => Some(year_of("--deadline", typed, by, wanted, years)?),
            };
            items[at].deadline_by_hand = true;
        }
        for item in &mut items {
            item.work.may = item.deadline.map_or(May::Any, |by| May::By(by - 1));
        }
        let mut hands: Vec<(usize, May)> = Vec::new();
        for typed in &self.lock {
            let wanted = "which finding is done in which year: `larkspur-14/2=1`";
            let (subject, year) = halves("--lock", typed, wanted)?;
            let at = place("--lock", subject, &items)?;
            hands.push((at, May::In(year_of("--lock", typed, year, wanted, years)? - 1)));
        }
        for subject in &self.leave {
            hands.push((place("--leave", subject, &items)?, May::Never));
        }
        for (place, (at, may)) in hands.iter().enumerate() {
            let item = &mut items[*at];
            if hands[..place].iter().any(|(other, _)| other == at) {
                return Err(PlanningError::TwoHands(item.subject.clone()));
            }
            let late = |by: usize| !matches!(may, May::In(year) if *year < by);
            if let Some(by) = item.deadline.filter(|by| late(*by)) {
                return Err(PlanningError::PastDeadline { subject: item.subject.clone(), by });
            }
            item.work.may = *may;
            item.by_hand = true;
        }
        for typed in &self.after {
            let (later, first) = halves("--after", typed, "which waits for which: `larkspur-14/3=larkspur-14/1`")?;
            let (later, first) = (place("--after", later, &items)?, place("--after", first, &items)?);
            if self.each.is_some() && items[later].key != items[first].key {
                return Err(PlanningError::NotInPlan { flag: "--after", subject: items[first].subject.clone() });
            }
            items[later].work.after.push(first);
        }
        Ok(items)
    }
}

/// Minor units; a bare number is money of the ledger.
fn money(flag: &'static str, text: &str, wanted: Currency) -> Result<i64, PlanningError> {
    let read = match Money::parse(text, wanted) {
        Err(MoneyError::NoCurrency) => Money::parse(&format!("{} {wanted}", text.trim()), wanted),
        read => read,
    };
    read.map(|money| money.minor).map_err(|error| PlanningError::Money { flag, given: text.to_owned(), error, wanted })
}

fn halves<'a>(flag: &'static str, typed: &'a str, wanted: &'static str) -> Result<(&'a str, &'a str), PlanningError> {
    let not = || PlanningError::NotAHand { flag, given: typed.to_owned(), wanted };
    typed.split_once('=').map(|(one, other)| (one.trim(), other.trim())).ok_or_else(not)
}

fn year_of(
    flag: &'static str,
    typed: &str,
    year: &str,
    wanted: &'static str,
    years: usize,
) -> Result<usize, PlanningError> {
    match year.parse() {
        Ok(given) if given == 0 || given > years => Err(PlanningError::NotAYear { flag, given, years }),
        Ok(given) => Ok(given),
        Err(_) => Err(PlanningError::NotAHand { flag, given: typed.to_owned(), wanted }),
    }
}

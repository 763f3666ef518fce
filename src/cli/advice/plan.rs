//! Advice on what keeps repairs from being planned.

use crate::cli::failure::Failure;
use crate::cli::given;
use crate::command::plan::PlanningError;
use crate::quantity::MoneyError;

pub fn failure(error: &PlanningError) -> Failure {
    use PlanningError as E;
    let (code, given, attempt) = match error {
        E::NoBudget => (2, given::typed(), "say what each year may spend, as in `--budget 6000`".to_owned()),
        E::Money { flag, given, error, wanted } => {
            let attempt = match error {
                MoneyError::WrongCurrency { .. } => format!("give it in {wanted}, the ledger's currency"),
                error => error.how_to_write(given, *wanted),
            };
            (2, format!("{flag} {given}"), attempt)
        }
        E::Years { given } => (2, format!("--years {given}"), "give 1 to 40".to_owned()),
        E::Budgets { years, .. } => (2, given::typed(), format!("give it {years} times, or leave --years out")),
        E::NotAHand { flag, given, wanted } => {
            let example = wanted.split('`').nth(1).unwrap_or_default();
            (2, format!("{flag} {given}"), format!("write it like `{flag} {example}`"))
        }
        E::NotAYear { flag, given, years } => (2, format!("{flag} {given}"), format!("give 1 to {years}")),
        E::NotInPlan { flag, subject } => {
            let attempt = "name what `stemwall plan` lists: an open finding with a ladder, or what has a price";
            (1, format!("{flag} {subject}"), attempt.to_owned())
        }
        E::TwoHands(subject) => (2, subject.clone(), "give one of --lock and --leave, once".to_owned()),
        E::PastDeadline { subject, by } => {
            let attempt = format!(
                "lock it into a year up to {by}; `--deadline {subject}=YEAR` sets another where somebody licensed has said so"
            );
            (1, subject.clone(), attempt)
        }
        E::Circle(_) => (1, given::typed(), "let one of them wait for none of the others".to_owned()),
        E::DoesNotFit { year, missing, must } => {
            let attempt = format!(
                "with {} more in year {year} it fits; it has to be done by its year: {}",
                missing.show(),
                must.join(", ")
            );
            (1, given::typed(), attempt)
        }
        E::NeverFits { .. } => {
            (1, given::typed(), "look at what was locked or left, and at what waits for it".to_owned())
        }
        E::NotFound => (1, given::typed(), "plan one house at a time, or fewer years".to_owned()),
        E::TooLarge => (1, given::typed(), "look at the decimal points of budgets and quotations".to_owned()),
    };
    Failure::new(code, error.to_string()).given(given).attempt(attempt)
}

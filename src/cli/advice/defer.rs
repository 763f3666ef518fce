//! Advice on what keeps the cost of waiting from being told.

use crate::cli::defer::not_priced_why;
use crate::cli::failure::Failure;
use crate::cli::given;
use crate::command::defer::DeferError;
use crate::deferral::{ChainError, LadderError, Preset, RateError};

pub fn failure(error: &DeferError) -> Failure {
    use DeferError as E;
    let (code, given, attempt) = match error {
        E::Rate { flag, given, error } => {
            let attempt = match error {
                RateError::NotAPercentage => "write it in per cent, as in `3%` or `2.5 %`",
                RateError::NothingLeft | RateError::Absurd => {
                    "look at the decimal point; `3%` is three in a hundred a year"
                }
            };
            (2, format!("{flag} {given}"), attempt.to_owned())
        }
        E::Index { given } => {
            (2, format!("--index {given}"), "write it like `--index 2025=321.9`, once for each year".to_owned())
        }
        E::Years { given } => (2, format!("--years {given}"), "give 1 to 100".to_owned()),
        E::Preset { given } => {
            let words: Vec<&str> = Preset::ALL.iter().map(|preset| preset.word()).collect();
            (2, format!("--preset {given}"), format!("one of {}", words.join(", ")))
        }
        E::Picture { given } => (2, format!("--picture {given}"), "one of waiting, stages, sensitivity".to_owned()),
        E::Ladder(error) => (1, given::typed(), of_ladder(error)),
        E::NoLadder { name, nearest } => {
            let all = "`stemwall ladder show` shows all";
            (1, name.clone(), nearest.as_ref().map_or(all.to_owned(), |near| format!("did you mean `{near}`? {all}")))
        }
        E::NotPriced { subject, kind } => {
            let attempt = format!(
                "{}: `stemwall why {subject}` says what it asks; a file with a ladder for that kind can be given with --ladder",
                not_priced_why(*kind)
            );
            (1, subject.clone(), attempt)
        }
        E::Closed { subject } => {
            (1, subject.clone(), "nothing is waited with; `stemwall finding reopen` opens it again".to_owned())
        }
        E::OnePicture => {
            (2, given::typed(), "name the finding, as in `stemwall defer larkspur-14/2 --svg wait.svg`".to_owned())
        }
        E::Chain(ChainError::Rate { .. }) => (2, given::typed(), "a rate has to be above -100 %".to_owned()),
        E::Chain(_) | E::Spread(_) => (1, given::typed(), "look at the rates and the figures of the ladder".to_owned()),
    };
    Failure::new(code, error.to_string()).given(given).attempt(attempt)
}

fn of_ladder(error: &LadderError) -> String {
    use LadderError as E;
    let says = match error {
        E::Toml(_) => "`stemwall ladder show --toml` writes out a file of that form",
        E::Currency(_) => "write three capitals, as in `currency = \"USD\"`",
        E::OtherCurrency { given, wanted } => {
            return format!(
                "nothing is converted: `stemwall ladder show --toml` writes out the program's prices, of the United States in USD; give a \
                 file with your own in {wanted} in place of {given} with `--ladder FILE`"
            );
        }
        E::NoWaterLoss { wanted, .. } => {
            return format!(
                "add on top what water costs a house in a year, as in `water-loss = {{ range = [100, 200, 400], year = 2024, source = \"own\" \
                 }}` in {wanted}, or leave the `water` figures out"
            );
        }
        E::NoSource { .. } => "add it under `[source]`, with `standing` and `says`",
        E::Range { .. } => "write low, likely and high in that order",
        E::Outside { .. } => "look at the decimal point",
        E::Missing { .. } => "add it to that stage",
        E::NotRead { .. } => "write one of `width`, `bow`, `step`, `gap`, or leave `reads` out",
        E::NoYear { .. } => "add it, as in `year = 2024`, so that it can be brought to today's money",
        E::YearToCome { .. } => "write the year in which the price was asked",
        E::BeyondLast { .. } => "leave it out, or add the stage that comes after",
        E::OutOfOrder { .. } | E::BeginsBefore { .. } => "put the stages in order, the mildest first",
        E::NotALength { .. } => "write it with its unit, as in `1/4 in` or `5 mm`",
        E::NoAggravator { .. } => "name a kind of finding, or `water`, `freeze`, `dead-pump`",
        E::Circle(_) => "leave one of them out",
        E::Twice(_) => "give each a name of its own",
        E::Stages { .. } => "give each ladder at least one stage",
    };
    says.to_owned()
}

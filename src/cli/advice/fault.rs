//! Advice on what keeps a calculation from being done.

use super::when;
use crate::cli::failure::Failure;
use crate::command::nearest;
use crate::deferral::{ChainError, SpreadError};
use crate::reckon::{self, Calculation, Fact, Fault, flag};
use crate::trade::survey::SurveyError;
use crate::trade::trend::TrendError;

/// A refusal for a person who typed flags.
pub fn failure(calculation: Option<&Calculation>, fault: &Fault, given: &str) -> Failure {
    let name = match fault.input.as_str() {
        name @ ("reckon" | "line") => name.to_owned(),
        name => flag(name),
    };
    Failure::new(code(&fault.fact), fault.fact.of(&name)).given(given).attempt(advice(calculation, fault, flag))
}

/// 2 where the words were wrong, 1 where they are well written and cannot be met.
fn code(fact: &Fact) -> u8 {
    match fact.innermost() {
        Fact::Beyond | Fact::TooMuch(_) | Fact::Together(_) | Fact::Trend(_) | Fact::Survey(_) => 1,
        Fact::Chain(_) | Fact::Spread(_) | Fact::Circle(_) => 1,
        _ => 2,
    }
}

/// What to do; `named` says how a field is called where it was given.
pub fn advice(calculation: Option<&Calculation>, fault: &Fault, named: impl Fn(&str) -> String) -> String {
    let help = || match calculation {
        Some(calculation) => format!("`stemwall reckon {} --help` tells what it takes", calculation.name),
        None => "`stemwall reckon` lists all calculations".to_owned(),
    };
    match fault.fact.innermost() {
        Fact::NotJson(_) | Fact::NotAnObject(_) => {
            r#"write one object a line, as in `{"reckon":"step-height","step":"3/8 in"}`"#.to_owned()
        }
        Fact::LineTooLong(_) => "break it up into lines of their own".to_owned(),
        Fact::UnknownCalculation(name) => match nearest(name, reckon::ALL.iter().map(|c| c.name)) {
            Some(near) => format!("did you mean `{near}`? {}", help()),
            None => help(),
        },
        Fact::UnknownInput { of, takes } => {
            let all: Vec<String> = takes.iter().map(|name| named(name)).collect();
            let takes_all = format!("`{of}` takes {}", all.join(", "));
            match nearest(&fault.input, takes.iter().copied()) {
                Some(near) => format!("did you mean `{}`? {takes_all}", named(&near)),
                None => takes_all,
            }
        }
        Fact::Stray(_) => format!("put the name of its input before it; {}", help()),
        Fact::Twice => "leave one of the two out".to_owned(),
        Fact::Missing { .. } if fault.input == "reckon" => help(),
        Fact::Missing { wanted } => format!("add it: {wanted}"),
        Fact::Null { wanted } => format!("give {wanted}, or leave it out where it may be left out"),
        Fact::OtherKind { wanted, .. } => format!("give {wanted}; {}", help()),
        Fact::NotAQuantity { typed, kind, error } => format!("{error}; {}", error.how_to_write(typed, *kind)),
        Fact::NotMoney { typed, wanted, error } => format!("{error}; {}", error.how_to_write(typed, *wanted)),
        Fact::NotAWord { typed, words } => {
            let all = format!("one of {}", words.join(", "));
            match nearest(typed, words.iter().copied()) {
                Some(near) => format!("did you mean `{near}`? {all}"),
                None => all,
            }
        }
        Fact::NotADate { .. } => "write year, month and day: `2026-03-01`".to_owned(),
        Fact::NotAWallTime { .. } => "write it as the clock there shows it: `2026-03-01T09:00:00`".to_owned(),
        Fact::NotAnInstant { .. } => "write it with its offset from UTC: `2026-03-01T00:00:00-06:00`".to_owned(),
        Fact::NotAZone { .. } => "write its IANA name, such as `America/Chicago`".to_owned(),
        Fact::Recurrence(error) => when::of_recurrence(error),
        Fact::Cron(error) => when::of_cron(error),
        Fact::TooMuch(_) => format!("bring `{}` and `{}` closer together", named("from"), named("until")),
        Fact::NotWhole => "leave out what stands behind the point".to_owned(),
        Fact::TooLarge | Fact::Outside { .. } | Fact::OutsideWhat(_) | Fact::NotOver(_) | Fact::Beyond => {
            "look at the unit and the decimal point".to_owned()
        }
        Fact::OutsideYears { .. } => "give a moment within them".to_owned(),
        Fact::Empty | Fact::TooFew(_) => "give at least one more".to_owned(),
        Fact::TooMany(_) => "give fewer".to_owned(),
        Fact::NotSoMany { .. } => format!("give as many as are asked for; {}", help()),
        Fact::NotTogether(other) => format!("leave out one of `{}` and `{}`", named(&fault.input), named(other)),
        Fact::SameName(_) => "give each a name of its own".to_owned(),
        Fact::NotAnItem(_) => "name an item of the list by its `id`".to_owned(),
        Fact::Circle(_) => "let one of them wait for none of the others".to_owned(),
        Fact::Together(_) => format!("change `{}` or what it goes with; {}", named(&fault.input), help()),
        Fact::Trend(error) => of_trend(error),
        Fact::Survey(error) => of_survey(error),
        Fact::Chain(error) => of_chain(error),
        Fact::Spread(error) => of_spread(error),
        Fact::Item { .. } | Fact::Column { .. } => help(),
    }
}

fn of_trend(error: &TrendError) -> String {
    match error {
        TrendError::DatesGoBack { .. } => "put the readings in order of their dates".to_owned(),
        TrendError::NoReadings => "give at least one reading".to_owned(),
        TrendError::TooMany { .. } => "give fewer".to_owned(),
        TrendError::NotFinite { .. }
        | TrendError::TooLarge { .. }
        | TrendError::ResolutionNotPositive
        | TrendError::ThresholdNotFinite => "look at the unit and the decimal point".to_owned(),
    }
}

fn of_survey(error: &SurveyError) -> String {
    match error {
        SurveyError::TooFewPoints | SurveyError::OnOneLine => {
            "read at least one more point, off the line of the others; `level-profile` takes three heights on a line"
                .to_owned()
        }
        SurveyError::TooManyPoints => "give fewer".to_owned(),
        SurveyError::ShortProfile { .. } => "name three points or more".to_owned(),
        SurveyError::NoSuchPoint { .. } => "points are counted from 0, in the order of the list".to_owned(),
        SurveyError::ClosedProfile { .. } => "let it end at another place".to_owned(),
    }
}

fn of_chain(error: &ChainError) -> String {
    match error {
        ChainError::Stages { .. } => "give one for each stage; `advance` is one fewer".to_owned(),
        ChainError::RowSum { .. } => {
            "what is left of a row is the chance of staying: write it on the diagonal".to_owned()
        }
        ChainError::StartSum { .. } => "give the number of the stage it is at, or chances that sum to 1".to_owned(),
        ChainError::NoStages => "give at least one stage".to_owned(),
        ChainError::TooManyStages | ChainError::TooManyYears { .. } => "give fewer".to_owned(),
        ChainError::Rate { .. } => "write it as a fraction: 0.03 is 3 %".to_owned(),
        ChainError::NotAChance { .. } | ChainError::NotAPrice { .. } | ChainError::Beyond => {
            "look at the decimal point".to_owned()
        }
    }
}

fn of_spread(error: &SpreadError) -> String {
    match error {
        SpreadError::Chain(error) => of_chain(error),
        SpreadError::NoPaths => "100,000 paths tell a percentile to about 1 %".to_owned(),
        SpreadError::TooLong { .. } => {
            "give fewer paths or years: 100,000 paths tell a percentile to about 1 %".to_owned()
        }
        SpreadError::NotAShare { .. } => "the 90th percentile is 0.9".to_owned(),
        SpreadError::NoSuchYear { .. } => "ask for an earlier one, or look further ahead with `years`".to_owned(),
        SpreadError::Stages { .. } => "give one for each stage".to_owned(),
    }
}

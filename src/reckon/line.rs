//! One line of JSON Lines to its answer.

use serde_json::value::RawValue;

use super::calculation::Calculation;
use super::fault::{Fact, Fault};
use super::outcome::Outcome;
use super::read::{self, Field};
use super::table;

/// The answer to one line.
#[derive(Clone)]
pub struct Answer {
    /// As it was given, unchanged.
    pub id: Option<Box<RawValue>>,
    /// The calculation as it was named.
    pub reckon: Option<String>,
    /// The calculation that was meant, if there is one.
    pub calculation: Option<&'static Calculation>,
    pub outcome: Result<Outcome, Fault>,
    /// Whether the line could be read as JSON.
    pub readable: bool,
}

/// Answers one line, whatever it holds.
pub fn answer(line: &[u8]) -> Answer {
    let unread = |fact| Answer::refused(false, Fault::new("line", fact));
    let text = match std::str::from_utf8(line) {
        Ok(text) => text,
        Err(_) => return unread(Fact::NotJson("it is not UTF-8".to_owned())),
    };
    let json = match serde_json::from_str::<&RawValue>(text) {
        Ok(json) => json.get(),
        Err(error) => return unread(Fact::NotJson(error.to_string())),
    };
    let got = read::what(json);
    if got != "an object" {
        return Answer::refused(true, Fault::new("line", Fact::NotAnObject(got)));
    }
    match read::fields(json) {
        Ok(fields) => of_fields(fields),
        Err(error) => Answer::refused(true, Fault::new("line", Fact::NotJson(error.to_string()))),
    }
}

fn of_fields(mut fields: Vec<Field>) -> Answer {
    let mut answer = Answer::refused(true, Fault::new("reckon", Fact::Missing { wanted: "a calculation".to_owned() }));
    let mut twice = None;
    let mut take = |wanted: &'static str| {
        let mut found = None;
        fields.retain(|(name, raw)| {
            if name != wanted {
                return true;
            }
            twice = twice.or(found.replace(*raw).map(|_| wanted));
            false
        });
        found
    };
    answer.id = take("id").map(RawValue::to_owned);
    let reckon = take("reckon");
    if let Some(name) = twice {
        answer.outcome = Err(Fault::new(name, Fact::Twice));
        return answer;
    }
    let Some(reckon) = reckon else { return answer };
    let Ok(name) = serde_json::from_str::<String>(reckon.get()) else {
        let wanted = "the name of a calculation".to_owned();
        answer.outcome = Err(Fault::new("reckon", Fact::OtherKind { got: read::what(reckon.get()), wanted }));
        return answer;
    };
    answer.calculation = table::named(&name);
    answer.outcome = match answer.calculation {
        None => Err(Fault::new("reckon", Fact::UnknownCalculation(name.clone()))),
        Some(calculation) => run(calculation, &fields),
    };
    answer.reckon = Some(name);
    answer
}

/// Reads the fields and runs the calculation on them.
pub fn run(calculation: &'static Calculation, fields: &[Field]) -> Result<Outcome, Fault> {
    let outcome = (calculation.run)(&read::read(calculation, fields)?)?;
    if outcome.is_finite() {
        return Ok(outcome);
    }
    let first = calculation.inputs.first().map_or("reckon", |input| input.name);
    Err(Fault::beyond(first))
}

impl Answer {
    /// A refusal of a whole line.
    pub fn refused(readable: bool, fault: Fault) -> Answer {
        Answer { id: None, reckon: None, calculation: None, outcome: Err(fault), readable }
    }
}

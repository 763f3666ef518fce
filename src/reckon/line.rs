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
    let plain;
    let json = match serde_json::from_str::<&RawValue>(text) {
        Ok(json) => json.get(),
        Err(error) => {
            plain = without_not_a_number(text);
            match plain.as_deref().map(serde_json::from_str::<&RawValue>) {
                Some(Ok(json)) => json.get(),
                _ => return unread(Fact::NotJson(error.to_string())),
            }
        }
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

/// Some libraries write `NaN`, `Infinity` and `-Infinity` for numbers that are none. They are no JSON; so that the answer can
/// name the field, each becomes a number too large to be one. `None` where there are none.
fn without_not_a_number(text: &str) -> Option<String> {
    const WRITTEN: [&str; 3] = ["NaN", "-Infinity", "Infinity"];
    const TOO_LARGE: &str = "1e999999";
    let mut plain = String::with_capacity(text.len());
    let (mut in_text, mut found) = (false, false);
    let mut rest = text;
    while let Some(next) = rest.chars().next() {
        if let Some(word) = WRITTEN.iter().find(|word| !in_text && rest.starts_with(**word)) {
            plain.push_str(TOO_LARGE);
            rest = &rest[word.len()..];
            found = true;
            continue;
        }
        // Behind a backslash a quote does not end the text.
        let escaped = in_text && next == '\\';
        in_text ^= next == '"';
        let taken: usize = rest.chars().take(if escaped { 2 } else { 1 }).map(char::len_utf8).sum();
        plain.push_str(&rest[..taken]);
        rest = &rest[taken..];
    }
    found.then_some(plain)
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

#[cfg(test)]
mod tests {
    use super::{answer, without_not_a_number};

    #[test]
    fn a_number_that_is_none_is_refused_by_the_name_of_its_field() {
        for written in ["NaN", "Infinity", "-Infinity", "1e999", "-1e999"] {
            let line = format!(r#"{{"id":7,"reckon":"step-height","step":{written}}}"#);
            let answer = answer(line.as_bytes());
            assert_eq!(answer.outcome.unwrap_err().input, "step", "{written}");
            assert_eq!((answer.readable, answer.id.unwrap().get()), (true, "7"));
        }
        assert_eq!(without_not_a_number(r#"["NaN \" NaN", 1]"#), None);
        assert_eq!(without_not_a_number(r#"["\\",NaN]"#).unwrap(), r#"["\\",1e999999]"#);
    }
}

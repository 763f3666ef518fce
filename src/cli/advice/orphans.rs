//! Advice on entries that would no longer stand: each is named, and what is said of them is said once.

use super::super::failure::Failure;
use super::super::given;
use crate::ledger::problem::Problem;
use crate::store::Refusal;

/// How many are named.
const NAMED: usize = 8;

/// One refusal for all the entries that an amendment, or a fact of an earlier day, would leave without what they stand on.
pub fn of_orphans(refusals: &[Refusal]) -> Option<Failure> {
    let orphan = |r: &Refusal| match &r.problem {
        Problem::Orphans { seq, problem, amended, .. } => {
            let name = if r.key.is_empty() { format!("entry {seq}") } else { format!("{}#{seq}", r.key) };
            Some((name, problem.to_string(), *amended))
        }
        _ => None,
    };
    let all: Vec<(String, String, bool)> = refusals.iter().filter_map(orphan).collect();
    let (first, problem, amended) = all.first()?;
    let names: Vec<&str> = all.iter().take(NAMED).map(|(name, ..)| name.as_str()).collect();
    let more = all.len().saturating_sub(NAMED);
    let more = if more == 0 { String::new() } else { format!(" and {more} more") };
    let names = format!("{}{more}", names.join(", "));
    let what = match (all.len(), amended) {
        (1, true) => format!("{first} hangs on it: {problem}"),
        (1, false) => format!("{first} is later and would not stand: {problem}"),
        (n, true) => format!("{n} entries hang on it; of {first}: {problem}"),
        (n, false) => format!("{n} later entries would not stand; of {first}: {problem}"),
    };
    let attempt = match amended {
        true => format!("correct or strike first {names}"),
        false => format!("give a later day with --on, or correct or strike first {names}"),
    };
    Some(Failure::new(1, what).given(given::typed()).attempt(attempt))
}

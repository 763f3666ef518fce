//! Many drafts at once: rows of a file, of which each may have its place before what is there. One by one each of them would
//! have the whole history folded anew; together they are folded once, and once more without those that are refused.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::{Draft, Folded, Joined, Recorded, fold};
use crate::ledger::kind::Fact;
use crate::ledger::problem::Problem;
use crate::ledger::property::At;

/// What became of each draft, in their order.
pub type Answers = Vec<Result<Joined, Vec<Problem>>>;

impl Draft {
    /// A fact that nothing else hangs on, so that whether it is taken does not depend on those that come with it: batches do not
    /// matter.
    pub fn goes_with_others(&self) -> bool {
        match &self.fact {
            Fact::ReadingAdded(_) | Fact::SumpTested(_) => true,
            // One that stood beside another hangs on that.
            Fact::RadonTested(test) => test.beside.is_none(),
            _ => false,
        }
    }
}

impl Folded {
    /// Lets those of `drafts` join that the history takes, all being of the sort that goes together.
    ///
    /// Where each comes last in its turn, or where putting them in together would leave something recorded without what it
    /// hangs on, they are tried one after the other. `entries` fetches the chain as recorded, without the drafts.
    pub fn join_all<E>(
        &mut self,
        drafts: Vec<Draft>,
        recorded: DateTime<Utc>,
        entries: impl Fn() -> Result<Vec<Recorded>, E>,
    ) -> Result<Answers, E> {
        if self.takes_in_turn(drafts.iter()) {
            return self.join_each(drafts, recorded, entries);
        }
        let history = entries()?;
        match self.joined_together(&drafts, recorded, &history) {
            Some(answers) => Ok(answers),
            None => self.join_each(drafts, recorded, || Ok(history.clone())),
        }
    }

    /// At most one of them stands before what is there or before another.
    pub fn takes_in_turn<'a>(&self, drafts: impl Iterator<Item = &'a Draft>) -> bool {
        let (mut last, mut before) = (self.last, 0);
        let mut ids: BTreeSet<Uuid> = BTreeSet::new();
        for (seq, draft) in (self.length + 1..).zip(drafts) {
            if !draft.goes_with_others() || !ids.insert(draft.id) {
                return true;
            }
            let order = self.order_of(draft, seq);
            match last {
                Some(last) if order < last => before += 1,
                _ => last = Some(order),
            }
        }
        before < 2
    }

    fn join_each<E>(
        &mut self,
        drafts: Vec<Draft>,
        recorded: DateTime<Utc>,
        entries: impl Fn() -> Result<Vec<Recorded>, E>,
    ) -> Result<Answers, E> {
        let mut fresh: Vec<Recorded> = Vec::new();
        let mut answers = Vec::with_capacity(drafts.len());
        for draft in drafts {
            let history = || Ok(entries()?.into_iter().chain(fresh.iter().cloned()).collect());
            let answer = self.join(draft, recorded, history)?;
            if let Ok(joined) = &answer {
                fresh.push(Recorded::read(&joined.raw).expect("an entry just sealed reads back"));
            }
            answers.push(answer);
        }
        Ok(answers)
    }

    /// `None`: one of them would take away what a recorded entry hangs on, and which one is not said by a fold of all.
    fn joined_together(&mut self, drafts: &[Draft], recorded: DateTime<Utc>, history: &[Recorded]) -> Option<Answers> {
        let mut refused: Vec<Vec<Problem>> =
            drafts.iter().map(|draft| self.problems_of_dates(draft, self.clock(&draft.fact, recorded))).collect();
        loop {
            let mut next = self.clone();
            let mut all = history.to_vec();
            let mut joined: Vec<(usize, Joined)> = Vec::new();
            for (index, draft) in drafts.iter().enumerate().filter(|(index, _)| refused[*index].is_empty()) {
                let one = next.seal(draft.clone(), recorded, true, None);
                all.push(Recorded::read(&one.raw).expect("an entry just sealed reads back"));
                joined.push((index, one));
            }
            let folded = fold(self.property.id, &all);
            let mut found = false;
            for (seq, problem) in folded.unplaced.iter().filter(|problem| !self.unplaced.contains(problem)) {
                let at = seq.checked_sub(self.length + 1).and_then(|n| usize::try_from(n).ok());
                let (index, _) = joined.get(at?)?;
                refused[*index].push(self.said_better(problem));
                found = true;
            }
            if !found {
                self.all_problems_of_the_last(drafts, &mut refused);
                *self = folded;
                let mut joined = joined.into_iter().map(|(_, one)| one);
                let answer = |problems: Vec<Problem>| match problems.is_empty() {
                    true => joined.next().map(Ok),
                    false => Some(Err(problems)),
                };
                return refused.into_iter().map(answer).collect();
            }
        }
    }

    /// One that is refused for its day says what else keeps it out where it would have come last, as it does by itself.
    fn all_problems_of_the_last(&self, drafts: &[Draft], refused: &mut [Vec<Problem>]) {
        let (mut last, mut seq) = (self.last, self.length + 1);
        for (draft, refused) in drafts.iter().zip(refused) {
            let order = self.order_of(draft, seq);
            let in_order = last.is_none_or(|last| last < order);
            if refused.is_empty() {
                last = if in_order { Some(order) } else { last };
                seq += 1;
            } else if in_order {
                let mut found = Vec::new();
                draft.fact.problems(&At { seq, on: draft.on, remarks: &draft.remarks }, &self.property, &mut found);
                found.retain(|problem| !refused.contains(problem));
                refused.extend(found);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use std::convert::Infallible;

    use chrono::{DateTime, NaiveDate};
    use proptest::prelude::{Strategy, prop, prop_assert_eq, proptest};
    use uuid::Uuid;

    use super::super::{Draft, Folded, Recorded};
    use crate::ledger::entry::Remarks;
    use crate::ledger::kind::Fact;
    use crate::ledger::when::When;

    fn fact(kind: &str, json: &str) -> Fact {
        Fact::read(kind, 1, json).unwrap()
    }

    fn draft(on: &str, fact: Fact) -> Draft {
        Draft::new(When::parse(on).unwrap(), Remarks::default(), fact)
    }

    fn reading(finding: u32, on: &str) -> Draft {
        let json = format!(r#"{{"finding":{finding},"measured":{{"width":{{"typed":"1 mm","mm":"1"}}}}}}"#);
        draft(on, fact("reading-added", &json))
    }

    fn opening(on: &str) -> Draft {
        draft(on, fact("finding-opened", r#"{"number":0,"kind":"crack","place":"wall"}"#))
    }

    /// A house with a crack since 5 January 2024, read on 1 December 2025.
    fn house() -> (Folded, Vec<Recorded>) {
        let mut folded = Folded::empty(Uuid::nil());
        let mut chain = Vec::new();
        let added = fact("property-added", r#"{"key":"elm","name":"Elm Street","zone":"UTC"}"#);
        for draft in [draft("2024-01-01", added), opening("2024-01-05"), reading(1, "2025-12-01")] {
            let history = || Ok::<_, Infallible>(chain.clone());
            let Ok(joined) = folded.join(draft, recorded(), history);
            chain.push(Recorded::read(&joined.unwrap().raw).unwrap());
        }
        (folded, chain)
    }

    fn recorded() -> DateTime<chrono::Utc> {
        "2026-03-01T12:00:00Z".parse().unwrap()
    }

    fn any_draft() -> impl Strategy<Value = Draft> {
        // Some before the crack was opened or in the future, some of findings that are not there.
        (1..3_u32, 0..1200_u64).prop_map(|(finding, days)| {
            let on = NaiveDate::from_ymd_opt(2023, 12, 1).unwrap() + chrono::Days::new(days);
            reading(finding, &on.to_string())
        })
    }

    proptest! {
        /// Whatever order rows have, together the same go in as one after the other, and leave the state that their entries give.
        #[test]
        fn drafts_that_join_together_leave_what_their_entries_give(drafts in prop::collection::vec(any_draft(), 0..12)) {
            let (mut folded, mut chain) = house();
            let (mut alone, mut one_by_one) = house();
            let mut went_in = Vec::new();
            for draft in drafts.clone() {
                let Ok(answer) = alone.join(draft, recorded(), || Ok::<_, Infallible>(one_by_one.clone()));
                went_in.push(answer.as_ref().map(|joined| joined.seq).map_err(Clone::clone));
                if let Ok(joined) = answer {
                    one_by_one.push(Recorded::read(&joined.raw).unwrap());
                }
            }
            let Ok(answers) = folded.join_all(drafts.clone(), recorded(), || Ok::<_, Infallible>(chain.clone()));
            let together: Vec<_> = answers.iter().map(|a| a.as_ref().map(|joined| joined.seq).map_err(Clone::clone)).collect();
            prop_assert_eq!(together, went_in);
            let taken: Vec<_> = answers.into_iter().flatten().collect();
            chain.extend(taken.iter().map(|joined| Recorded::read(&joined.raw).unwrap()));
            prop_assert_eq!(super::fold(Uuid::nil(), &chain), folded);
        }
    }
}

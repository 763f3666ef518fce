//! From entries to the property as it stands, and the check of a new fact against the whole resulting history.
//!
//! First, in chain order, corrections and strikes decide which facts live; then the living facts in order of happening
//! (what stands from the start first, then by date, time of day and place in the chain) give the state. A draft is
//! accepted if the history it would leave has no problem that the history before it did not have.

use chrono::{DateTime, NaiveDate, Utc};
use std::collections::BTreeMap;
use uuid::Uuid;

use super::entry::{Body, ENVELOPE_VERSION, EntryError, Envelope, RawEntry, Remarks};
use super::hash::Hash;
use super::history::subjects;
use super::kind::{Fact, KindError};
use super::order::{Order, Timed};
use super::problem::Problem;
use super::property::{At, Property};
use super::subject::Subject;
use super::when::When;

mod many;

/// An entry as read from its bytes.
#[derive(Debug, Clone, PartialEq)]
pub struct Recorded {
    pub envelope: Envelope,
    pub hash: Hash,
    /// `None`: left out or erased.
    pub body: Option<Body>,
}

impl Recorded {
    /// Checks both hashes and reads envelope and body.
    pub fn read(raw: &RawEntry) -> Result<Recorded, EntryError> {
        let envelope = raw.check()?;
        let body = raw.body.as_deref().map(|b| Body::read(&envelope.kind, b)).transpose()?;
        Ok(Recorded { envelope, hash: raw.hash, body })
    }

    pub fn seq(&self) -> u64 {
        self.envelope.seq
    }
}

/// A fact on its way into a chain.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// A second delivery of the same id changes nothing.
    pub id: Uuid,
    pub on: When,
    pub remarks: Remarks,
    pub fact: Fact,
}

impl Draft {
    pub fn new(on: When, remarks: Remarks, fact: impl Into<Fact>) -> Draft {
        Draft { id: Uuid::now_v7(), on, remarks, fact: fact.into() }
    }
}

/// Whether an entry's fact counts, and if not, which entry decided so.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    Lives,
    /// Another fact stands in its place.
    CorrectedBy(u64),
    StruckBy(u64),
    /// Left out or erased.
    Absent,
}

/// A chain folded: the state, and what the next entry has to follow.
#[derive(Debug, Clone, PartialEq)]
pub struct Folded {
    pub property: Property,
    /// Number of entries.
    pub length: u64,
    pub head: Hash,
    /// Facts that have no place in the history: they can only hang on absent bodies.
    pub unplaced: Vec<(u64, Problem)>,
    last: Option<Order>,
}

/// A draft that joined: its sealed entry and what it touched.
#[derive(Debug, Clone, PartialEq)]
pub struct Joined {
    pub seq: u64,
    pub raw: RawEntry,
    pub kind: &'static str,
    pub id: Uuid,
    pub on: When,
    pub body: Body,
    pub subjects: Vec<Subject>,
    /// The state was folded anew: any subject may have changed.
    pub anew: bool,
    /// The entry whose body has to be destroyed.
    pub erases: Option<u64>,
}

/// A fact that lives, with where it stands.
struct Living {
    order: Order,
    on: When,
    remarks: Remarks,
    fact: Fact,
}

/// Folds a chain. Entries are in chain order; facts that find no place are left in `unplaced`.
pub fn fold(id: Uuid, entries: &[Recorded]) -> Folded {
    let (mut living, last_number, mut unplaced) = living_facts(entries);
    living.sort_by_key(|l| l.order);
    let property = state(Property { id, last_number, ..Property::default() }, &living, &mut unplaced);
    Folded {
        property,
        length: entries.len() as u64,
        head: entries.last().map_or(Hash::START, |e| e.hash),
        unplaced,
        last: living.last().map(|l| l.order),
    }
}

/// The property as its entries give it up to the end of `day`: what stands from the start, and what had happened by then.
/// Corrections and strikes count whenever they were made, since they say how it was.
pub fn property_on(id: Uuid, entries: &[Recorded], day: NaiveDate) -> Property {
    let (mut living, last_number, _) = living_facts(entries);
    living.retain(|l| l.order.on.is_none_or(|on| on.date <= day));
    living.sort_by_key(|l| l.order);
    state(Property { id, last_number, ..Property::default() }, &living, &mut Vec::new())
}

/// Applies facts in their order; those that find no place are added to `unplaced`.
fn state(mut property: Property, living: &[Living], unplaced: &mut Vec<(u64, Problem)>) -> Property {
    let mut found = Vec::new();
    for l in living {
        let at = At { seq: l.order.seq, on: l.on, remarks: &l.remarks };
        l.fact.problems(&at, &property, &mut found);
        if found.is_empty() {
            l.fact.apply(&at, &mut property);
        }
        unplaced.extend(found.drain(..).map(|p| (l.order.seq, p)));
    }
    property
}

/// What became of each entry's fact, by place in the chain.
pub fn fates(entries: &[Recorded]) -> BTreeMap<u64, Fate> {
    let mut fates: BTreeMap<u64, Fate> = BTreeMap::new();
    for entry in entries {
        let own = if entry.body.is_some() { Fate::Lives } else { Fate::Absent };
        fates.insert(entry.seq(), own);
        match entry.body.as_ref().map(|b| &b.fact) {
            Some(Fact::EntryCorrected(c)) => {
                if let Some(fate @ (Fate::Lives | Fate::CorrectedBy(_))) = fates.get_mut(&c.entry) {
                    *fate = Fate::CorrectedBy(entry.seq());
                }
            }
            Some(Fact::EntryStruck(s)) => {
                fates.entry(s.entry).and_modify(|f| *f = Fate::StruckBy(entry.seq()));
            }
            _ => {}
        }
    }
    fates
}

/// The facts that live, the highest finding number ever given out, and corrections that cannot be read.
fn living_facts(entries: &[Recorded]) -> (Vec<Living>, u32, Vec<(u64, Problem)>) {
    let fates = fates(entries);
    let by_seq = |seq: u64| entries.get(usize::try_from(seq).ok()?.checked_sub(1)?);
    let mut living = Vec::with_capacity(entries.len());
    let mut last_number = 0;
    let mut unplaced = Vec::new();
    let mut timed = Timed::default();
    for entry in entries {
        let Some(body) = &entry.body else { continue };
        if let Fact::FindingOpened(f) = &body.fact {
            last_number = last_number.max(f.number);
        }
        let (on, remarks, fact) = match fates.get(&entry.seq()) {
            Some(Fate::Lives) => (entry.envelope.on, body.remarks.clone(), body.fact.clone()),
            Some(Fate::CorrectedBy(seq)) => {
                let Some(Body { remarks, fact: Fact::EntryCorrected(c) }) = by_seq(*seq).and_then(|e| e.body.as_ref())
                else {
                    continue;
                };
                match Fact::read(&entry.envelope.kind, c.v, &c.fact.to_string()) {
                    Ok(fact) => (c.on, remarks.clone(), fact),
                    Err(KindError::NotThisKind { error, .. }) => {
                        unplaced.push((*seq, Problem::CorrectionUnreadable { seq: entry.seq(), error }));
                        continue;
                    }
                    Err(error) => {
                        unplaced
                            .push((*seq, Problem::CorrectionUnreadable { seq: entry.seq(), error: error.to_string() }));
                        continue;
                    }
                }
            }
            _ => continue,
        };
        let mut order = Order::of(&fact, on, entry.seq());
        // What came into the chain later cannot move it: it joined without it.
        order.on = order.on.map(|on| timed.placed(&fact, on));
        timed.note(&fact, on);
        living.push(Living { order, on, remarks, fact });
    }
    (living, last_number, unplaced)
}

impl Folded {
    /// The fold of a chain with no entries yet.
    pub fn empty(id: Uuid) -> Folded {
        fold(id, &[])
    }

    /// Something of it happened after `day`: what stood on that day is given by [`property_on`].
    pub fn is_later_than(&self, day: NaiveDate) -> bool {
        self.last.and_then(|last| last.on).is_some_and(|on| on.date > day)
    }

    /// Where a draft would stand in the order of happening.
    fn order_of(&self, draft: &Draft, seq: u64) -> Order {
        let mut order = Order::of(&draft.fact, draft.on, seq);
        order.on = order.on.map(|on| Timed::of(&self.property, &draft.fact, on).placed(&draft.fact, on));
        order
    }

    /// Lets a draft join the history, or says everything that keeps it out; refused leaves `self` as it was.
    ///
    /// A fact that comes last in the order of happening is checked against the state alone; any other has the whole
    /// history folded anew with it in place, for which `entries` fetches the chain as recorded.
    pub fn join<E>(
        &mut self,
        mut draft: Draft,
        recorded: DateTime<Utc>,
        entries: impl FnOnce() -> Result<Vec<Recorded>, E>,
    ) -> Result<Result<Joined, Vec<Problem>>, E> {
        if let Fact::FindingOpened(f) = &mut draft.fact
            && f.number == 0
        {
            f.number = self.property.last_number + 1;
        }
        let now = self.clock(&draft.fact, recorded);
        let mut found = self.problems_of_dates(&draft, now);
        let seq = self.length + 1;
        let order = self.order_of(&draft, seq);
        let amends = match &draft.fact {
            Fact::EntryCorrected(c) => Some(c.entry),
            Fact::EntryStruck(s) => Some(s.entry),
            Fact::EntryErased(e) => Some(e.entry),
            _ => None,
        };
        let at = At { seq, on: draft.on, remarks: &draft.remarks };
        let in_order = self.last.is_none_or(|last| last < order);
        if amends.is_none() && in_order {
            draft.fact.problems(&at, &self.property, &mut found);
            if !found.is_empty() {
                return Ok(Err(found));
            }
            draft.fact.apply(&at, &mut self.property);
            let joined = self.seal(draft, recorded, false, None);
            self.last = Some(order);
            return Ok(Ok(joined));
        }
        let mut history = entries()?;
        if let Some(target) = amends {
            found.extend(self.problems_of_amending(&mut draft, target, &history, now));
            let at = At { seq, on: draft.on, remarks: &draft.remarks };
            draft.fact.problems(&at, &self.property, &mut found);
        }
        if !found.is_empty() {
            return Ok(Err(found));
        }
        let erases = match &draft.fact {
            Fact::EntryErased(e) => Some(e.entry),
            _ => None,
        };
        let mut next = self.clone();
        let joined = next.seal(draft, recorded, true, erases);
        let entry = Recorded::read(&joined.raw).expect("an entry just sealed reads back");
        history.push(entry);
        if let Some(seq) = erases
            && let Some(entry) = history.iter_mut().find(|e| e.seq() == seq)
        {
            entry.body = None;
        }
        let folded = fold(self.property.id, &history);
        let fresh: Vec<Problem> = folded
            .unplaced
            .iter()
            .filter(|problem| !self.unplaced.contains(problem))
            .map(|(at, problem)| {
                if *at == seq || amends == Some(*at) {
                    self.said_better(problem)
                } else {
                    let kind = history.get(*at as usize - 1).map_or(String::new(), |e| e.envelope.kind.clone());
                    Problem::Orphans { seq: *at, kind, problem: Box::new(problem.clone()), amended: amends.is_some() }
                }
            })
            .collect();
        if !fresh.is_empty() {
            return Ok(Err(fresh));
        }
        *self = folded;
        Ok(Ok(joined))
    }

    fn seal(&mut self, draft: Draft, recorded: DateTime<Utc>, anew: bool, erases: Option<u64>) -> Joined {
        let Draft { id, on, remarks, fact } = draft;
        let kind = fact.kind();
        let subjects = fact.about();
        let body = Body { remarks, fact };
        let envelope = Envelope {
            v: ENVELOPE_VERSION,
            property: self.property.id,
            seq: self.length + 1,
            prev: self.head,
            id,
            kind: kind.to_owned(),
            on,
            recorded,
            body: Hash::START,
        };
        let raw = envelope.seal(body.seal());
        self.length += 1;
        self.head = raw.hash;
        Joined { seq: self.length, raw, kind, id, on, body, subjects, anew, erases }
    }

    /// A finding that is there, but not yet on that day, is known by the day it was opened.
    fn said_better(&self, problem: &Problem) -> Problem {
        match problem {
            Problem::NoFinding { number, on } => match self.property.findings.get(number).filter(|f| f.opened > *on) {
                Some(finding) => Problem::BeforeOpened { on: *on, number: *number, opened: finding.opened },
                None => problem.clone(),
            },
            other => other.clone(),
        }
    }

    /// What the clock of the house shows as something is entered: nothing that is recorded lies beyond it, whatever day verdicts
    /// are computed for.
    fn clock(&self, fact: &Fact, recorded: DateTime<Utc>) -> When {
        let added = match fact {
            Fact::PropertyAdded(added) => added.zone.parse().ok(),
            _ => None,
        };
        let zone = self.property.zone.or(added).unwrap_or(chrono_tz::Tz::UTC);
        When::at(recorded.with_timezone(&zone).naive_local())
    }

    /// What can be said of the draft's date without the rest of the history.
    fn problems_of_dates(&self, draft: &Draft, now: When) -> Vec<Problem> {
        use chrono::Datelike;
        let on = match &draft.fact {
            Fact::EntryCorrected(c) => c.on,
            _ => draft.on,
        };
        let mut found = Vec::new();
        if on.date > now.date {
            found.push(Problem::InFuture { on, today: now.date });
        } else if is_ahead(on, now) {
            found.push(Problem::LaterToday { on, now });
        }
        found.extend(problem_of_dates_inside(&draft.fact, now));
        draft.fact.slips(draft.on, &self.property, &mut found);
        if let Some(built) = self.property.built.filter(|built| on.date.year() < *built) {
            found.push(Problem::BeforeBuilt { on, built });
        }
        found
    }

    /// What keeps `target` from being corrected, struck or erased; an erasure is told the number it must keep.
    fn problems_of_amending(&self, draft: &mut Draft, target: u64, history: &[Recorded], now: When) -> Vec<Problem> {
        let Some(entry) = usize::try_from(target).ok().and_then(|t| history.get(t.checked_sub(1)?)) else {
            return vec![Problem::NoEntry { seq: target }];
        };
        let (what, erasing) = match &draft.fact {
            Fact::EntryErased(_) => ("erased", true),
            Fact::EntryStruck(_) => ("struck", false),
            _ => ("corrected", false),
        };
        let kind = entry.envelope.kind.as_str();
        let amends = matches!(kind, "entry-corrected" | "entry-struck" | "entry-erased");
        if (amends && !(erasing && kind == "entry-corrected")) || kind == "property-added" && !what.starts_with("corr")
        {
            return vec![Problem::KindCannotBe { seq: target, kind: kind.to_owned(), what }];
        }
        let Some(body) = &entry.body else { return vec![Problem::BodyAbsent { seq: target }] };
        if let Some(Fate::StruckBy(_)) = fates(history).get(&target)
            && !erasing
        {
            return vec![Problem::StruckAlready { seq: target }];
        }
        if let Fact::EntryErased(erased) = &mut draft.fact {
            erased.about = subjects(history, target).iter().map(Subject::local).collect();
        }
        match (&mut draft.fact, &body.fact) {
            (Fact::EntryErased(e), Fact::FindingOpened(f)) => e.number = Some(f.number),
            (Fact::EntryCorrected(c), first) => {
                let stands = said_by_correction(history, target);
                let (was, was_on, remarks) =
                    stands.as_ref().map_or((first, entry.envelope.on, &body.remarks), |s| (&s.0, s.1, s.2));
                return match Fact::read(kind, c.v, &c.fact.to_string()) {
                    Ok(becomes) if becomes == *was && c.on == was_on && draft.remarks == *remarks => {
                        vec![Problem::NothingToChange]
                    }
                    Ok(becomes) => {
                        let mut found: Vec<Problem> = problem_of_dates_inside(&becomes, now).into_iter().collect();
                        becomes.slips(c.on, &self.property, &mut found);
                        found
                    }
                    Err(error) => vec![Problem::CorrectionUnreadable { seq: target, error: error.to_string() }],
                };
            }
            _ => {}
        }
        Vec::new()
    }
}

/// What the last correction of an entry put in its place.
fn said_by_correction(history: &[Recorded], target: u64) -> Option<(Fact, When, &Remarks)> {
    let Some(Fate::CorrectedBy(by)) = fates(history).get(&target).copied() else { return None };
    let at = |seq: u64| history.get(usize::try_from(seq).ok()?.checked_sub(1)?);
    let Body { remarks, fact: Fact::EntryCorrected(c) } = at(by)?.body.as_ref()? else { return None };
    let fact = Fact::read(&at(target)?.envelope.kind, c.v, &c.fact.to_string()).ok()?;
    Some((fact, c.on, remarks))
}

/// Whether the clock has not come to a moment: to its day, or to its time on this day.
fn is_ahead(when: When, now: When) -> bool {
    when.date > now.date || (when.date == now.date && when.time > now.time)
}

/// Dates that a fact names itself and that no clock has reached; asked of what is entered now, not of what was recorded.
fn problem_of_dates_inside(fact: &Fact, now: When) -> Option<Problem> {
    match fact {
        Fact::RadonTested(test) => {
            let ended = test.end().filter(|end| is_ahead(*end, now) && !is_ahead(test.started, now))?;
            Some(Problem::EndsInFuture { ended })
        }
        _ => None,
    }
}

//! `correct`, `strike`, `entry erase`: a record set right without losing what it said.

use std::path::PathBuf;

use clap::{Args, Command, FromArgMatches};
use uuid::Uuid;

use super::typed::Reading;
use super::{
    Circumstances, Context, Error, Recorded, air, finding, fixture, judgement, plastic_sheet, property, quote, radon,
    reading, repair, section, sump, survey,
};
use crate::ledger::entry::{Body, Remarks};
use crate::ledger::fold::{Draft, Fate, Recorded as Entry, fates};
use crate::ledger::kind::Fact;
use crate::ledger::kind::entry_corrected::EntryCorrected;
use crate::ledger::kind::entry_erased::EntryErased;
use crate::ledger::kind::entry_struck::EntryStruck;
use crate::ledger::kind::reading_added::ReadingAdded;
use crate::ledger::problem::Problem;
use crate::ledger::subject::{Address, Name};
use crate::ledger::when::When;
use crate::quantity::Currency;
use crate::store::{Addressed, Refusal, Store, Target};
use crate::trade::words::Answer;

// Flags of a correction whose kind has only words to correct.
#[derive(Debug, Clone, Default, Args)]
struct Words {
    /// The reason, as it should have been given
    #[arg(long, value_name = "TEXT")]
    reason: Option<String>,
    /// The note, as it should have been written
    #[arg(long, value_name = "TEXT")]
    text: Option<String>,
    /// Whether the note says that the place was looked over: yes or no
    #[arg(long, value_name = "ANSWER", num_args = 0..=1, default_missing_value = "yes")]
    look: Option<String>,
    /// The kind of event
    #[arg(long)]
    kind: Option<String>,
}

/// Puts a full new fact in the place of an entry's: what was typed, over what it said.
///
/// `flags` are those that record an entry of its kind.
pub fn correct(
    context: &Context,
    store: &mut Store,
    typed: &str,
    why: &str,
    flags: &[String],
    sure: bool,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (id, seq, body, on) = standing(context, store, typed)?;
    let mut read = Reading::default();
    let mut letter = None;
    let fact = overlay(&body.fact, flags, store.settings().currency, &mut letter, &mut read)?;
    let fact = read.done_on(fact, c)?;
    let Some(mut fact) = fact else { return Err(cannot(seq, &body.fact)) };
    let on = match &fact {
        Fact::RadonTested(test) if c.on.is_none() => test.started,
        _ => c.on.as_deref().map(When::parse).transpose()?.unwrap_or(on),
    };
    if let (Fact::ReadingAdded(now), false) = (&fact, sure) {
        reading::ask_of_correction(context, &store.folded(id)?.property, seq, now, on)?;
    }
    let mut files = Vec::new();
    let new = context.remarks(store, c, &mut files)?;
    if let (Some(path), Fact::JudgementGiven(judgement)) = (letter, &mut fact) {
        match store.put_file(&path) {
            Ok(file) => {
                files.push(file.clone());
                judgement.document = Some(file);
            }
            Err(error) => {
                store.drop_unused(&files);
                return Err(error.into());
            }
        }
    }
    let now_of_another = another_quantity(&body.fact, &fact);
    let corrected = EntryCorrected {
        entry: seq,
        why: why.to_owned(),
        on,
        v: fact.version(),
        fact: serde_json::to_value(&fact).expect("a fact is plain JSON"),
    };
    let remarks = Remarks {
        by: new.by.or(body.remarks.by),
        note: new.note.or(body.remarks.note),
        photos: body.remarks.photos.into_iter().chain(new.photos).collect(),
        private: new.private || body.remarks.private,
    };
    let today = context.today_at(Some(&store.folded(id)?.property));
    let entered = When::day(context.day_at(Some(&store.folded(id)?.property)));
    let draft = Draft::new(entered, remarks, corrected);
    let drafts = vec![Addressed { property: Target::Known(id), draft }];
    let mut recorded = context.append(store, drafts, today, &files)?;
    if let (Some(sentence), Some(now)) = (recorded.sentences.first_mut(), now_of_another) {
        sentence.push_str(&now);
    }
    Ok(recorded.touching(&body.fact.about()))
}

/// The flags that a correction of an entry takes.
pub fn flags(context: &Context, store: &mut Store, typed: &str) -> Result<String, Error> {
    let (_, seq, body, _) = standing(context, store, typed)?;
    let asked = ["--help".to_owned()];
    match overlay(&body.fact, &asked, store.settings().currency, &mut None, &mut Reading::default()) {
        Err(Error::Flags(help)) => Ok(help.render().to_string()),
        Err(error) => Err(error),
        Ok(_) => Err(cannot(seq, &body.fact)),
    }
}

/// An entry that can be corrected, as it stands now.
fn standing(context: &Context, store: &mut Store, typed: &str) -> Result<(Uuid, u64, Body, When), Error> {
    let (id, entries, seq) = entry(context, store, typed)?;
    let target = &entries[usize::try_from(seq - 1).unwrap_or_default()];
    let (body, on) = as_it_stands(target, &entries).ok_or_else(|| refused(Problem::BodyAbsent { seq }))?;
    match &body.fact {
        Fact::EntryCorrected(_) | Fact::EntryStruck(_) | Fact::EntryErased(_) | Fact::FileAttached(_) => {
            Err(cannot(seq, &body.fact))
        }
        _ => Ok((id, seq, body, on)),
    }
}

fn cannot(seq: u64, fact: &Fact) -> Error {
    refused(Problem::KindCannotBe { seq, kind: fact.kind().to_owned(), what: "corrected" })
}

fn refused(problem: Problem) -> Error {
    Error::Refused(vec![Refusal { index: 0, key: String::new(), problem }])
}

/// What to say where a reading becomes one of another quantity: it may be the wrong entry that was named.
fn another_quantity(was: &Fact, now: &Fact) -> Option<String> {
    match (was, now) {
        (Fact::ReadingAdded(was), Fact::ReadingAdded(now)) if was.measured.quantity() != now.measured.quantity() => {
            let said = |r: &ReadingAdded| format!("{} {}", r.measured.quantity(), r.measured.words());
            Some(format!("; it was {}, and is now {}", said(was), said(now)))
        }
        _ => None,
    }
}

/// What an entry says now: its own body, or that of its last correction.
fn as_it_stands(target: &Entry, entries: &[Entry]) -> Option<(Body, When)> {
    let own = target.body.clone()?;
    match fates(entries).get(&target.seq()) {
        Some(Fate::CorrectedBy(by)) => {
            let correction = entries.get(usize::try_from(by - 1).ok()?)?.body.as_ref()?;
            let Fact::EntryCorrected(c) = &correction.fact else { return None };
            let fact = Fact::read(&target.envelope.kind, c.v, &c.fact.to_string()).ok()?;
            Some((Body { remarks: correction.remarks.clone(), fact }, c.on))
        }
        _ => Some((own, target.envelope.on)),
    }
}

fn parse<T: Args + FromArgMatches>(flags: &[String]) -> Result<T, Error> {
    let command = Command::new("correct").no_binary_name(true);
    let command = command.override_usage("stemwall correct ENTRY [OPTIONS] --why TEXT [--on DATE] [--note TEXT]");
    Ok(T::from_arg_matches(&T::augment_args(command).try_get_matches_from(flags)?)?)
}

/// The fact with what was typed laid over it; `None` for kinds that are not corrected.
///
/// `letter` is told the file of a judgement: it is put in once everything else reads.
fn overlay(
    fact: &Fact,
    flags: &[String],
    currency: Currency,
    letter: &mut Option<PathBuf>,
    read: &mut Reading,
) -> Result<Option<Fact>, Error> {
    Ok(match fact.clone() {
        Fact::PropertyAdded(f) => {
            let key: Name = f.key.clone();
            Some(parse::<property::Fields>(flags)?.added(Some(f), key, currency, read).into())
        }
        Fact::AirLogged(f) => Some(parse::<air::Said>(flags)?.over(f, read).into()),
        Fact::PropertyChanged(f) => Some(parse::<property::Changes>(flags)?.changed(Some(f), currency, read)?.into()),
        Fact::SectionAdded(f) => {
            let name = f.name.clone();
            parse::<section::Fields>(flags)?.added(Some(f), name, read).map(Into::into)
        }
        Fact::SectionChanged(f) => {
            let name = f.name.clone();
            Some(parse::<section::Fields>(flags)?.changed(Some(f), name, read).into())
        }
        Fact::FixtureAdded(f) => {
            let name = f.name.clone();
            parse::<fixture::Fields>(flags)?.added(Some(f), name, read).map(Into::into)
        }
        Fact::FixtureReplaced(f) => {
            let name = f.name.clone();
            Some(parse::<fixture::FittedFields>(flags)?.replaced(Some(f), name, read).into())
        }
        Fact::FindingOpened(f) => parse::<finding::Fields>(flags)?.opened(Some(f), read).map(Into::into),
        Fact::ReadingAdded(f) => {
            let finding = f.finding;
            let fields = parse::<reading::Fields>(flags)?;
            let mut added = fields.added(Some(f), finding, read);
            if added.len() > 1 {
                return Err(Error::OneReading);
            }
            added.pop().map(Into::into)
        }
        Fact::RadonTested(f) => {
            let section = f.section.clone();
            parse::<radon::Fields>(flags)?.tested(Some(f), section, read).map(Into::into)
        }
        Fact::LevelSurveyed(f) => Some(parse::<survey::Fields>(flags)?.surveyed(f, read)?.into()),
        Fact::SheetTested(f) => {
            let about = (f.finding, f.section.clone());
            parse::<plastic_sheet::Fields>(flags)?.tested(Some(f), about, read).map(Into::into)
        }
        Fact::SumpTested(f) => {
            let name = f.fixture.clone();
            Some(parse::<sump::Fields>(flags)?.tested(Some(f), name, read).into())
        }
        Fact::RepairMade(f) => {
            let findings = f.findings.clone();
            parse::<repair::Fields>(flags)?.made(Some(f), findings, currency, read).map(Into::into)
        }
        Fact::JudgementGiven(f) => {
            let fields = parse::<judgement::Fields>(flags)?;
            letter.clone_from(&fields.attach);
            let findings = f.findings.clone();
            Some(fields.given(Some(f), findings, None, read).into())
        }
        Fact::QuoteGiven(f) => {
            let about = Fact::from(f.clone()).about();
            parse::<quote::Fields>(flags)?.given(Some(f), &about, currency, read).map(Into::into)
        }
        of_words => worded(of_words, &parse::<Words>(flags)?, read),
    })
}

fn worded(fact: Fact, words: &Words, read: &mut Reading) -> Option<Fact> {
    Some(match fact {
        Fact::PropertyArchived(mut f) => {
            f.why = words.reason.clone().unwrap_or(f.why);
            f.into()
        }
        Fact::FixtureRetired(mut f) => {
            f.why = words.reason.clone().unwrap_or(f.why);
            f.into()
        }
        Fact::FindingClosed(mut f) => {
            f.why = words.reason.clone().unwrap_or(f.why);
            f.into()
        }
        Fact::FindingReopened(mut f) => {
            f.why = words.reason.clone().unwrap_or(f.why);
            f.into()
        }
        Fact::NoteAdded(mut f) => {
            f.text = words.text.clone().unwrap_or(f.text);
            let look = words.look.as_deref();
            let answer = |word: &str| Answer::from_word(word).filter(|a| *a != Answer::Unknown);
            f.look =
                read.word("--look", look, "yes or no", &["yes", "no"], answer).map_or(f.look, |a| a == Answer::Yes);
            f.into()
        }
        Fact::EventHappened(mut f) => {
            f.kind = super::event::kind(words.kind.as_deref(), Some(f.kind), read)?;
            f.into()
        }
        // Nothing of it but its day and what was said around it.
        other => other,
    })
}

/// An entry should never have been made.
pub fn strike(
    context: &Context,
    store: &mut Store,
    typed: &str,
    why: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (id, entries, entry) = entry(context, store, typed)?;
    let about = entries.get(usize::try_from(entry - 1).unwrap_or_default()).and_then(|e| e.body.as_ref());
    let about = about.map(|body| body.fact.about()).unwrap_or_default();
    let struck = EntryStruck { entry, why: why.to_owned() };
    let recorded = context.record(store, Target::Known(id), vec![struck.into()], c)?;
    Ok(recorded.touching(&about))
}

/// Destroys a body and the files only it needed; the envelope stays.
pub fn erase(
    context: &Context,
    store: &mut Store,
    typed: &str,
    why: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (id, _, entry) = entry(context, store, typed)?;
    context.record(
        store,
        Target::Known(id),
        vec![EntryErased { entry, why: why.to_owned(), number: None, about: Vec::new() }.into()],
        c,
    )
}

fn entry(context: &Context, store: &mut Store, typed: &str) -> Result<(Uuid, Vec<Entry>, u64), Error> {
    let Address::Entry { key, seq } = Address::parse(typed)? else {
        return Err(Error::NotThat { given: typed.to_owned(), wanted: "an entry, such as `larkspur-14#12`" });
    };
    let (id, entries) = super::entry::find(context, store, &key, seq, typed)?;
    Ok((id, entries, seq))
}

//! `correct`, `strike`, `entry erase`: a record set right without losing what it said.

use clap::{Args, Command, FromArgMatches};

use super::typed::Reading;
use super::{
    Circumstances, Context, Error, Recorded, finding, fixture, judgement, property, quote, radon, reading, section,
};
use crate::ledger::entry::{Body, Remarks};
use crate::ledger::fold::fates;
use crate::ledger::fold::{Fate, Recorded as Entry};
use crate::ledger::kind::Fact;
use crate::ledger::kind::entry_corrected::EntryCorrected;
use crate::ledger::kind::entry_erased::EntryErased;
use crate::ledger::kind::entry_struck::EntryStruck;
use crate::ledger::problem::Problem;
use crate::ledger::subject::{Address, Name};
use crate::ledger::when::When;
use crate::store::{Store, Target};
use crate::trade::words::Answer;

/// Flags of a correction whose kind has only words to correct.
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
    c: &Circumstances,
) -> Result<Result<Recorded, clap::Error>, Error> {
    let (id, entries, seq) = entry(context, store, typed)?;
    let target = &entries[usize::try_from(seq - 1).unwrap_or_default()];
    let Some((body, on)) = as_it_stands(target, &entries) else {
        let problem = Problem::BodyAbsent { seq };
        return Err(Error::Refused(vec![crate::store::Refusal { index: 0, key: String::new(), problem }]));
    };
    let cannot = || {
        let problem = Problem::KindCannotBe { seq, kind: body.fact.kind().to_owned(), what: "corrected" };
        Error::Refused(vec![crate::store::Refusal { index: 0, key: String::new(), problem }])
    };
    if matches!(
        body.fact,
        Fact::EntryCorrected(_) | Fact::EntryStruck(_) | Fact::EntryErased(_) | Fact::FileAttached(_)
    ) {
        return Err(cannot());
    }
    let mut read = Reading::default();
    let fact = match overlay(&body.fact, flags, store, &mut read) {
        Ok(fact) => fact,
        Err(error) => return Ok(Err(error)),
    };
    let fact = read.done(fact)?;
    let Some(fact) = fact else { return Err(cannot()) };
    let on = match &fact {
        Fact::RadonTested(test) if c.on.is_none() => test.started,
        _ => c.on.as_deref().map(When::parse).transpose()?.unwrap_or(on),
    };
    let corrected = EntryCorrected {
        entry: seq,
        why: why.to_owned(),
        on,
        v: fact.version(),
        fact: serde_json::to_value(&fact).expect("a fact is plain JSON"),
    };
    let mut files = Vec::new();
    let new = context.remarks(store, c, &mut files)?;
    let remarks = Remarks {
        by: new.by.or(body.remarks.by),
        note: new.note.or(body.remarks.note),
        photos: body.remarks.photos.into_iter().chain(new.photos).collect(),
        private: new.private || body.remarks.private,
    };
    let property = store.folded(id)?.property.clone();
    let today = context.today_at(Some(&property));
    let draft = crate::ledger::fold::Draft::new(When::day(today), remarks, corrected);
    let drafts = vec![crate::store::Addressed { property: Target::Known(id), draft }];
    context.append(store, drafts, today, &files).map(Ok)
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

fn parse<T: Args + FromArgMatches>(flags: &[String]) -> Result<T, clap::Error> {
    let command = T::augment_args(Command::new("correct").no_binary_name(true).disable_help_flag(true));
    T::from_arg_matches(&command.try_get_matches_from(flags)?)
}

/// The fact with what was typed laid over it; `None` for kinds that are not corrected.
fn overlay(fact: &Fact, flags: &[String], store: &Store, read: &mut Reading) -> Result<Option<Fact>, clap::Error> {
    let currency = store.settings().currency;
    Ok(match fact.clone() {
        Fact::PropertyAdded(f) => {
            let key: Name = f.key.clone();
            Some(parse::<property::Fields>(flags)?.added(Some(f), key, currency, read).into())
        }
        Fact::PropertyChanged(f) => Some(parse::<property::Fields>(flags)?.changed(Some(f), currency, read).into()),
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
            fields.added(Some(f), finding, read).into_iter().next().map(Into::into)
        }
        Fact::RadonTested(f) => {
            let section = f.section.clone();
            parse::<radon::Fields>(flags)?.tested(Some(f), section, read).map(Into::into)
        }
        Fact::JudgementGiven(f) => {
            let fields = parse::<judgement::Fields>(flags)?;
            let document = match fields.attach.as_deref().map(|path| store.put_file(path)) {
                Some(Ok(file)) => Some(file),
                Some(Err(_)) => {
                    read.missing("the file of --attach");
                    None
                }
                None => None,
            };
            let findings = f.findings.clone();
            Some(fields.given(Some(f), findings, document, read).into())
        }
        Fact::QuoteGiven(f) => {
            let findings = f.findings.clone();
            parse::<quote::Fields>(flags)?.given(Some(f), findings, currency, read).map(Into::into)
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
        _ => return None,
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
    let (id, _, entry) = entry(context, store, typed)?;
    context.record(store, Target::Known(id), vec![EntryStruck { entry, why: why.to_owned() }.into()], c)
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
    context.record(store, Target::Known(id), vec![EntryErased { entry, why: why.to_owned(), number: None }.into()], c)
}

fn entry(context: &Context, store: &mut Store, typed: &str) -> Result<(uuid::Uuid, Vec<Entry>, u64), Error> {
    let Address::Entry { key, seq } = Address::parse(typed)? else {
        return Err(Error::NotThat { given: typed.to_owned(), wanted: "an entry, such as `larkspur-14#12`" });
    };
    let (id, entries) = super::entry::find(context, store, &key, seq, typed)?;
    Ok((id, entries, seq))
}

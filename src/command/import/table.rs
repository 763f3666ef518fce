//! `import csv`: lines of a file become entries of a kind, read as the command that records one of them reads its flags.
//!
//! A field of a line is a flag of that command, so what can be typed can be imported, and is checked alike. A line is the same
//! line when the file comes again by the file's label, its text, and which of its equals it is.

use std::path::PathBuf;
use std::sync::mpsc::sync_channel;

use super::by_house::Line as Row;
use super::file::{Pairs, check_format, open};
use super::likely::Likely;
use super::line::{Kind, Line, Lines, Of, WORDS, beside};
use super::rows::{ImportError, RowProblem};
use super::trial::Trial;
use super::write::Writing;
use super::{Context, Error, Imported, Prepared, Source, label_of, not_read_again, waiting_room};
use crate::command::photograph;
use crate::command::typed::Reading;
use crate::ledger::fold::Draft;
use crate::ledger::subject::Name;
use crate::store::{Addressed, Store};

#[derive(Debug, Clone, clap::Args)]
pub struct Csv {
    /// A CSV file with a header, and a line an entry
    pub file: PathBuf,
    /// readings, sump-tests, findings or properties
    #[arg(long)]
    pub kind: String,
    /// Which column holds what: property=house,finding=no,on=date,width=mm; fields are the flags of the command that records
    /// one, and property, finding or fixture, on, by, note and photo (beside the file; it may give the day)
    #[arg(long, value_name = "FIELD=COLUMN,…")]
    pub columns: String,
    /// How dates are written, such as %d.%m.%Y
    #[arg(long, value_name = "FORMAT", default_value = "%Y-%m-%d")]
    pub dates: String,
    /// A unit to put behind bare numbers in a column: width=mm
    #[arg(long, value_name = "FIELD=UNIT,…", default_value = "")]
    pub units: String,
    /// The house, where all lines are of one
    #[arg(long, value_name = "KEY")]
    pub property: Option<String>,
    /// What the file is called in the ledger [default: its name]
    #[arg(long, value_name = "TEXT")]
    pub label: Option<String>,
    /// Record readings though they are ten times the last at their point, or a tenth of it
    #[arg(long)]
    pub sure: bool,
    /// Read and check everything, write nothing
    #[arg(long)]
    pub dry_run: bool,
    /// If one line is refused, write none
    #[arg(long)]
    pub all_or_nothing: bool,
}

pub fn csv(
    context: &Context,
    store: &mut Store,
    asked: &Csv,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Imported, Error> {
    let mut typed = Reading::default();
    let kind = typed.word("--kind", Some(&asked.kind), "a kind of line", WORDS, Kind::from_word);
    let kind = typed.done(kind)?.expect("a kind that does not read is a problem");
    let file = open(&asked.file, asked.all_or_nothing)?;
    let label = label_of(asked.label.as_deref(), &asked.file);
    let flags: Vec<String> = kind.flags().get_arguments().filter_map(|a| a.get_long()).map(str::to_owned).collect();
    let fields: Vec<String> = kind.own().iter().map(|f| (*f).to_owned()).chain(flags).collect();
    let photo = asked.columns.split(',').any(|pair| pair.trim().starts_with("photo="));
    let needed = kind.needed(asked.property.is_some(), photo);
    let mut wrong = Vec::new();
    let pairs = Pairs { text: &asked.columns, of: kind.words(), fields, needed: &needed };
    let columns = file.columns(&pairs, &mut wrong);
    wrong.extend(check_format("--dates", &asked.dates, "dates"));
    let Some(columns) = columns.filter(|_| wrong.is_empty()) else { return Err(Error::Import(wrong)) };
    let (today, day) = (context.today_at(None), context.day_at(None));
    let of = Of::new(kind, asked, &columns, store.settings().currency, day);
    let (all_or_nothing, dry_run) = (asked.all_or_nothing, asked.dry_run);
    let from = Source { context, zone: "UTC", all_or_nothing, label: &label, dry_run, today, day };
    let mut imported = Imported::default();
    let house = |cells: &csv::StringRecord| match &asked.property {
        Some(key) => key.clone(),
        None => columns.cell(cells, "property").unwrap_or_default().to_owned(),
    };
    let rows = file.by_house(waiting_room(context), house, &mut imported, progress)?;
    let mut writing = Writing::new(&from, imported.rows as u64);
    let (mut house, mut put) = (None, Vec::new());
    let mut days = Days { other: imported.refused_in_all() > 0, ..Days::default() };
    let mut take = |lines: Lines| -> Result<(), Error> {
        if lines.first {
            house = None;
        }
        days.note(&lines);
        lines.wrong.into_iter().for_each(|(line, text, problems)| imported.refuse_all(line, &text, problems));
        let drafts = match lines.read.first().map(|line| line.key.clone()) {
            None => Vec::new(),
            Some(key) => {
                let mut tried = match house.take() {
                    Some(tried) => tried,
                    None => House::of(store, &from, &key, &lines.read)?,
                };
                let no_house =
                    |key: &Name| RowProblem::NoProperty { column: columns.name("property"), key: key.to_string() };
                let takes_any = kind == Kind::Properties || tried.trial.folded.property.exists();
                let no_house = if takes_any { None } else { Some(no_house(&key)) };
                let drafts = tried.tried(&from, asked.sure, no_house, lines.read, &mut imported);
                house = Some(tried);
                drafts
            }
        };
        for one in drafts.iter().filter(|one| !dry_run && !one.already) {
            for photo in &one.addressed.draft.remarks.photos {
                put.push(photograph::put(store, &beside(&asked.file, &photo.name))?);
            }
        }
        writing.put(store, drafts, lines.rows, &mut imported, progress)
    };
    let done = std::thread::scope(|scope| {
        // Lines are read ahead, while those before them are written.
        let (send, receive) = sync_channel(1);
        let (label, folder) = (&label, waiting_room(context));
        let reading = scope.spawn(move || {
            let failed = not_read_again(folder);
            let mut pass_on = |_: &str, first: bool, rows: Vec<Row>| {
                send.send(of.lines(first, rows, label)).map_err(|_| failed(std::io::Error::other("nobody takes them")))
            };
            rows.each(&failed, &mut pass_on)
        });
        for lines in receive {
            take(lines)?;
        }
        reading.join().expect("a reader ends by itself")
    });
    let done = done.and_then(|()| writing.end(store, &mut imported));
    // Those of lines that did not go in after all; what an entry names stays.
    store.drop_unused(&put);
    done?;
    match days.no_day_reads(asked) {
        Some(error) => Err(Error::Import(vec![error])),
        None => Ok(imported),
    }
}

/// Whether days read: where not one of several lines has a day, the way of writing them is wrong, and is said once.
#[derive(Default)]
struct Days {
    unread: usize,
    first: Option<String>,
    /// A line read, or something else is wrong with one.
    other: bool,
}

impl Days {
    fn note(&mut self, lines: &Lines) {
        self.other |= !lines.read.is_empty();
        for (_, _, problems) in &lines.wrong {
            match &problems[..] {
                [RowProblem::NotADate { typed, .. }] => {
                    self.unread += 1;
                    self.first.get_or_insert_with(|| typed.clone());
                }
                _ => self.other = true,
            }
        }
    }

    fn no_day_reads(self, asked: &Csv) -> Option<ImportError> {
        let first = self.first.filter(|_| !self.other && self.unread > 1)?;
        Some(ImportError::NoDayReads { format: asked.dates.clone(), first, rows: self.unread })
    }
}

/// A house that lines are tried on.
struct House {
    trial: Trial,
    likely: Likely,
}

impl House {
    fn of(store: &mut Store, from: &Source, key: &Name, lines: &[Line]) -> Result<House, Error> {
        let own = lines.iter().map(|line| line.id).collect();
        let trial = Trial::of(store, from.label, key.as_str(), &own)?;
        let likely = Likely::of(&trial.folded.property);
        Ok(House { trial, likely })
    }

    /// The drafts that its history takes. Where each line goes in by itself, what it does not take is refused when it is
    /// written, for the same reasons: history is joined once. `no_house`: none of them is taken.
    fn tried(
        &mut self,
        from: &Source,
        sure: bool,
        no_house: Option<RowProblem>,
        lines: Vec<Line>,
        imported: &mut Imported,
    ) -> Vec<Prepared> {
        let mut tried = Vec::with_capacity(lines.len());
        for Line { line, text, id, on, remarks, fact, .. } in lines {
            let already = self.trial.there.contains(&id);
            let problem = match &no_house {
                _ if already => None,
                Some(problem) => Some(problem.clone()),
                None => self.likely.tried(on, &fact).filter(|_| !sure).map(Into::into),
            };
            match problem {
                Some(problem) => imported.refuse_all(line, &text, [problem]),
                None => tried.push((line, text, already, Draft { id, on, remarks, fact })),
            }
        }
        let mut answers = Vec::new();
        if from.dry_run || from.all_or_nothing {
            let fresh = tried.iter().filter(|(_, _, already, _)| !already).map(|(.., draft)| draft.clone());
            answers = self.trial.join_each(fresh.collect(), from);
        }
        let mut answers = answers.into_iter();
        let mut drafts = Vec::with_capacity(tried.len());
        for (line, text, already, draft) in tried {
            let answer = if already { Ok(()) } else { answers.next().unwrap_or(Ok(())) };
            if let Err(problems) = answer {
                imported.refuse_all(line, &text, problems);
                continue;
            }
            let same = if already { None } else { self.trial.take_same(&draft) };
            let addressed = Addressed { property: self.trial.target, draft };
            drafts.push(Prepared { addressed, row: Some((line, text)), already, valid: true, same });
        }
        drafts
    }
}

//! `import csv`: lines of a file become entries of a kind, read as the command that records one of them reads its flags.
//!
//! A field of a line is a flag of that command, so what can be typed can be imported, and is checked alike. A line is the same
//! line when the file comes again by the file's label, its text, and which of its equals it is.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::{Datelike, NaiveDate};
use clap::{Args, Command, FromArgMatches};
use uuid::Uuid;

use super::file::{Columns, File, Pairs, Record, check_format};
use super::likely::Likely;
use super::rows::{ImportError, RowProblem, utf8};
use super::{Context, Error, House, Imported, Prepared, RowRefused, Source, Trial, label_of, named, read_file};
use crate::command::typed::Reading;
use crate::command::{finding, photograph, property, reading, sump};
use crate::dossier::camera::{self, Camera};
use crate::ledger::entry::{Attachment, Remarks};
use crate::ledger::fold::Draft;
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::subject::Name;
use crate::ledger::when::When;
use crate::quantity::Currency;
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

/// What a line becomes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Readings,
    SumpTests,
    Findings,
    Properties,
}

const WORDS: &[&str] = &["readings", "sump-tests", "findings", "properties"];

impl Kind {
    fn from_word(word: &str) -> Option<Kind> {
        Some(match word {
            "readings" => Kind::Readings,
            "sump-tests" => Kind::SumpTests,
            "findings" => Kind::Findings,
            "properties" => Kind::Properties,
            _ => return None,
        })
    }

    fn words(self) -> &'static str {
        match self {
            Kind::Readings => "reading",
            Kind::SumpTests => "sump test",
            Kind::Findings => "finding",
            Kind::Properties => "property",
        }
    }

    /// The flags of the command that records one.
    fn flags(self) -> Command {
        let command = Command::new("line").no_binary_name(true).disable_help_flag(true);
        match self {
            Kind::Readings => reading::Fields::augment_args(command),
            Kind::SumpTests => sump::Fields::augment_args(command),
            Kind::Findings => finding::Fields::augment_args(command),
            Kind::Properties => property::Fields::augment_args(command),
        }
    }

    /// What a line can hold beside the flags.
    fn own(self) -> &'static [&'static str] {
        match self {
            Kind::Readings => &["property", "finding", "on", "by", "note", "photo"],
            Kind::SumpTests => &["property", "fixture", "on", "by", "note", "photo"],
            Kind::Findings | Kind::Properties => &["property", "on", "by", "note", "photo"],
        }
    }

    /// What a line cannot be without; with a photograph the day may be the one that the camera wrote into it.
    fn needed(self, one_house: bool, photo: bool) -> Vec<&'static str> {
        let mut needed = if one_house { Vec::new() } else { vec!["property"] };
        match self {
            Kind::Readings => needed.extend(["finding", "on"]),
            Kind::SumpTests => needed.extend(["fixture", "on"]),
            Kind::Findings => needed.extend(["kind", "place", "on"]),
            Kind::Properties => needed.push("name"),
        }
        needed.retain(|field| *field != "on" || !photo);
        needed
    }
}

/// A line on its way to its house.
struct Line {
    line: u64,
    text: String,
    id: Uuid,
    key: Name,
    on: When,
    remarks: Remarks,
    fact: Fact,
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
    let bytes = read_file(&asked.file)?;
    let text = utf8(&bytes, &asked.file).map_err(|error| Error::Import(vec![error]))?;
    let label = label_of(asked.label.as_deref(), &asked.file);
    let file = File::read(text, &asked.file).map_err(Error::Import)?;
    let flags: Vec<String> = kind.flags().get_arguments().filter_map(|a| a.get_long()).map(str::to_owned).collect();
    let fields: Vec<String> = kind.own().iter().map(|f| (*f).to_owned()).chain(flags).collect();
    let photo = asked.columns.split(',').any(|pair| pair.trim().starts_with("photo="));
    let needed = kind.needed(asked.property.is_some(), photo);
    let mut wrong = Vec::new();
    let pairs = Pairs { text: &asked.columns, of: kind.words(), fields, needed: &needed };
    let columns = file.columns(&pairs, &asked.file, &mut wrong);
    wrong.extend(check_format("--dates", &asked.dates, "dates"));
    let Some(columns) = columns.filter(|_| wrong.is_empty()) else { return Err(Error::Import(wrong)) };
    let (today, day) = (context.today_at(None), context.day_at(None));
    let of =
        Of { kind, asked, columns: &columns, units: units(&asked.units), currency: store.settings().currency, day };
    let mut imported = Imported { rows: file.records.len(), ..Imported::default() };
    let mut lines = Vec::new();
    let rows = file.records.len() as u64;
    for Record { line, text, ordinal, cells } in file.records {
        match cells.map_err(Wrong::from).and_then(|cells| of.line(&cells)) {
            Ok(read) => {
                progress(line.min(rows), rows);
                let words = ["line", &asked.kind, &label, &text, &ordinal.to_string()];
                for (n, fact) in read.facts.into_iter().enumerate() {
                    let id = named(&[&words[..], &[&n.to_string()]].concat());
                    let (key, on, remarks) = (read.key.clone(), read.on, read.remarks.clone());
                    lines.push(Line { line, text: text.clone(), id, key, on, remarks, fact });
                }
            }
            Err(problems) => imported.refused.extend(problems.0.into_iter().map(|problem| RowRefused {
                line,
                text: text.clone(),
                problem,
            })),
        }
    }
    if let Some(error) = no_day_reads(&imported, &lines, asked) {
        return Err(Error::Import(vec![error]));
    }
    let from = Source { context, zone: "UTC", all_or_nothing: asked.all_or_nothing, label: &label, today, day };
    let houses = tried(store, &from, &of, lines, &mut imported)?;
    let mut put = Vec::new();
    for draft in houses.iter().flat_map(|house| &house.drafts).filter(|one| !asked.dry_run && !one.already) {
        for photo in &draft.addressed.draft.remarks.photos {
            put.push(photograph::put(store, &beside(&asked.file, &photo.name))?);
        }
    }
    let done = from.finish(store, houses, asked.dry_run, &mut imported, progress);
    // Those of lines that did not go in after all; what an entry names stays.
    store.drop_unused(&put);
    done.map(|()| imported)
}

/// Where not one of several lines has a day, the way of writing them is wrong, and is said once.
fn no_day_reads(imported: &Imported, lines: &[Line], asked: &Csv) -> Option<ImportError> {
    let days = imported.refused.iter().map(|refused| match &refused.problem {
        RowProblem::NotADate { typed, .. } => Some(typed),
        _ => None,
    });
    let days: Vec<&String> = days.collect::<Option<_>>()?;
    let first = days.first().filter(|_| lines.is_empty() && days.len() > 1)?;
    Some(ImportError::NoDayReads { format: asked.dates.clone(), first: (*first).clone(), rows: days.len() })
}

/// Each house with the drafts that its history takes.
fn tried(
    store: &mut Store,
    from: &Source,
    of: &Of,
    lines: Vec<Line>,
    imported: &mut Imported,
) -> Result<Vec<House>, Error> {
    let mut by_house: BTreeMap<Name, Vec<Line>> = BTreeMap::new();
    for line in lines {
        by_house.entry(line.key.clone()).or_default().push(line);
    }
    let mut houses = Vec::new();
    for (key, lines) in by_house {
        let own = lines.iter().map(|line| line.id).collect();
        let mut trial = Trial::of(store, from.label, &key, &own)?;
        let mut likely = Likely::of(&trial.folded.property);
        let mut drafts = Vec::new();
        let mut tried = Vec::with_capacity(lines.len());
        for Line { line, text, id, on, remarks, fact, .. } in lines {
            let already = trial.there.contains(&id);
            let problem = if already {
                None
            } else if !trial.folded.property.exists() && of.kind != Kind::Properties {
                Some(RowProblem::NoProperty { column: of.columns.name("property"), key: key.to_string() })
            } else {
                likely.tried(on, &fact).filter(|_| !of.asked.sure).map(Into::into)
            };
            tried.push((line, text, already, problem, Draft { id, on, remarks, fact }));
        }
        let fresh = tried.iter().filter(|(_, _, already, problem, _)| !already && problem.is_none());
        let fresh = fresh.map(|(.., draft)| draft.clone()).collect();
        let mut answers = trial.join_each(fresh, from).into_iter();
        for (line, text, already, problem, draft) in tried {
            let problems: Vec<RowProblem> = match problem {
                Some(problem) => vec![problem],
                None if already => Vec::new(),
                None => {
                    let answer = answers.next().unwrap_or(Ok(()));
                    answer.err().unwrap_or_default().into_iter().map(Into::into).collect()
                }
            };
            if problems.is_empty() {
                if !already {
                    imported.note_same(trial.take_same(&draft));
                }
                let row = Some((line, text));
                let addressed = Addressed { property: trial.target, draft };
                drafts.push(Prepared { addressed, row, already, valid: true });
            } else {
                imported.refused.extend(problems.into_iter().map(|problem| RowRefused {
                    line,
                    text: text.clone(),
                    problem,
                }));
            }
        }
        houses.push(House { drafts });
    }
    Ok(houses)
}

/// `width=mm,level=in`
fn units(typed: &str) -> BTreeMap<String, String> {
    let pairs = typed.split(',').filter_map(|pair| pair.split_once('='));
    pairs.map(|(field, unit)| (field.trim().to_owned(), unit.trim().to_owned())).collect()
}

/// How lines are read.
struct Of<'a> {
    kind: Kind,
    asked: &'a Csv,
    columns: &'a Columns,
    units: BTreeMap<String, String>,
    currency: Currency,
    day: NaiveDate,
}

/// A line as read: a reading of two quantities is two facts.
struct Read {
    key: Name,
    on: When,
    remarks: Remarks,
    facts: Vec<Fact>,
}

/// Everything that is wrong with a line.
struct Wrong(Vec<RowProblem>);

impl From<RowProblem> for Wrong {
    fn from(problem: RowProblem) -> Wrong {
        Wrong(vec![problem])
    }
}

impl Of<'_> {
    fn line(&self, record: &csv::StringRecord) -> Result<Read, Wrong> {
        let cell = |field: &str| self.columns.cell(record, field);
        let needed = |field: &'static str| cell(field).ok_or_else(|| self.empty(field));
        let key = match &self.asked.property {
            Some(key) => key.as_str(),
            None => needed("property")?,
        };
        let key = Name::parse(key).map_err(|error| RowProblem::NotAKey {
            column: self.columns.name("property"),
            typed: key.to_owned(),
            error,
        })?;
        let photo = cell("photo").map(|name| self.photo(name)).transpose()?;
        let taken = photo.as_ref().and_then(|file| file.taken).map(|taken| When::day(taken.date));
        let on = match (cell("on"), taken, &photo) {
            (Some(typed), ..) => self.day(typed)?,
            (None, Some(taken), _) => taken,
            (None, None, _) if self.kind == Kind::Properties => When::day(self.day),
            (None, None, Some(file)) => {
                let (column, typed) = (self.columns.name("photo"), file.name.clone());
                return Err(RowProblem::NoDay { column, typed }.into());
            }
            (None, None, None) => return Err(self.empty("on").into()),
        };
        let mut read = Reading::default();
        let facts = self.facts(record, &key, &mut read)?;
        if !read.problems.is_empty() {
            return Err(Wrong(read.problems.into_iter().map(Into::into).collect()));
        }
        if facts.is_empty() {
            return Err(RowProblem::Nothing.into());
        }
        let own = |field: &str| cell(field).map(str::to_owned);
        let photos = photo.into_iter().collect();
        let remarks = Remarks { by: own("by"), note: own("note"), photos, private: false };
        Ok(Read { key, on, remarks, facts })
    }

    fn facts(&self, record: &csv::StringRecord, key: &Name, read: &mut Reading) -> Result<Vec<Fact>, Wrong> {
        let cell = |field: &str| self.columns.cell(record, field);
        let needed = |field: &'static str| cell(field).ok_or_else(|| self.empty(field));
        let flags = self.flags(record)?;
        Ok(match self.kind {
            Kind::Readings => {
                let typed = needed("finding")?;
                let number = typed.rsplit('/').next().and_then(|n| n.parse().ok()).filter(|n: &u32| *n > 0);
                let column = self.columns.name("finding");
                let number = number.ok_or_else(|| RowProblem::NotAFinding { column, typed: typed.to_owned() })?;
                let fields: reading::Fields = parse(self.kind, &flags)?;
                fields.added(None, number, read).into_iter().map(Into::into).collect()
            }
            Kind::SumpTests => {
                let fixture = read.name(Some(needed("fixture")?));
                let fields: sump::Fields = parse(self.kind, &flags)?;
                fixture.map(|fixture| fields.tested(None, fixture, read).into()).into_iter().collect()
            }
            Kind::Findings => {
                let fields: finding::Fields = parse(self.kind, &flags)?;
                fields.opened(None, read).map(Into::into).into_iter().collect()
            }
            Kind::Properties => {
                let fields: property::Fields = parse(self.kind, &flags)?;
                vec![fields.added(None, key.clone(), self.currency, read).into()]
            }
        })
    }

    /// The cells of a line as the flags of the command.
    fn flags(&self, record: &csv::StringRecord) -> Result<Vec<String>, RowProblem> {
        let command = self.kind.flags();
        let mut out = Vec::new();
        for field in self.columns.fields().filter(|field| !self.kind.own().contains(field)) {
            let Some(cell) = self.columns.cell(record, field) else { continue };
            let takes_none =
                command.get_arguments().any(|a| a.get_long() == Some(field) && !a.get_action().takes_values());
            if takes_none {
                match cell.to_lowercase().as_str() {
                    "yes" | "true" | "1" => out.push(format!("--{field}")),
                    "no" | "false" | "0" => {}
                    _ => {
                        let column = self.columns.name(field);
                        return Err(RowProblem::NotYesOrNo { column, typed: cell.to_owned() });
                    }
                }
                continue;
            }
            let bare = cell.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+'));
            match self.units.get(field).filter(|_| bare) {
                Some(unit) => out.push(format!("--{field}={cell} {unit}")),
                None => out.push(format!("--{field}={cell}")),
            }
        }
        Ok(out)
    }

    /// A photograph that lies beside the file.
    fn photo(&self, name: &str) -> Result<Attachment, RowProblem> {
        let wrong = |error: &str| RowProblem::Photo {
            column: self.columns.name("photo"),
            typed: name.to_owned(),
            error: error.to_owned(),
        };
        if name.contains(['/', '\\']) {
            return Err(wrong("it has to lie beside the file"));
        }
        let path = beside(&self.asked.file, name);
        let size = std::fs::metadata(&path).map_err(|_| wrong("there is no such file"))?.len();
        if size > camera::MOST_BYTES {
            return Err(wrong("it is larger than 64 MiB"));
        }
        let bytes = std::fs::read(&path).map_err(|e| wrong(&e.to_string()))?;
        let taken = Camera::of(&mut std::io::Cursor::new(&bytes)).taken.map(When::at);
        Ok(Attachment { sha256: Hash::of(&bytes), name: name.to_owned(), bytes: size, taken })
    }

    fn empty(&self, field: &'static str) -> RowProblem {
        RowProblem::Empty { column: self.columns.name(field), field }
    }

    fn day(&self, typed: &str) -> Result<When, RowProblem> {
        let day = NaiveDate::parse_from_str(typed, &self.asked.dates).ok().filter(|d| (1800..2200).contains(&d.year()));
        day.map(When::day).ok_or_else(|| RowProblem::NotADate {
            column: self.columns.name("on"),
            typed: typed.to_owned(),
            format: self.asked.dates.clone(),
        })
    }
}

/// A file in the folder of the one that is imported.
fn beside(file: &Path, name: &str) -> PathBuf {
    file.parent().map_or_else(|| PathBuf::from(name), |folder| folder.join(name))
}

fn parse<T: FromArgMatches>(kind: Kind, flags: &[String]) -> Result<T, RowProblem> {
    let said = |error: clap::Error| {
        let text = error.render().to_string();
        RowProblem::Flags(text.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned())
    };
    T::from_arg_matches(&kind.flags().try_get_matches_from(flags).map_err(said)?).map_err(said)
}

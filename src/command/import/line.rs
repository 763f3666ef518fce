//! A line of a table as entries: which command records one of its kind, and its cells as that command's flags.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::{Datelike, NaiveDate};
use clap::{Args, Command, FromArgMatches};
use uuid::Uuid;

use super::by_house::Line as Row;
use super::file::Columns;
use super::named;
use super::rows::RowProblem;
use super::table::Csv;
use crate::command::typed::Reading;
use crate::command::{finding, property, reading, sump};
use crate::dossier::camera::{self, Camera};
use crate::ledger::entry::{Attachment, Remarks};
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::subject::Name;
use crate::ledger::when::When;
use crate::quantity::Currency;

/// What a line becomes.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Readings,
    SumpTests,
    Findings,
    Properties,
}

pub(super) const WORDS: &[&str] = &["readings", "sump-tests", "findings", "properties"];

impl Kind {
    pub fn from_word(word: &str) -> Option<Kind> {
        Some(match word {
            "readings" => Kind::Readings,
            "sump-tests" => Kind::SumpTests,
            "findings" => Kind::Findings,
            "properties" => Kind::Properties,
            _ => return None,
        })
    }

    pub fn words(self) -> &'static str {
        match self {
            Kind::Readings => "reading",
            Kind::SumpTests => "sump test",
            Kind::Findings => "finding",
            Kind::Properties => "property",
        }
    }

    /// The flags of the command that records one.
    pub fn flags(self) -> Command {
        let command = Command::new("line").no_binary_name(true).disable_help_flag(true);
        match self {
            Kind::Readings => reading::Fields::augment_args(command),
            Kind::SumpTests => sump::Fields::augment_args(command),
            Kind::Findings => finding::Fields::augment_args(command),
            Kind::Properties => property::Fields::augment_args(command),
        }
    }

    /// What a line can hold beside the flags.
    pub fn own(self) -> &'static [&'static str] {
        match self {
            Kind::Readings => &["property", "finding", "on", "by", "note", "photo"],
            Kind::SumpTests => &["property", "fixture", "on", "by", "note", "photo"],
            Kind::Findings | Kind::Properties => &["property", "on", "by", "note", "photo"],
        }
    }

    /// What a line cannot be without; with a photograph the day may be the one that the camera wrote into it.
    pub fn needed(self, one_house: bool, photo: bool) -> Vec<&'static str> {
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
pub(super) struct Line {
    pub line: u64,
    pub text: String,
    pub id: Uuid,
    pub key: Name,
    pub on: When,
    pub remarks: Remarks,
    pub fact: Fact,
}

/// `width=mm,level=in`
fn units(typed: &str) -> BTreeMap<String, String> {
    let pairs = typed.split(',').filter_map(|pair| pair.split_once('='));
    pairs.map(|(field, unit)| (field.trim().to_owned(), unit.trim().to_owned())).collect()
}

/// Rows of a house as they were read.
pub(super) struct Lines {
    /// No rows of it came before.
    pub first: bool,
    pub rows: u64,
    pub read: Vec<Line>,
    /// The number of a line that does not read, its text, and why.
    pub wrong: Vec<(u64, String, Vec<RowProblem>)>,
}

/// How lines are read.
pub(super) struct Of<'a> {
    kind: Kind,
    asked: &'a Csv,
    columns: &'a Columns,
    /// The flags of the command that have a column.
    flags: Vec<Flag>,
    /// What reads them; the same for every line, since making one takes longer than reading a line.
    command: RefCell<Command>,
    units: BTreeMap<String, String>,
    currency: Currency,
    day: NaiveDate,
}

/// A flag that has a column.
struct Flag {
    field: String,
    takes_none: bool,
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

impl<'a> Of<'a> {
    /// `day`: of a line that needs none.
    pub fn new(kind: Kind, asked: &'a Csv, columns: &'a Columns, currency: Currency, day: NaiveDate) -> Of<'a> {
        let command = kind.flags();
        let takes_none = |field: &str| {
            command.get_arguments().any(|a| a.get_long() == Some(field) && !a.get_action().takes_values())
        };
        let flags = columns.fields().filter(|field| !kind.own().contains(field));
        let flags = flags.map(|field| Flag { field: field.to_owned(), takes_none: takes_none(field) }).collect();
        let units = units(&asked.units);
        Of { kind, asked, columns, flags, command: RefCell::new(command), units, currency, day }
    }

    /// Reads rows of a house, each with what makes it the same line again.
    pub fn lines(&self, first: bool, rows: Vec<Row>, label: &str) -> Lines {
        let mut out = Lines { first, rows: rows.len() as u64, read: Vec::with_capacity(rows.len()), wrong: Vec::new() };
        for Row { line, text, same, ordinal, cells } in rows {
            match self.line(&cells) {
                Ok(read) => {
                    let words = ["line", &self.asked.kind, label, &same, &ordinal.to_string()];
                    for (n, fact) in read.facts.into_iter().enumerate() {
                        let id = named(&[&words[..], &[&n.to_string()]].concat());
                        let (key, on, remarks) = (read.key.clone(), read.on, read.remarks.clone());
                        out.read.push(Line { line, text: text.clone(), id, key, on, remarks, fact });
                    }
                }
                Err(Wrong(problems)) => out.wrong.push((line, text, problems)),
            }
        }
        out
    }

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
                let fields: reading::Fields = self.parse(&flags)?;
                fields.added(None, number, read).into_iter().map(Into::into).collect()
            }
            Kind::SumpTests => {
                let fixture = read.name(Some(needed("fixture")?));
                let fields: sump::Fields = self.parse(&flags)?;
                fixture.map(|fixture| fields.tested(None, fixture, read).into()).into_iter().collect()
            }
            Kind::Findings => {
                let fields: finding::Fields = self.parse(&flags)?;
                fields.opened(None, read).map(Into::into).into_iter().collect()
            }
            Kind::Properties => {
                let fields: property::Fields = self.parse(&flags)?;
                vec![fields.added(None, key.clone(), self.currency, read).into()]
            }
        })
    }

    /// The cells of a line as the flags of the command.
    fn flags(&self, record: &csv::StringRecord) -> Result<Vec<String>, RowProblem> {
        let mut out = Vec::new();
        for Flag { field, takes_none } in &self.flags {
            let Some(cell) = self.columns.cell(record, field) else { continue };
            if *takes_none {
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

    fn parse<T: FromArgMatches>(&self, flags: &[String]) -> Result<T, RowProblem> {
        let said = |error: clap::Error| {
            let text = error.render().to_string();
            RowProblem::Flags(text.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned())
        };
        T::from_arg_matches(&self.command.borrow_mut().try_get_matches_from_mut(flags).map_err(said)?).map_err(said)
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
pub(super) fn beside(file: &Path, name: &str) -> PathBuf {
    file.parent().map_or_else(|| PathBuf::from(name), |folder| folder.join(name))
}

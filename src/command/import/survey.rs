//! `import radon`: a survey's file becomes properties, sections and tests.

use std::path::PathBuf;

use super::by_house::Line;
use super::file::open;
use super::rows::{Row, columns_of, house_of, read};
use super::trial::Trial;
use super::write::Writing;
use super::{Imported, Prepared, Source, label_of, named, not_read_again, waiting_room};
use crate::command::typed::Reading;
use crate::command::{Context, Error};
use crate::ledger::fold::Draft;
use crate::ledger::kind::property_added::PropertyAdded;
use crate::ledger::kind::section_added::SectionAdded;
use crate::ledger::problem::Problem;
use crate::ledger::property::{Property, RadonTest};
use crate::ledger::subject::Name;
use crate::ledger::verdicts::radon_test;
use crate::ledger::when::When;
use crate::store::{Addressed, Store};
use crate::trade::words::{Device, Foundation};

#[derive(Debug, Clone, clap::Args)]
pub struct Radon {
    /// A CSV file with a row a test
    pub file: PathBuf,
    /// Which column holds what: property=idnum,result=activity,started=startdt,started-time=starttm,ended=stopdt,
    /// ended-time=stoptm,section=floor
    #[arg(long, value_name = "FIELD=COLUMN,…")]
    pub columns: String,
    /// How dates are written, such as %m%d%y
    #[arg(long, value_name = "FORMAT", default_value = "%Y-%m-%d")]
    pub dates: String,
    /// How times of day are written, such as %H%M
    #[arg(long, value_name = "FORMAT", default_value = "%H:%M")]
    pub times: String,
    /// Time zone of the houses [default: UTC]
    #[arg(long)]
    pub zone: Option<String>,
    /// charcoal, alpha-track, electret, monitor or other
    #[arg(long, default_value = "other")]
    pub device: String,
    /// What the file is called in the ledger [default: its name]
    #[arg(long, value_name = "TEXT")]
    pub label: Option<String>,
    /// What a property's key begins with, before its number in the file
    #[arg(long, value_name = "TEXT", default_value = "home-")]
    pub prefix: String,
    /// Read and check everything, write nothing
    #[arg(long)]
    pub dry_run: bool,
    /// If one row is refused, write none
    #[arg(long)]
    pub all_or_nothing: bool,
}

impl Radon {
    fn zone(&self) -> &str {
        self.zone.as_deref().unwrap_or("UTC")
    }
}

pub fn radon(
    context: &Context,
    store: &mut Store,
    asked: &Radon,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Imported, Error> {
    let mut typed = Reading::default();
    let device = typed.word("--device", Some(&asked.device), "a device", Device::WORDS, Device::from_word);
    let zone = asked.zone().parse::<chrono_tz::Tz>();
    if zone.is_err() {
        typed.problems.push(Problem::UnknownZone { zone: asked.zone().to_owned() });
    }
    let device = typed.done(device)?.expect("a device that does not read is a problem");
    let file = open(&asked.file, asked.all_or_nothing)?;
    let columns = columns_of(&file, asked)?;
    let label = label_of(asked.label.as_deref(), &asked.file);
    let there = Property { zone: zone.ok(), ..Property::default() };
    let (today, day) = (context.today_at(Some(&there)), context.day_at(Some(&there)));
    let (all_or_nothing, dry_run) = (asked.all_or_nothing, asked.dry_run);
    let from = Source { context, zone: asked.zone(), all_or_nothing, label: &label, dry_run, today, day };
    let mut imported = Imported::default();
    let house = |cells: &csv::StringRecord| house_of(&columns, asked, cells);
    let rows = file.by_house(waiting_room(context), house, &mut imported, progress)?;
    let mut writing = Writing::new(&from, imported.rows as u64);
    let mut trial = None;
    let mut take = |_: &str, first: bool, lines: Vec<Line>| -> Result<(), Error> {
        if first {
            trial = None;
        }
        let lines_here = lines.len() as u64;
        let rows = read(lines, &columns, asked, device, &label, &mut imported);
        let drafts = match rows.first().map(|row| row.key.clone()) {
            None => Vec::new(),
            Some(key) => {
                let mut tried = match trial.take() {
                    Some(tried) => tried,
                    None => {
                        let own = rows.iter().map(|row| row.id).collect();
                        Trial::of(store, &label, key.as_str(), &own)?
                    }
                };
                let drafts = from.house(&mut tried, &key, rows, &mut imported);
                trial = Some(tried);
                drafts
            }
        };
        writing.put(store, drafts, lines_here, &mut imported, progress)
    };
    rows.each(&not_read_again(waiting_room(context)), &mut take)?;
    writing.end(store, &mut imported)?;
    Ok(imported)
}

impl Source<'_> {
    /// The drafts that the history of a house takes.
    fn house(&self, trial: &mut Trial, key: &Name, rows: Vec<Row>, imported: &mut Imported) -> Vec<Prepared> {
        let mut drafts = Vec::new();
        let mut rows = rows.into_iter().peekable();
        while let Some(row) = rows.next() {
            let standing = match trial.there.contains(&row.id) {
                true => Vec::new(),
                false => self.standing(trial, key, row.section.clone()),
            };
            if standing.is_empty() {
                let mut together = vec![row];
                let stands = |row: &Row| trial.folded.property.sections.contains_key(&row.section);
                while let Some(row) = rows.next_if(|row| trial.there.contains(&row.id) || stands(row)) {
                    together.push(row);
                }
                drafts.extend(self.tests(trial, together, imported));
                continue;
            }
            let (line, text) = (row.line, row.text.clone());
            let (recorded, draft) = self.test(row);
            let mut wanted = standing;
            wanted.push(draft);
            if let Err(problems) = trial.join(&wanted, self) {
                imported.refuse_all(line, &text, problems);
                continue;
            }
            let same = wanted.last().and_then(|draft| trial.take_same(draft));
            let valid = radon_test(&trial.folded.property, &recorded).problems().is_empty();
            let test = wanted.len() - 1;
            drafts.extend(wanted.into_iter().enumerate().map(|(n, draft)| Prepared {
                addressed: Addressed { property: trial.target, draft },
                row: (n == test).then(|| (line, text.clone())),
                already: false,
                valid,
                same: if n == test { same.clone() } else { None },
            }));
        }
        drafts
    }

    /// Tests of sections that are there.
    fn tests(&self, trial: &mut Trial, rows: Vec<Row>, imported: &mut Imported) -> Vec<Prepared> {
        let mut read = Vec::with_capacity(rows.len());
        for row in rows {
            let already = trial.there.contains(&row.id);
            let of = (row.line, row.text.clone());
            let (recorded, draft) = self.test(row);
            read.push((of, already, recorded, draft));
        }
        let fresh = read.iter().filter(|(_, already, ..)| !already).map(|(.., draft)| draft.clone()).collect();
        let mut answers = trial.join_each(fresh, self).into_iter();
        let mut out = Vec::with_capacity(read.len());
        for ((line, text), already, recorded, draft) in read {
            let answer = if already { Ok(()) } else { answers.next().unwrap_or(Ok(())) };
            if let Err(problems) = answer {
                imported.refuse_all(line, &text, problems);
                continue;
            }
            let same = if already { None } else { trial.take_same(&draft) };
            let valid = radon_test(&trial.folded.property, &recorded).problems().is_empty();
            let addressed = Addressed { property: trial.target, draft };
            out.push(Prepared { addressed, row: Some((line, text)), already, valid, same });
        }
        out
    }

    fn test(&self, row: Row) -> (RadonTest, Draft) {
        let Row { id, test, .. } = row;
        let recorded = RadonTest { seq: 0, on: test.started, test: test.clone() };
        (recorded, self.draft(id, test.started, test.into()))
    }

    /// The house and the section of a test, where they are not there yet.
    fn standing(&self, trial: &Trial, key: &Name, section: Name) -> Vec<Draft> {
        let on = When::day(self.day);
        let mut out = Vec::new();
        if !trial.folded.property.exists() {
            let name = format!("{} of {}", key.as_str(), self.label);
            let zone = self.zone.to_owned();
            let added = PropertyAdded {
                key: key.clone(),
                name,
                zone,
                built: None,
                last_freeze: None,
                first_freeze: None,
                climate_zone: None,
                wet_season: None,
                value: None,
            };
            out.push(self.draft(named(&["property-added", self.label, key.as_str()]), on, added.into()));
        }
        if !trial.folded.property.sections.contains_key(&section) {
            let id = named(&["section-added", self.label, key.as_str(), section.as_str()]);
            let added = SectionAdded {
                name: section,
                foundation: Foundation::Unknown,
                walls: None,
                area: None,
                place: None,
                retarder: None,
                clay: None,
            };
            out.push(self.draft(id, on, added.into()));
        }
        out
    }
}

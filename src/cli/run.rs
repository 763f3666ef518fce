//! From what was typed to the command that does it, and from its answer to the screen.

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;
use serde_json::{Value, json};

use super::arguments as typed;
use super::arguments::{Arguments, Command, Correction};
use super::bars::open_with_progress;
use super::failure::{Failure, clap_failure};
use super::output::{JsonList, line, print_json, write_new, written};
use super::{
    advice, bars, defer, demo, dossier, due, duties, ics, lists, plan, recorded, risk, screen, sheet, verdict, visits,
    walk,
};
use crate::command::{
    self, Context, Recorded, amend, entry, event, finding, fixture, history, import, init, judgement,
};
use crate::command::{
    duty, export, hand_over, hours, keep, note, property, quote, radon, reading, repair, section, setting, status,
    sump, why,
};
use crate::dossier::leave_out::Choice;
use crate::ledger::subject::Subject;
use crate::store::{Store, StoreError};

/// Checks a dossier, for which there need be no ledger.
pub fn without_ledger(file: &std::path::Path, seal: Option<&str>, json: bool) -> Result<ExitCode, Failure> {
    let mut out = anstream::stdout().lock();
    dossier::verify(file, seal, json, &mut out)
}

/// Carries out one command.
pub fn run(context: &Context, arguments: Arguments) -> Result<ExitCode, Failure> {
    let stdout = anstream::stdout();
    let mut out = std::io::BufWriter::new(stdout.lock());
    let code = command(context, arguments, &mut out)?;
    out.flush().map_err(|error| written(&error))?;
    Ok(code)
}

fn command(context: &Context, arguments: Arguments, out: &mut dyn Write) -> Result<ExitCode, Failure> {
    let json = arguments.json;
    let done = Ok(ExitCode::SUCCESS);
    match arguments.command {
        Command::Init(asked) => {
            let store = init::init(context, &asked)?;
            line(out, format_args!("made {}", store.path().display()))?;
            warn(&store);
            line(out, format_args!("next: stemwall property add KEY --name TEXT"))?;
            done
        }
        Command::Status { limit } => show_status(context, limit, json, out).and(done),
        Command::History { subject } => {
            let lines = history::history(context, &mut context.open_to_read()?, subject.as_deref())?;
            if json { print_json(out, &json!(lines)) } else { lists::history(&lines, out) }.and(done)
        }
        Command::Why { subject } => {
            let answer = why::why(context, &mut context.open_to_read()?, subject.as_deref())?;
            if json { print_json(out, &verdict::as_json(&answer)) } else { verdict::why(&answer, out) }.and(done)
        }
        Command::Defer(asked) => defer::show(context, &asked, json, out).and(done),
        Command::Plan(asked) => plan::show(context, &asked, json, out).and(done),
        Command::Risk { assumed } => {
            let mut store = open_with_progress(context)?;
            let means = assumed.read(store.settings(), context.today_at(None))?;
            let all = command::risk::risk(context, &mut store, &means)?;
            let currency = store.settings().currency;
            match json {
                true => print_json(out, &risk::risk_json(&all, &means, currency)).and(done),
                false => risk::risk(&all, &means, currency, out).and(done),
            }
        }
        Command::Spent { key, year, each } => {
            let spent = command::risk::spent(context, &mut open_with_progress(context)?, key.as_deref(), year)?;
            if json { print_json(out, &risk::spent_json(&spent)) } else { risk::spent(&spent, each.is_some(), out) }
                .and(done)
        }
        Command::Ladder(typed::Ladder::Show { toml: true, .. }) => {
            write!(out, "{}", crate::deferral::ladder::OWN).map_err(|error| written(&error)).and(done)
        }
        Command::Ladder(typed::Ladder::Show { name, ladder, .. }) => {
            let all = command::defer::ladders(name.as_deref(), ladder.as_deref())?;
            let as_json = || Value::from(all.iter().map(defer::ladder_json).collect::<Vec<_>>());
            if json { print_json(out, &as_json()) } else { defer::ladders(&all, name.is_some(), out) }.and(done)
        }
        Command::Rules { name } => {
            let all = why::rules(name.as_deref())?;
            if json { print_json(out, &json!(all)) } else { lists::rules(&all, out) }.and(done)
        }
        Command::Find { text } => {
            let hits = note::find(&context.open_to_read()?, &text)?;
            let as_json = || Value::from(hits.iter().map(lists::hit_json).collect::<Vec<_>>());
            if json { print_json(out, &as_json()) } else { lists::hits(&hits, out) }.and(done)
        }
        Command::Property(typed::Property::List) => list_properties(context, json, out).and(done),
        Command::Property(typed::Property::Show { key }) => {
            let shown = status::show(context, &mut context.open_to_read()?, key.as_deref())?;
            if json { print_json(out, &lists::property_json(&shown)) } else { lists::property(&shown, out) }.and(done)
        }
        Command::Property(typed::Property::HandOver { key, out: to, to: whom, with_private, circumstances: c }) => {
            let handed = hand_over::hand_over(context, &key, &to, whom.as_deref(), with_private, &c)?;
            lists::handed_over(&to, &handed, out).and(done)
        }
        Command::Property(typed::Property::TakeOver { file }) => {
            let taken = hand_over::take_over(context, &file)?;
            lists::taken_over(&taken, out).and(done)
        }
        Command::Finding(typed::Finding::List { key, open }) => {
            list_findings(context, key.as_deref(), open, json, out).and(done)
        }
        Command::Finding(typed::Finding::Show { subject }) => show_finding(context, &subject, json, out).and(done),
        Command::Entry(typed::Entry::Show { entry }) => {
            let shown = entry::show(context, &mut context.open_to_read()?, &entry)?;
            if json { print_json(out, &lists::entry_json(&shown)) } else { lists::entry(&shown, out) }.and(done)
        }
        Command::Entry(typed::Entry::Kinds) => {
            let kinds = entry::kinds();
            if json { print_json(out, &json!(kinds)) } else { lists::kinds(&kinds, out) }.and(done)
        }
        Command::Entry(typed::Entry::Schema) => print_json(out, &entry::schema()).and(done),
        Command::Due(fields) => {
            if let Some(file) = &fields.ics {
                let told = command::ics::Told { why: true, names: fields.names, house: true };
                let calendar = command::ics::due(context, &mut open_with_progress(context)?, &fields, told)?;
                return ics::write(&calendar, file, out).and(done);
            }
            let mut store = open_with_progress(context)?;
            match (json, fields.visits) {
                (true, false) => {
                    let mut list = JsonList::new(out);
                    let today = duty::today_of(context, &mut store, &fields)?;
                    let each = &mut |row| list.push(&duty::as_json(&row, today));
                    duty::due(context, &mut store, &fields, each)?;
                    list.end().and(done)
                }
                (true, true) => print_json(out, &visits::as_json(context, &mut store, &fields)?).and(done),
                (false, true) => visits::visits(context, &mut store, &fields, out).and(done),
                (false, false) => due::due(context, &mut store, &fields, out).and(done),
            }
        }
        Command::Remind(asked) => super::remind::remind(context, &asked, json, out),
        Command::Duty(verb) if !verb.records() => duties::read(context, &verb, json, out).and(done),
        Command::Walk(typed::Walk::Start { key, season, from, circumstances }) => {
            let asked = (key.as_deref(), season.as_deref(), from.as_deref());
            start_walk(context, asked, &circumstances, json, out).and(done)
        }
        Command::Walk(typed::Walk::Sheet { key, season, out: to }) => {
            walk_sheet(context, key.as_deref(), season.as_deref(), to.as_deref(), out).and(done)
        }
        Command::PlasticSheet(typed::PlasticSheet::Steps { subject, surface, begun }) => {
            let mut store = context.open_to_read()?;
            let steps = command::plastic_sheet::steps(context, &mut store, &subject, &surface, begun.as_deref())?;
            if json {
                print_json(out, &super::plastic_sheet::as_json(&steps))
            } else {
                super::plastic_sheet::show(&steps, out)
            }
            .and(done)
        }
        Command::Setting(typed::Setting::List) => {
            let store = context.open_to_read()?;
            let settings = store.settings();
            let as_json = || {
                let pairs = settings.shown().into_iter();
                Value::Object(pairs.map(|s| (s.name.to_owned(), lists::setting_value(&s.value))).collect())
            };
            if json { print_json(out, &as_json()) } else { lists::settings(settings, out) }.and(done)
        }
        Command::Verify { .. } => verify(context, json, out),
        Command::Dossier(asked) => dossier::write(context, &asked, json, out).and(done),
        Command::Seal { key, to, circumstances: c } => {
            let mut store = context.open()?;
            let sealed = command::dossier::seal(context, &mut store, key.as_deref(), to.as_deref(), &c)?;
            warn(&store);
            dossier::seal(&sealed, json, out).and(done)
        }
        Command::Disclosure { key, costs, private } => {
            let choice = Choice { costs, private, ..Choice::default() };
            let known = command::dossier::disclosure(context, &mut context.open_to_read()?, key.as_deref(), &choice)?;
            if json { print_json(out, &dossier::disclosure_json(&known)) } else { dossier::disclosure(&known, out) }
                .and(done)
        }
        Command::Backup { file } => {
            let report = keep::backup(context, &file)?;
            lists::backup(&file, &report, out)?;
            done
        }
        Command::Restore { file } => {
            let report = keep::restore(context, &file)?;
            line(out, format_args!("restored {}", context.path.display()))?;
            lists::report(&report, out).and(done)
        }
        Command::Rebuild => {
            let bar = bars::progress();
            let rebuilt = keep::rebuild(context, &mut |n, all| bars::step(bar.as_ref(), n, all))?;
            let houses = super::words::counted(rebuilt, "property", "properties");
            line(out, format_args!("computed {houses} anew"))?;
            done
        }
        Command::Import(typed::Import::Radon(asked)) => {
            let bar = bars::progress();
            let mut step = |n, all| bars::step(bar.as_ref(), n, all);
            let imported = import::radon(context, &mut context.open()?, &asked, &mut step)?;
            show_imported(&imported, asked.dry_run, asked.all_or_nothing, Rows::Survey, json, out)
        }
        Command::Import(typed::Import::Csv(asked)) => {
            let bar = bars::progress();
            let mut step = |n, all| bars::step(bar.as_ref(), n, all);
            let imported = import::csv(context, &mut context.open()?, &asked, &mut step)?;
            show_imported(&imported, asked.dry_run, asked.all_or_nothing, Rows::Lines, json, out)
        }
        Command::Import(typed::Import::Json { file }) => {
            let bar = bars::progress();
            let imported = command::import_entries::import(context, &file, &mut |n| bars::step(bar.as_ref(), n, n))?;
            lists::imported_entries(&imported, json, out).and(done)
        }
        Command::Export(asked) => {
            let (to, exported) = match &asked {
                typed::Export::Csv { key, out: to } => (to, export::csv(context, key.as_deref(), to)?),
                typed::Export::Json { key, out: to } => (to, export::json(context, key.as_deref(), to)?),
                typed::Export::Sqlite { key, out: to } => (to, export::sqlite(context, key.as_deref(), to)?),
            };
            lists::exported(to, &exported, json, out).and(done)
        }
        Command::Demo { into } => demo::demo(context, &into, out).and(done),
        recording => record(context, recording, out).and(done),
    }
}

/// Commands that record entries.
fn record(context: &Context, command: Command, out: &mut dyn Write) -> Result<(), Failure> {
    use typed::{
        Entry, Event, Finding, Fixture, Judgement, Note, Property, Quote, Radon, Reading, Repair, Section, Setting,
        Sump,
    };
    let mut store = context.open()?;
    let s = &mut store;
    let recorded: Recorded = match command {
        Command::Property(Property::Add { key, fields, circumstances: c }) => {
            property::add(context, s, &key, &fields, &c)?
        }
        Command::Property(Property::Change { key, fields, circumstances: c }) => {
            property::change(context, s, key.as_deref(), &fields, &c)?
        }
        Command::Property(Property::Archive { key, why, circumstances: c }) => {
            property::archive(context, s, &key, &why, &c)?
        }
        Command::Section(Section::Add { subject, fields, circumstances: c }) => {
            section::add(context, s, &subject, &fields, &c)?
        }
        Command::Section(Section::Change { subject, fields, circumstances: c }) => {
            section::change(context, s, &subject, &fields, &c)?
        }
        Command::Fixture(Fixture::Add { subject, fields, circumstances: c }) => {
            fixture::add(context, s, &subject, &fields, &c)?
        }
        Command::Fixture(Fixture::Replace { subject, fields, circumstances: c }) => {
            fixture::replace(context, s, &subject, &fields, &c)?
        }
        Command::Fixture(Fixture::Retire { subject, why, circumstances: c }) => {
            fixture::retire(context, s, &subject, &why, &c)?
        }
        Command::Finding(Finding::Open { key, fields, circumstances: c }) => {
            finding::open(context, s, key.as_deref(), &fields, &c)?
        }
        Command::Finding(Finding::Close { subject, why, circumstances: c }) => {
            finding::close(context, s, &subject, &why, &c)?
        }
        Command::Finding(Finding::Reopen { subject, why, circumstances: c }) => {
            finding::reopen(context, s, &subject, &why, &c)?
        }
        Command::Reading(Reading::Add { subject, fields, sure, circumstances: c }) => {
            reading::add(context, s, &subject, &fields, sure, &c)?
        }
        Command::Radon(Radon::Add { subject, fields, sure, circumstances: c }) => {
            radon::add(context, s, &subject, &fields, sure, &c)?
        }
        Command::Radon(Radon::Gauge { subject, levels, circumstances: c }) => {
            radon::gauge(context, s, &subject, &levels, &c)?
        }
        Command::Radon(Radon::ImportHours { subject, fields, circumstances: c }) => {
            let imported = hours::import(context, s, &subject, &fields, &c)?;
            super::imported::hours(&imported, out)?;
            imported.recorded
        }
        Command::PlasticSheet(typed::PlasticSheet::Add { subject, fields, circumstances: c }) => {
            command::plastic_sheet::add(context, s, &subject, &fields, &c)?
        }
        Command::Survey(typed::Survey::Add { subject, fields, circumstances: c }) => {
            command::survey::add(context, s, &subject, &fields, &c)?
        }
        Command::Air(typed::Air::ImportHours { subject, fields, circumstances: c }) => {
            let imported = command::air::import(context, s, &subject, &fields, &c)?;
            super::air::imported(&imported, out)?;
            imported.recorded
        }
        Command::Judgement(Judgement::Add { subjects, fields, circumstances: c }) => {
            judgement::add(context, s, &subjects, &fields, &c)?
        }
        Command::Quote(Quote::Add { subjects, fields, circumstances: c }) => {
            quote::add(context, s, &subjects, &fields, &c)?
        }
        Command::Event(Event::Add { keys, all, kind, circumstances: c }) => {
            event::add(context, s, &keys, all, kind.as_deref(), &c)?
        }
        Command::Attach { subject, file, circumstances: c } => note::attach(context, s, &subject, &file, &c)?,
        Command::Done { what, circumstances: c } => duty::done(context, s, &what, &c)?,
        Command::Duty(verb) => duties::record(context, s, &verb)?,
        Command::Sump(Sump::Test { subject, fields, circumstances: c }) => {
            sump::test(context, s, &subject, &fields, &c)?
        }
        Command::Repair(Repair::Add { subjects, fields, sure, circumstances: c }) => {
            repair::add(context, s, &subjects, &fields, sure, &c)?
        }
        Command::Repair(Repair::Check { entry, held, circumstances: c }) => {
            repair::check(context, s, &entry, &held, &c)?
        }
        Command::Note(Note::Add { subject, text, look, circumstances: c }) => {
            note::add(context, s, &subject, &text, look, &c)?
        }
        Command::Strike { entry, why, circumstances: c } => amend::strike(context, s, &entry, &why, &c)?,
        Command::Entry(Entry::Erase { entry, why, circumstances: c }) => amend::erase(context, s, &entry, &why, &c)?,
        Command::Setting(Setting::Change { name, value, circumstances: c }) => {
            setting::change(context, s, &name, &value, &c)?
        }
        Command::Correct(correct) => match self::correct(context, s, &correct.words)? {
            Corrected::Recorded(recorded) => recorded,
            Corrected::Asked(flags) => return line(out, format_args!("{}", flags.trim_end())),
        },
        other => unreachable!("{other:?} reads"),
    };
    recorded::print(context, s, &recorded, out)?;
    warn(&store);
    Ok(())
}

enum Corrected {
    Recorded(Recorded),
    /// Which flags a correction of this entry takes.
    Asked(String),
}

/// Takes the flags of every correction out of what was typed; the rest are those of the entry's kind.
fn correct(context: &Context, store: &mut Store, words: &[String]) -> Result<Corrected, Failure> {
    const OWN: [&str; 4] = ["--why", "--on", "--note", "--photo"];
    let (mut own, mut flags, mut entry) = (Vec::new(), Vec::new(), None);
    let mut words = words.iter().peekable();
    while let Some(word) = words.next() {
        let name = word.split_once('=').map_or(word.as_str(), |(name, _)| name);
        if OWN.contains(&name) {
            own.push(word.clone());
            own.extend(words.next().filter(|_| !word.contains('=')).cloned());
        } else if word == "--private" || word == "--sure" {
            own.push(word.clone());
        } else if entry.is_none() && !word.starts_with("--") && flags.is_empty() {
            entry = Some(word.clone());
        } else {
            flags.push(word.clone());
        }
    }
    let correction = Correction::try_parse_from(own).map_err(|e| clap_failure(&e))?;
    let missing = |what: &str| {
        Failure::new(2, format!("{what} is missing"))
            .given(super::given::typed())
            .attempt("write it as in `stemwall correct larkspur-14#12 --width \"0.9 mm\" --why misread`")
    };
    let entry = entry.ok_or_else(|| missing("the entry to correct"))?;
    if flags.iter().any(|flag| flag == "--help" || flag == "-h") {
        return Ok(Corrected::Asked(amend::flags(context, store, &entry)?));
    }
    let why = correction.why.ok_or_else(|| missing("--why"))?;
    Ok(Corrected::Recorded(amend::correct(
        context,
        store,
        &entry,
        &why,
        &flags,
        correction.sure,
        &correction.circumstances,
    )?))
}

fn show_status(context: &Context, limit: Option<usize>, json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let mut store = open_with_progress(context)?;
    if !json {
        return screen::status(context, &mut store, limit, out);
    }
    let mut list = JsonList::new(out);
    let currency = store.settings().currency;
    status::status(context, &mut store, limit, &mut |row| list.push(&status::as_json(&row, currency)))?;
    list.end()
}

fn list_properties(context: &Context, json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let mut rows = Vec::new();
    let mut store = open_with_progress(context)?;
    status::list(context, &mut store, &mut |row| {
        rows.push(row);
        Ok(())
    })?;
    rows.sort_by(|a, b| a.key.cmp(&b.key));
    let currency = store.settings().currency;
    if json {
        return print_json(
            out,
            &Value::from(rows.iter().map(|row| status::as_json(row, currency)).collect::<Vec<_>>()),
        );
    }
    lists::properties(&rows, out)?;
    let shown = |key: &String| rows.iter().any(|row| row.key == *key);
    let archived: Vec<String> = store.keys(true)?.into_iter().filter(|key| !shown(key)).collect();
    if archived.is_empty() { Ok(()) } else { lists::archived(&archived, out) }
}

fn list_findings(
    context: &Context,
    key: Option<&str>,
    open: bool,
    json: bool,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let mut store = open_with_progress(context)?;
    if json {
        let mut list = JsonList::new(out);
        status::findings(context, &mut store, key, open, &mut |row| list.push(&lists::finding_json(&row)))?;
        return list.end();
    }
    let mut rows = Vec::new();
    status::findings(context, &mut store, key, open, &mut |row| {
        rows.push(row);
        Ok(())
    })?;
    lists::findings(&rows, out)
}

fn show_finding(context: &Context, subject: &str, json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let answer = why::why(context, &mut context.open_to_read()?, Some(subject))?;
    let finding = match answer.place.subject {
        Subject::Finding(number) => answer.property.findings.get(&number).map(|f| (number, f)),
        _ => None,
    };
    let Some((number, finding)) = finding else {
        return Err(command::Error::NotThat {
            given: subject.to_owned(),
            wanted: "a finding, such as `larkspur-14/2`",
        }
        .into());
    };
    if json {
        let mut shown = lists::finding_shown_json(&answer.property, number, finding);
        shown["verdict"] = verdict::as_json(&answer);
        return print_json(out, &shown);
    }
    verdict::why(&answer, out)?;
    line(out, format_args!(""))?;
    lists::readings(finding, out)
}

/// What the rows of a file are.
#[derive(PartialEq, Eq)]
enum Rows {
    /// Radon tests with their houses.
    Survey,
    /// Entries of one kind.
    Lines,
}

fn show_imported(
    imported: &import::Imported,
    dry_run: bool,
    all_or_nothing: bool,
    rows: Rows,
    json: bool,
    out: &mut dyn Write,
) -> Result<ExitCode, Failure> {
    if json {
        print_json(out, &super::imported::as_json(imported))?;
    } else {
        super::imported::screen(imported, dry_run, rows == Rows::Survey, out)?;
    }
    if imported.refused.is_empty() {
        return Ok(ExitCode::SUCCESS);
    }
    out.flush().map_err(|error| written(&error))?;
    let mut failures: Vec<Failure> = imported.refused.iter().map(advice::row).collect();
    let refused = imported.refused_in_all();
    let written = !dry_run && !all_or_nothing;
    failures.push(command::Error::RowsRefused { refused, rows: imported.rows, written }.into());
    Err(Failure::all(failures))
}

fn warn(store: &Store) {
    for warning in store.warnings() {
        anstream::eprintln!("warning: {}", super::words::plain(&warning.to_string()));
    }
}

fn start_walk(
    context: &Context,
    (key, season, from): (Option<&str>, Option<&str>, Option<&std::path::Path>),
    c: &command::Circumstances,
    json: bool,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let answers = from.map(read_text).transpose()?;
    let mut store = context.open()?;
    let under = command::walk::plan(context, &mut store, key, season, c)?;
    match answers {
        // A program is not asked: it is told the stops, and gives the answers in a file.
        None if json => print_json(out, &walk::as_json(&under, under.resumed)),
        Some(text) if json => {
            let under = walk::taken(context, &mut store, under, c, &text)?;
            print_json(out, &walk::as_json(&under, true))
        }
        Some(text) => walk::from_file(context, &mut store, &under, c, &text, out),
        None => walk::ask(context, &mut store, under, c, &mut std::io::stdin().lock(), out),
    }
}

fn walk_sheet(
    context: &Context,
    key: Option<&str>,
    season: Option<&str>,
    to: Option<&std::path::Path>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let (property, season, stops) = command::walk::sheet(context, &mut context.open_to_read()?, key, season)?;
    let today = verdict::date(context.today_at(Some(&property)));
    let page = sheet::sheet(&property, season, &stops, &today);
    let Some(path) = to else { return line(out, format_args!("{page}")) };
    write_new(path, &page)?;
    let stops = super::words::counted(stops.len() as u64, "stop", "stops");
    line(out, format_args!("wrote {}: {stops}", path.display()))
}

fn read_text(path: &std::path::Path) -> Result<String, Failure> {
    std::fs::read_to_string(path).map_err(|e| {
        let error = match e.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            std::io::ErrorKind::InvalidData => "it is not text in UTF-8".to_owned(),
            _ => e.to_string(),
        };
        Failure::from(StoreError::File { path: path.to_owned(), error })
    })
}

fn verify(context: &Context, json: bool, out: &mut dyn Write) -> Result<ExitCode, Failure> {
    let bar = bars::progress();
    let report = keep::verify(context, &mut |n, all| bars::step(bar.as_ref(), n, all))?;
    if let Some(bar) = bar {
        bar.finish_and_clear();
    }
    if json {
        let bad: Vec<Value> = report.bad.iter().map(|b| json!({"what": b.what, "why": b.why})).collect();
        print_json(
            out,
            &json!({"properties": report.properties, "entries": report.entries, "erased": report.absent,
                    "files": report.files, "bad": bad}),
        )?;
    } else {
        lists::report(&report, out)?;
    }
    if report.bad.is_empty() {
        return Ok(ExitCode::SUCCESS);
    }
    out.flush().map_err(|error| written(&error))?;
    Err(Failure::from(command::Error::NotWhole { things: report.bad.len(), rebuilds: report.rebuilds() })
        .given(context.path.display().to_string()))
}

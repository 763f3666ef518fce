//! The one place where advice is given: from each fact that keeps something from being done to what can be done.

mod defer;
mod fault;
mod hours;
mod import;
mod orphans;
mod plan;
mod remind;
mod store;
mod when;

pub use fault::{advice as of_fault, failure as of_reckoned};
pub use import::row;

use orphans::of_orphans;
use store::of_store;

use super::failure::Failure;
use super::given;
use super::words::counted;
use crate::calendar::almanac::By;
use crate::command::Error;
use crate::command::import_entries::LineError;
use crate::dossier::DossierError;
use crate::ledger::kind::finding_opened::questions;
use crate::ledger::problem::Problem;
use crate::ledger::subject::SubjectError;
use crate::ledger::when::WhenError;

/// A refusal with its advice.
pub fn of(error: Error) -> Failure {
    match error {
        Error::Typed(problems) => Failure::all(problems.iter().map(|p| problem(2, p)).collect()),
        Error::Refused(refusals) => {
            let others = refusals.iter().filter(|r| !matches!(r.problem, Problem::Orphans { .. }));
            let others = others.map(|r| problem(code(&r.problem), &r.problem));
            Failure::all(others.chain(of_orphans(&refusals)).collect())
        }
        Error::Store(error) => of_store(&error),
        Error::Subject(error) => {
            let (what, attempt) = (error.to_string(), subject(&error));
            Failure::new(2, what).given(given::typed()).attempt(attempt)
        }
        Error::When(error) => Failure::new(2, error.to_string()).given(given::typed()).attempt(when(&error)),
        Error::UnknownProperty { key, nearest, all } => {
            let attempt = match (&nearest, all) {
                (_, 0) => "`stemwall property add` adds the first one".to_owned(),
                (Some(near), _) => format!("did you mean `{near}`? `stemwall property list` shows all {all}"),
                (None, _) => format!("`stemwall property list` shows all {all}"),
            };
            Failure::new(1, format!("property `{key}` is not in this ledger")).given(key).attempt(attempt)
        }
        Error::UnknownSubject { subject, nearest, known } => {
            let attempt = match nearest {
                Some(near) => format!("did you mean `{near}`?"),
                None if known.is_empty() => "it has no sections, fixtures or findings yet".to_owned(),
                None => format!("there are {}", known.join(", ")),
            };
            Failure::new(1, format!("`{subject}` is not in this ledger")).given(subject).attempt(attempt)
        }
        Error::NotYet { ref subject, today } => {
            let given = format!("{subject} --today {today}");
            Failure::new(1, error.to_string()).given(given).attempt("give a later day with --today, or leave it out")
        }
        Error::UnknownEntry { entry, length } => {
            let there = counted(length, "entry", "entries");
            let attempt = format!("the property has {there}; `stemwall history` shows them");
            Failure::new(1, format!("entry `{entry}` is not in this ledger")).given(entry).attempt(attempt)
        }
        Error::WhichProperty { all: 0 } => Failure::new(1, "there is no property in this ledger")
            .given(given::typed())
            .attempt("`stemwall property add KEY --name TEXT` adds one"),
        Error::WhichProperty { all } => Failure::new(2, "which property is meant?")
            .given(given::typed())
            .attempt(format!("name one of the {all}: `stemwall property list` shows them")),
        Error::NotThat { given, wanted } => {
            let seal = "copy all 64 from where it was kept; `stemwall seal KEY` prints one";
            let attempt = if wanted.starts_with("a seal") { seal } else { PLACES };
            Failure::new(2, format!("`{given}` is not {wanted}")).given(given).attempt(attempt)
        }
        Error::TwoProperties(one, other) => Failure::new(2, "the findings are of two properties")
            .given(format!("{one} {other}"))
            .attempt("record it once for each property"),
        Error::UnknownRule { name, nearest } => {
            let attempt = match nearest {
                Some(near) => format!("did you mean `{near}`? `stemwall rules` shows all"),
                None => "`stemwall rules` shows all".to_owned(),
            };
            Failure::new(1, format!("rule `{name}` is not in this program")).given(name).attempt(attempt)
        }
        Error::Entries(error) => {
            let attempt = match error {
                LineError::NotAnEntry { .. } => "give a file that `stemwall export json` wrote, as it was written",
                LineError::Apart { .. } => "put the entries of a property in one run, from its first to its last",
            };
            Failure::new(1, error.to_string()).given(given::typed()).attempt(attempt)
        }
        Error::AirFile(errors) => Failure::all(errors.iter().map(super::air::failure).collect()),
        Error::Hours(errors) => Failure::all(errors.iter().map(hours::of).collect()),
        Error::Import(errors) => Failure::all(errors.iter().map(import::file).collect()),
        Error::RowsRefused { refused, rows, written } => {
            let rows = counted(rows as u64, "row", "rows");
            let was = if refused == 1 { "was" } else { "were" };
            let attempt = if written {
                "set them right and import the file again: rows that went in are known"
            } else {
                "nothing was written; set them right and import the file again"
            };
            Failure::new(1, format!("{refused} of {rows} {was} refused")).attempt(attempt)
        }
        Error::LinesRefused(lines) => {
            let one = |(line, p): &(usize, Problem)| problem(1, p).inside(&format!("line {line}"));
            Failure::all(lines.iter().map(one).collect())
        }
        Error::Flags(error) => super::failure::clap_failure(&error),
        Error::OneReading => Failure::new(2, "a correction holds one reading")
            .given(given::typed())
            .attempt("give the quantity that was wrong; `stemwall reading add` records the others"),
        Error::NotWhole { things, rebuilds } => {
            let things = counted(things as u64, "thing is", "things are");
            Failure::new(3, format!("{things} wrong with this ledger")).attempt(match rebuilds {
                true => "`stemwall rebuild` computes it anew from the entries, which are whole",
                false => "keep this file as it is, and restore the last backup beside it: `stemwall --ledger NEW restore FILE`",
            })
        }
        Error::Defer(ref error) => defer::failure(error),
        Error::Planning(ref error) => plan::failure(error),
        Error::Sum(_) => Failure::new(1, error.to_string())
            .given(given::typed())
            .attempt("what was paid in another currency cannot be added up; ask for one house or one year"),
        Error::NotASpan { ref given } => {
            let attempt = "write days, weeks, months or years, as in `30d`, `6w`, `3m`, `1y`";
            Failure::new(2, error.to_string()).given(given).attempt(attempt)
        }
        Error::UnknownDuty { ref typed, ref near } => Failure::new(1, error.to_string())
            .given(typed)
            .attempt(format!("did you mean `{near}`? `stemwall duty list` shows every duty")),
        Error::WhichDuty { subject, codes } => {
            let attempt = match codes.is_empty() {
                true => "nothing of it can be done so; `stemwall due --within 1y` shows what is".to_owned(),
                false => format!("name one of {}", codes.join(", ")),
            };
            Failure::new(2, "which duty is meant?").given(subject).attempt(attempt)
        }
        Error::SaidByAnEntry { ref place, ref duty, by, .. } => {
            // Of the almanac: who is called is asked, and what they say is a judgement.
            let judged = duty == "called";
            let house = place.split(['/', '#']).next().unwrap_or(place);
            let attempt = match by {
                By::Walk => format!("`stemwall walk start {house}` records it"),
                By::SumpTest => format!("`stemwall sump test {place}` records it"),
                By::RadonTest => format!("`stemwall radon add {place}` records it"),
                By::RepairCheck => format!("`stemwall repair check {place} --held yes|no` records it"),
                By::Reading => format!("`stemwall reading add {place}` records it"),
                By::Verdict if judged => format!("`stemwall judgement add {place}` records what they conclude"),
                By::Verdict => format!("`stemwall why {place}` says what it asks for; entering that records it"),
                By::Done => format!("`stemwall done {place}` records it"),
            };
            Failure::new(2, error.to_string()).given(given::typed()).attempt(attempt)
        }
        Error::UnknownOccurrence { ref code } => Failure::new(1, error.to_string())
            .given(code)
            .attempt("it may be done already; `stemwall due --all --within 1y` shows the codes of what stands"),
        Error::NothingStands { ref what } => Failure::new(1, error.to_string())
            .given(what)
            .attempt("`stemwall duty list KEY` shows what a house has, and what is off"),
        Error::NotDueYet { ref what, .. } => Failure::new(1, error.to_string())
            .given(what)
            .attempt("wait until then; `duty skip` takes the code of a later occurrence, `duty set` changes its rule"),
        Error::NotMoved { .. } => Failure::new(1, error.to_string())
            .given(given::typed())
            .attempt("`stemwall duty expect SUBJECT --by DATE --what TEXT` says who comes and when"),
        Error::AskedByVerdict { ref duty } => Failure::new(1, error.to_string()).given(duty).attempt(
            "record what it asks for (`stemwall why` says what); `duty snooze` postpones the line, `duty skip --until` its day",
        ),
        Error::RuleOfItsOwn { ref duty } => Failure::new(1, error.to_string())
            .given(duty)
            .attempt("switch it off, and set a duty of your own with a `--title`"),
        Error::PartOfItsOwn { ref duty, .. } | Error::DutyOfAnother { ref duty, .. } => {
            Failure::new(1, error.to_string())
                .given(duty)
                .attempt("a duty of your own, under another name and with a `--title`, can be for any part")
        }
        Error::SnoozedTooLong { .. } => Failure::new(1, error.to_string()).given(given::typed()).attempt(
            "`duty skip` leaves an occurrence out or gives it another day, `duty set DUTY --off` asks for it no longer",
        ),
        Error::NextOpens { until, .. } => Failure::new(1, error.to_string())
            .given(format!("--until {until}"))
            .attempt("give a day before that, or leave this one out: `duty skip` without --until"),
        Error::NoSuchDuty { ref duty, ref near, ref known, .. } => {
            let attempt = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None if known.is_empty() => {
                    "`stemwall duty list` shows the almanac; one of your own needs a `--title` and a rule".to_owned()
                }
                None => format!("it has {}", known.join(", ")),
            };
            Failure::new(1, error.to_string()).given(duty).attempt(attempt)
        }
        Error::NotACalendar { ref path } => Failure::new(1, error.to_string())
            .given(path.display().to_string())
            .attempt("name a calendar that was written before, or a path where there is nothing yet"),
        Error::Remind(error) => remind::failure(&error),
        Error::Dossier { path, error } => of_dossier(&path, &error),
        Error::NoForm { ref path } => Failure::new(2, error.to_string())
            .given(path.display().to_string())
            .attempt("let its name end in `.html` or `.pdf` to read and print it, or in `.json` for programs"),
        Error::NothingGiven { flags } => {
            let attempt = if flags.is_empty() {
                "a finding of this kind has no readings; `stemwall note add` records words".to_owned()
            } else {
                format!("give one of {flags}")
            };
            Failure::new(2, "no reading is given").given(given::typed()).attempt(attempt)
        }
    }
}

/// Why a dossier cannot be made or trusted, with what to do.
fn of_dossier(path: &std::path::Path, error: &DossierError) -> Failure {
    use DossierError as D;
    let attempt = match error {
        D::NotADossier(_) => "give a file that `stemwall dossier` wrote, as it was sent; a ledger is checked by `stemwall --ledger FILE verify`".to_owned(),
        D::TooLarge => {
            "one that is written gets smaller without `--keep-location`, or with entries left out".to_owned()
        }
        D::Newer { .. } => "use the newer stemwall; this one would not understand it".to_owned(),
        D::Damaged(_) | D::Entry { .. } | D::Picture { .. } => {
            "ask for the file again; if it comes the same, do not rely on it".to_owned()
        }
        D::SealNotOfChain { .. } => "do not rely on it: ask who holds the seal that was given".to_owned(),
        D::Shows { found, wanted, .. } => {
            let text = "its entries are whole, but the page was changed: do not rely on it";
            if found.is_empty() && wanted.is_empty() {
                text.to_owned()
            } else {
                format!("{text}; it shows `{found}`, its entries give `{wanted}`")
            }
        }
        D::ShowsInPdf { .. } => {
            "its entries are whole, but what it shows was changed: do not rely on it; `stemwall dossier` writes what they give"
                .to_owned()
        }
        D::NoPdf => "write `.html` and print that to PDF from a browser: it is made for Letter and A4; a stemwall that writes PDF \
                     is built with `cargo build --release --features pdf`"
            .to_owned(),
        D::PdfRefused { .. } => {
            "write `.html` and print that to PDF from a browser; the entries and pictures are whole".to_owned()
        }
        D::OtherProgram { by, .. } => format!("check it with `{by}`; `tools/check_dossier.py` checks its chain alone"),
        D::NotTheSeal { .. } => {
            "look whether the seal is of this house, and copied whole; if so, this is not the history it was given for"
                .to_owned()
        }
        D::CannotLeaveOut { .. } => "leave others out; its note and its value stay out without being asked".to_owned(),
    };
    let code = if error.is_damage() { 3 } else { 1 };
    Failure::new(code, error.to_string()).given(path.display().to_string()).attempt(attempt)
}

/// How things of a ledger are named.
const PLACES: &str =
    "a house is `larkspur-14`, something of it `larkspur-14/main` or `larkspur-14/2`, an entry `larkspur-14#12`";

/// 2 where the words were wrong, 1 where they do not fit what is in the ledger.
fn code(problem: &Problem) -> u8 {
    use Problem as P;
    match problem {
        P::NotAQuantity { .. } | P::NotMoney { .. } | P::NotAWord { .. } | P::NotADate { .. } | P::BadSubject(_) => 2,
        P::Missing { .. } | P::Empty { .. } | P::ControlCharacters { .. } | P::UnknownZone { .. } => 2,
        P::NotARecurrence { .. }
        | P::NoSummer { .. }
        | P::OtherSide { .. }
        | P::OftenerThanDaily { .. }
        | P::NeverComes { .. }
        | P::NotAMonthDay { .. }
        | P::NotAClimateZone { .. }
        | P::EndedAndLasted
        | P::NeedsOver { .. }
        | P::FieldOfAnotherKind { .. } => 2,
        P::NoSetting { .. } | P::BadSettingValue { .. } | P::ReadingOfAnotherKind { .. } => 2,
        _ => 1,
    }
}

fn problem(code: u8, problem: &Problem) -> Failure {
    Failure::new(code, problem.to_string()).given(given::of(problem)).attempt(advice(problem))
}

fn advice(problem: &Problem) -> String {
    use Problem as P;
    match problem {
        P::NotAQuantity { typed, kind, error, .. } => format!("{error}; {}", error.how_to_write(typed, *kind)),
        P::NotMoney { typed, wanted, error, .. } => format!("{error}; {}", error.how_to_write(typed, *wanted)),
        P::NotAWord { field: "--currency", .. } => "write three capital letters (ISO 4217), as in `EUR`".into(),
        P::NotAWord { field: "--profile", words, .. } => {
            format!("write three, with commas between: `{}`", words.concat())
        }
        P::NotAWord { field: "--kind", typed, words, .. }
            if typed.starts_with("radon") && words.contains(&"sump-tests") =>
        {
            format!("`stemwall import radon FILE` takes radon tests; here one of {}", words.join(", "))
        }
        P::NotAWord { typed, words, .. } => format!("{}one of {}", meant(typed, words), words.join(", ")),
        P::NotADate { error, .. } => when(error),
        P::BadSubject(error) => subject(error),
        P::Missing { field: "--waste" } => "add `--waste \"25 %\"`: what is lost on the way is bought too".into(),
        P::Missing { field } => format!("add {field}"),
        P::Empty { field } => format!("give {field} some words"),
        P::ControlCharacters { .. } => "write it in one line; `--note` takes longer texts".into(),
        P::UnknownZone { .. } => "write it as in `America/Chicago` or `Europe/London`".into(),
        P::NoSummer { .. } => {
            "--last-freeze is that of spring, --first-freeze that of autumn, as in `04-25` and `10-12`".into()
        }
        P::OtherSide { .. } => "see to the months and to the zone: --last-freeze is that of spring".into(),
        P::NotARecurrence { error, .. } => when::of_recurrence(error),
        P::OftenerThanDaily { .. } => {
            "begin with FREQ=DAILY, WEEKLY, MONTHLY or YEARLY, and leave the times out".into()
        }
        P::NeverComes { .. } => {
            "name a day that there is, as in `0 0 1 3,9 *` or `FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=1`".into()
        }
        P::NotAMonthDay { .. } => "write month and day as in `04-25`".into(),
        P::NotAClimateZone { .. } => "write 1 to 8, with A, B or C where it is known, as in `5A`".into(),
        P::YearOutOfRange { .. } => "give the year it was built in four digits".into(),
        P::InFuture { today, .. } => format!("give a day up to {today}"),
        P::LaterToday { .. } => {
            "give an earlier time by the clock of the house, or the day alone; `stemwall property change KEY --zone ZONE` sets its clock"
                .into()
        }
        P::BeforeBuilt { .. } => {
            "give a later day, or change the year: `stemwall property change KEY --built YEAR`".into()
        }
        P::BuiltAfter { .. } => "give the year it was built, or correct the entry that is dated wrongly".into(),
        P::TooSmall { .. } => "look at the unit and the decimal point".into(),
        P::BeforeOpened { .. } => {
            "give a later day, or correct the day it was opened: `stemwall correct ENTRY --on DATE --why TEXT`".into()
        }
        P::FindingClosed { .. } => "give a day before that with --on, or `stemwall finding reopen` it".into(),
        P::FindingOpen { .. } | P::ClosedAlready { .. } => "nothing needs to be done".into(),
        P::NoFinding { .. } => {
            "`stemwall finding list` shows them with the days they were opened; `finding open` takes --on".into()
        }
        P::NoSection { .. } => "`stemwall section add KEY/NAME --foundation KIND` adds one".into(),
        P::NoFixture { .. } => "`stemwall fixture add KEY/NAME --kind KIND` adds one".into(),
        P::FixtureRetired { .. } => "add the new one under a name of its own".into(),
        P::LookOfAPart { .. } => "aim it at the house or the section, or leave `--look` out".into(),
        P::NoSubject { .. } => "`stemwall property show KEY` shows what is there".into(),
        P::NameIsKey { name } => format!("write the key and a name, as in `{name}/main`"),
        P::NameTaken { .. } => "take another name: sections and fixtures of a house share them".into(),
        P::NumberTaken { .. } => "leave the number out: the next free one is taken".into(),
        P::KeyTaken { .. } => "take another key, or `stemwall property change` the one there is".into(),
        P::NoProperty => "`stemwall property add KEY --name TEXT` adds it".into(),
        P::PropertyExists => "`stemwall property change KEY` changes it".into(),
        P::Archived { .. } => "its record can be corrected and struck, not added to".into(),
        P::HandedOver { .. } => "its record goes on in the ledger that it was handed over to".into(),
        P::NotTheLast { .. } => "another program recorded something meanwhile; try again".into(),
        P::FieldOfAnotherKind { kind, .. } => format!("`{kind}` is asked {}", questions(*kind).join(", ")),
        P::ReadingOfAnotherKind { quantities: [], .. } => {
            "it has no readings; `stemwall note add` records words".into()
        }
        P::ReadingOfAnotherKind { quantities, .. } => {
            let flags: Vec<String> = quantities.iter().map(|q| format!("--{q}")).collect();
            format!("it is read by {}", flags.join(", "))
        }
        P::NoGauge { .. } => "a look at a gauge is of a fixture of kind `radon-system`".into(),
        P::NoSheetFor { .. } => "it is put up for a section, or for a finding of kind damp or efflorescence".into(),
        P::PointTwice { .. } => "give each point once, under a name of its own".into(),
        P::HalfAPlace { .. } => "give both, from one corner, or neither".into(),
        P::TooFewPoints { .. } => "give two points or more with their heights, as in `--point \"sink: -0.3 in\"`".into(),
        P::TooManyPoints { .. } => "record the rooms as sections of their own, each with its survey".into(),
        P::NeedsOver { .. } => "add `--over` and a length, such as `--over \"8 ft\"`".into(),
        P::Absurd { .. } => "look at the unit and the decimal point".into(),
        P::Zero { .. } => "leave it out if it is not known".into(),
        P::AgainstFilling { .. } => "nothing is recorded yet; if it is filled all the same, add `--sure`".into(),
        P::TenTimesTheLast { .. } => "look at the unit and the decimal point; if it is right, add `--sure`".into(),
        P::EndedBeforeStart { .. } => "swap the two, or give `--lasted \"48 h\"` in place of `--ended`".into(),
        P::EndsInFuture { .. } => "record it once it has ended, or look at --started, --ended and --lasted".into(),
        P::NoDuration { .. } => "give the time of day of both, or `--lasted \"48 h\"`".into(),
        P::EndedAndLasted => "leave one of the two out".into(),
        P::NoEntry { .. } => "`stemwall history KEY` shows the entries there are".into(),
        P::KindCannotBe { what: "corrected", kind, .. } if kind == "file-attached" => {
            "strike it and record it anew".into()
        }
        P::KindCannotBe { what: "corrected", .. } => {
            "aim at the entry that was wrong first; the last correction wins".into()
        }
        P::KindCannotBe { .. } => {
            "record what is right in an entry of its own; `stemwall property archive` puts a house away".into()
        }
        P::StruckAlready { .. } => "record it anew".into(),
        P::BodyAbsent { .. } => "what it said is gone for good".into(),
        P::CorrectionUnreadable { .. } => "correct the first entry again".into(),
        P::Orphans { seq, .. } => format!("correct or strike entry {seq} first"),
        P::NoSetting { names, .. } => format!("one of {}", names.join(", ")),
        P::BadSettingValue { wanted, .. } => wanted.clone(),
        P::NeverFires { .. } => "give it a time that is longer than none".into(),
        P::MinutesOutOfRange { .. } => "give --minutes as a whole number".into(),
        P::NothingSet { .. } => "`stemwall duty list`, or `duty list KEY`, shows what is set where".into(),
        P::SkippedAlready { .. } => "nothing needs to be done; `stemwall strike` takes it back".into(),
        P::DayPassed { .. } => "give a later day".into(),
        P::NoticeTooLong { most, .. } => format!("give up to {most} days"),
        P::WarrantyBefore { .. } => "look at --warranty-until".into(),
        P::NothingToChange => "say what is different".into(),
        P::HoldsNoDay { .. } => "look at --until; --on says when it was given".into(),
        P::NotAPump { .. } => "a sump test is of a fixture of kind `sump-pump` or `backup-pump`".into(),
        P::NoPit { .. } => {
            "`stemwall correct ENTRY --pit \"18 in\" --why …` adds the pit to the entry of the pump; `history` shows it"
                .into()
        }
        P::NotARepair { .. } => "`stemwall history KEY/N` shows the entry of the repair".into(),
        P::BeforeRepair { .. } => "give a later day with --on".into(),
        P::NotAWalk { .. } | P::WalkOver { .. } => "`stemwall walk start KEY` begins another".into(),
        P::LengthAgainstDevice { .. } => "look at the dates, or give the device it was".into(),
        P::NotOneTime { started, .. } => {
            format!("a pair stands side by side at the same time, and that one started {started}; leave `--beside` out")
        }
        P::SameTest { .. } => {
            "if it was another device beside it, name it with `--beside`; if it was another test all the same, add `--sure`"
                .into()
        }
        P::NotOnePlace { .. } => "a pair stands side by side: in one section and one room; leave `--beside` out".into(),
        P::NotARadonTest { .. } => "`--beside` takes the entry of the other test of the pair".into(),
    }
}

/// The one word that was meant, where one is near; what is written as an example is no word.
fn meant(typed: &str, words: &[&str]) -> String {
    let is_word = |word: &&str| word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
    let near = crate::command::nearest(typed.trim(), words.iter().copied().filter(is_word));
    near.map_or(String::new(), |near| format!("did you mean `{near}`? "))
}

fn subject(error: &SubjectError) -> String {
    match error {
        SubjectError::BadName(text) => {
            let spelled: String =
                text.to_lowercase().chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
            let spelled = spelled.trim_matches('-').to_owned();
            if spelled.starts_with(|c: char| c.is_ascii_lowercase()) && spelled.len() <= 48 {
                format!("write `{spelled}`")
            } else {
                "write it as in `larkspur-14` or `main`".into()
            }
        }
        SubjectError::BadEntry(_) => "an entry is written `larkspur-14#12`".into(),
        SubjectError::NotAFinding(_) => "findings are numbered from 1".into(),
    }
}

fn when(error: &WhenError) -> String {
    match error {
        WhenError::NotADate(_) => "write year, month and day: `2026-03-01`, or with the time `2026-03-01T10:00`".into(),
        WhenError::NotInCalendar(_) => "look at the day and the month".into(),
        WhenError::OutOfRange(_) => "look at the year".into(),
    }
}

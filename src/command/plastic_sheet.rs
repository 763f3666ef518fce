//! `plastic-sheet`: the test with a taped sheet, step by step, and what it showed.

use chrono::NaiveDateTime;

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::sheet_tested::SheetTested;
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::{Length, Span, Typed};
use crate::store::{Store, Target};
use crate::trade::sheet::{self, Face, On};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// What it was taped to: floor or wall
    #[arg(long, value_name = "SURFACE")]
    pub surface: Option<String>,
    /// Its shorter side, such as "18 in"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub side: Option<String>,
    /// How long it stayed, such as "17 h"
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub kept: Option<String>,
    /// Which face was wet when it came off: neither, under (darker concrete counts), room or both
    #[arg(long, value_name = "FACE")]
    pub wet: Option<String>,
    /// An edge was open
    #[arg(long)]
    pub open_edge: bool,
    /// Sun or heat fell on it
    #[arg(long)]
    pub sun: bool,
    /// The place, such as "north corner"
    #[arg(long, value_name = "TEXT")]
    pub at: Option<String>,
}

impl Fields {
    /// What was typed, over `base` where one is corrected.
    pub fn tested(
        &self,
        base: Option<SheetTested>,
        about: (Option<u32>, Option<Name>),
        read: &mut Reading,
    ) -> Option<SheetTested> {
        let old = base.as_ref();
        let surface = surface(self.surface.as_deref(), read).or(old.map(|o| o.surface));
        let side = read.quantity("--side", self.side.as_deref()).or(old.map(|o| o.side.clone()));
        let kept = read.quantity("--kept", self.kept.as_deref()).or(old.map(|o| o.kept.clone()));
        let wet = read.word("--wet", self.wet.as_deref(), "a face of the sheet", Face::WORDS, Face::from_word);
        let wet = wet.or(old.map(|o| o.wet));
        let there = [
            ("--surface", surface.is_some()),
            ("--side", side.is_some()),
            ("--kept", kept.is_some()),
            ("--wet", wet.is_some()),
        ];
        there.iter().filter(|(_, there)| !there).for_each(|(field, _)| read.missing(field));
        let (side, kept): (Typed<Length>, Typed<Span>) = (side?, kept?);
        Some(SheetTested {
            finding: about.0,
            section: about.1,
            surface: surface?,
            side,
            kept,
            wet: wet?,
            open_edge: self.open_edge || old.is_some_and(|o| o.open_edge),
            sun: self.sun || old.is_some_and(|o| o.sun),
            at: self.at.clone().or(old.and_then(|o| o.at.clone())),
        })
    }
}

/// How a sheet is put up and when it may be looked at.
pub struct Steps {
    /// What it is put up for, as typed.
    pub subject: String,
    pub on: On,
    pub steps: [&'static str; 5],
    /// From when on it may be looked at, where it was said when it was put up.
    pub look_from: Option<NaiveDateTime>,
}

/// The steps at a place; nothing is recorded.
pub fn steps(
    context: &Context,
    store: &mut Store,
    typed: &str,
    surface: &str,
    begun: Option<&str>,
) -> Result<Steps, Error> {
    about(context, store, typed)?;
    let mut read = Reading::default();
    let on = self::surface(Some(surface), &mut read);
    let begun = read.when("--begun", begun);
    let on = read.done(on)?.expect("a surface that does not read is a problem");
    let hours = i64::from(sheet::least_hours(on));
    let look_from = begun.map(|begun| put_up_by(begun) + chrono::TimeDelta::hours(hours));
    Ok(Steps { subject: typed.to_owned(), on, steps: sheet::steps(on), look_from })
}

/// A day without a time may mean its last minute.
fn put_up_by(begun: When) -> NaiveDateTime {
    let last_minute = chrono::TimeDelta::minutes(if begun.time.is_some() { 0 } else { 24 * 60 });
    begun.moment() + last_minute
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (id, of) = about(context, store, typed)?;
    let mut read = Reading::default();
    let tested = fields.tested(None, of, &mut read);
    let facts = tested.into_iter().map(Into::into).collect();
    context.record_read(store, Target::Known(id), facts, read, c)
}

fn surface(typed: Option<&str>, read: &mut Reading) -> Option<On> {
    read.word("--surface", typed, "what a sheet is taped to", On::WORDS, On::from_word)
}

type About = (uuid::Uuid, (Option<u32>, Option<Name>));

fn about(context: &Context, store: &mut Store, typed: &str) -> Result<About, Error> {
    let place = context.place(store, typed)?;
    let sections = &store.folded(place.id)?.property.sections;
    match place.subject {
        Subject::Finding(number) => Ok((place.id, (Some(number), None))),
        Subject::Named(name) if sections.contains_key(&name) => Ok((place.id, (None, Some(name)))),
        _ => {
            let wanted = "a section or a damp place, such as `larkspur-14/main` or `larkspur-14/2`";
            Err(Error::NotThat { given: typed.to_owned(), wanted })
        }
    }
}

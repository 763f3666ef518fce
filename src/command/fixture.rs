//! `fixture`: equipment and things outdoors that need care.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::fixture_added::{Fitted, FixtureAdded};
use crate::ledger::kind::fixture_replaced::FixtureReplaced;
use crate::ledger::kind::fixture_retired::FixtureRetired;
use crate::ledger::subject::{Name, Subject};
use crate::quantity::{Length, Typed};
use crate::store::{Store, Target};
use crate::trade::words::{Answer, Demand, FixtureKind};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// sump-pump, backup-pump, check-valve, radon-system, dehumidifier, gutter, downspout, drain, tree, walkway …
    #[arg(long)]
    pub kind: Option<String>,
    /// The section it belongs to
    #[arg(long, value_name = "SECTION")]
    pub r#in: Option<String>,
    #[command(flatten)]
    pub fitted: FittedFields,
}

#[derive(Debug, Clone, Default, clap::Args)]
pub struct FittedFields {
    /// When it was put in or planted
    #[arg(long, value_name = "DATE")]
    pub installed: Option<String>,
    /// Inside diameter of a sump pump's pit, such as "18 in", or length and width of one with four sides, such as "24 in x 18 in"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub pit: Option<String>,
    /// What a pump is rated to lift, such as "40 gpm"
    #[arg(long, value_name = "FLOW", allow_hyphen_values = true)]
    pub rated: Option<String>,
    /// From where the pump switches on to where the pit would overflow, such as "12 in"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub freeboard: Option<String>,
    /// Capacity of a backup battery in ampere-hours, such as 75
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    pub battery: Option<String>,
    /// What the backup pump draws in amperes, such as 15
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    pub draw: Option<String>,
    /// Where it is
    #[arg(long, value_name = "TEXT")]
    pub place: Option<String>,
    /// Height a tree has, or will have; of a species of the printed list the mature height is known, such as --what "English oak"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub height: Option<String>,
    /// Distance of a tree or an outlet from the nearest wall
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub distance: Option<String>,
    /// Water demand of a tree: high, moderate or low
    #[arg(long)]
    pub demand: Option<String>,
    /// Whether the soil at a tree is shrinkable clay: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub clay: Option<String>,
    /// Whether a radon system has a fan: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub fan: Option<String>,
    /// Anything else that tells it apart; the species of a tree
    #[arg(long, value_name = "TEXT")]
    pub what: Option<String>,
    /// The day on which its warranty ends
    #[arg(long, value_name = "DATE")]
    pub warranty_until: Option<String>,
}

impl FittedFields {
    fn fitted(&self, base: Fitted, read: &mut Reading) -> Fitted {
        let (round, sides) = pit(self.pit.as_deref(), read);
        let measured = round.is_some() || sides.is_some();
        Fitted {
            installed: read.day("--installed", self.installed.as_deref()).or(base.installed),
            pit: round.or(base.pit.filter(|_| !measured)),
            pit_sides: sides.or(base.pit_sides.filter(|_| !measured)),
            rated: read.quantity("--rated", self.rated.as_deref()).or(base.rated),
            freeboard: read.quantity("--freeboard", self.freeboard.as_deref()).or(base.freeboard),
            battery_ah: read
                .decimal("--battery", self.battery.as_deref(), "a number of ampere-hours", &[("Ah", 1)])
                .or(base.battery_ah),
            draw_a: read.decimal("--draw", self.draw.as_deref(), "a number of amperes", &[("A", 1)]).or(base.draw_a),
            place: self.place.clone().or(base.place),
            height: read.quantity("--height", self.height.as_deref()).or(base.height),
            distance: read.quantity("--distance", self.distance.as_deref()).or(base.distance),
            demand: read
                .word("--demand", self.demand.as_deref(), "a water demand", Demand::WORDS, Demand::from_word)
                .or(base.demand),
            clay: read
                .word("--clay", self.clay.as_deref(), "an answer", Answer::WORDS, Answer::from_word)
                .or(base.clay),
            fan: read.word("--fan", self.fan.as_deref(), "an answer", Answer::WORDS, Answer::from_word).or(base.fan),
            what: self.what.clone().or(base.what),
            warranty_until: read.day("--warranty-until", self.warranty_until.as_deref()).or(base.warranty_until),
        }
    }

    pub fn replaced(&self, base: Option<FixtureReplaced>, name: Name, read: &mut Reading) -> FixtureReplaced {
        FixtureReplaced { name, fitted: self.fitted(base.map(|b| b.fitted).unwrap_or_default(), read) }
    }
}

/// `18 in` of a round pit, `24 in x 18 in` of one with four sides.
fn pit(typed: Option<&str>, read: &mut Reading) -> (Option<Typed<Length>>, Option<[Typed<Length>; 2]>) {
    let Some((length, width)) = typed.and_then(|text| text.split_once(['x', 'X', '×'])) else {
        return (read.quantity("--pit", typed), None);
    };
    let sides = [length, width].map(|side| read.quantity("--pit", Some(side.trim())));
    let [Some(length), Some(width)] = sides else { return (None, None) };
    (None, Some([length, width]))
}

impl Fields {
    pub fn added(&self, base: Option<FixtureAdded>, name: Name, read: &mut Reading) -> Option<FixtureAdded> {
        let wanted = "a kind of fixture";
        let kind = read.word("--kind", self.kind.as_deref(), wanted, FixtureKind::WORDS, FixtureKind::from_word);
        let kind = kind.or(base.as_ref().map(|b| b.kind));
        if kind.is_none() && self.kind.is_none() {
            read.missing("--kind");
        }
        let section = read.name(self.r#in.as_deref()).or_else(|| base.as_ref().and_then(|b| b.section.clone()));
        let fitted = self.fitted.fitted(base.map(|b| b.fitted).unwrap_or_default(), read);
        Some(FixtureAdded { name, kind: kind?, section, fitted })
    }
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, name) = context.new_name(store, typed)?;
    let mut read = Reading::default();
    let added = fields.added(None, name, &mut read);
    let added = added.into_iter().map(Into::into).collect();
    context.record_read(store, Target::Known(place.id), added, read, c)
}

pub fn replace(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &FittedFields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, name) = fixture(context, store, typed)?;
    let mut read = Reading::default();
    let replaced = fields.replaced(None, name, &mut read);
    let replaced = read.done_on(replaced, c)?;
    context.record(store, Target::Known(place), vec![replaced.into()], c)
}

pub fn retire(
    context: &Context,
    store: &mut Store,
    typed: &str,
    why: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, name) = fixture(context, store, typed)?;
    context.record(store, Target::Known(place), vec![FixtureRetired { name, why: why.to_owned() }.into()], c)
}

pub(super) fn fixture(context: &Context, store: &mut Store, typed: &str) -> Result<(uuid::Uuid, Name), Error> {
    let place = context.place(store, typed)?;
    match place.subject {
        Subject::Named(name) => Ok((place.id, name)),
        _ => Err(Error::NotThat { given: typed.to_owned(), wanted: "a fixture, such as `larkspur-14/pump`" }),
    }
}

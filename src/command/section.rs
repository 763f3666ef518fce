//! `section`: the parts of a footprint, each with one kind of foundation.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::section_added::SectionAdded;
use crate::ledger::kind::section_changed::SectionChanged;
use crate::ledger::subject::Name;
use crate::store::{Store, Target};
use crate::trade::words::{Answer, Foundation, Walls};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// slab, crawl-space, basement, pier or unknown
    #[arg(long, value_name = "KIND")]
    pub foundation: Option<String>,
    /// poured, block, brick, stone, wood or unknown
    #[arg(long, value_name = "KIND")]
    pub walls: Option<String>,
    /// Floor area, such as "1100 ft2"
    #[arg(long, value_name = "AREA", allow_hyphen_values = true)]
    pub area: Option<String>,
    /// Where it is: "north half"
    #[arg(long, value_name = "TEXT")]
    pub place: Option<String>,
    /// Whether a Class I vapour retarder lies on the ground: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub retarder: Option<String>,
    /// Whether the soil is shrinkable clay: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub clay: Option<String>,
}

impl Fields {
    pub fn added(&self, base: Option<SectionAdded>, name: Name, read: &mut Reading) -> Option<SectionAdded> {
        let changed = self.changed(None, name.clone(), read);
        let foundation = changed.foundation.or(base.as_ref().map(|b| b.foundation));
        if foundation.is_none() && self.foundation.is_none() {
            read.missing("--foundation");
        }
        let base = base.as_ref();
        Some(SectionAdded {
            name,
            foundation: foundation?,
            walls: changed.walls.or(base.and_then(|b| b.walls)),
            area: changed.area.or_else(|| base.and_then(|b| b.area.clone())),
            place: changed.place.or_else(|| base.and_then(|b| b.place.clone())),
            retarder: changed.retarder.or(base.and_then(|b| b.retarder)),
            clay: changed.clay.or(base.and_then(|b| b.clay)),
        })
    }

    pub fn changed(&self, base: Option<SectionChanged>, name: Name, read: &mut Reading) -> SectionChanged {
        let foundation = read.word(
            "--foundation",
            self.foundation.as_deref(),
            "a kind of foundation",
            Foundation::WORDS,
            Foundation::from_word,
        );
        let walls = read.word("--walls", self.walls.as_deref(), "a kind of wall", Walls::WORDS, Walls::from_word);
        let area = read.quantity("--area", self.area.as_deref());
        let mut answer = |field, text: &Option<String>| {
            read.word(field, text.as_deref(), "an answer", Answer::WORDS, Answer::from_word)
        };
        let (retarder, clay) = (answer("--retarder", &self.retarder), answer("--clay", &self.clay));
        let base = base.as_ref();
        SectionChanged {
            name,
            foundation: foundation.or(base.and_then(|b| b.foundation)),
            walls: walls.or(base.and_then(|b| b.walls)),
            area: area.or_else(|| base.and_then(|b| b.area.clone())),
            place: self.place.clone().or_else(|| base.and_then(|b| b.place.clone())),
            retarder: retarder.or(base.and_then(|b| b.retarder)),
            clay: clay.or(base.and_then(|b| b.clay)),
        }
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

pub fn change(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, name) = context.section(store, typed)?;
    let mut read = Reading::default();
    let changed = fields.changed(None, name, &mut read);
    context.record_read(store, Target::Known(place.id), vec![changed.into()], read, c)
}

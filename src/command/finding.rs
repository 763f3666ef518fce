//! `finding`: what was seen at a place and is not as it should be.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::finding_closed::FindingClosed;
use crate::ledger::kind::finding_opened::{FindingOpened, Particulars};
use crate::ledger::kind::finding_reopened::FindingReopened;
use crate::ledger::verdicts::{Shown, verdict_of};
use crate::store::{Store, Target};
use crate::trade::pattern::Pattern;
use crate::trade::words::{
    Answer, Demand, DrainagePart, Equipment, FindingKind, Ground, InsectSign, Member, Paving, Runs, Support, Surface,
    Walls, Water,
};
use crate::trade::{Band, Who};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// crack, bow, settlement, binding, bearing, spall, bolt, damp, efflorescence, rot, insects, mould, grade,
    /// drainage, walkway, tree, vent, clearance, electrics or other
    #[arg(long)]
    pub kind: Option<String>,
    /// Where, in words: "south wall, under the second window"
    #[arg(long, value_name = "TEXT")]
    pub place: Option<String>,
    /// The section it is in
    #[arg(long, value_name = "SECTION")]
    pub r#in: Option<String>,
    /// Which wall ("south"), what it is made of (poured, block, brick, stone, wood), or slab
    #[arg(long, value_name = "WALL")]
    pub wall: Option<String>,
    /// wall or slab
    #[arg(long)]
    pub surface: Option<String>,
    /// vertical, horizontal, diagonal, stepped or unknown
    #[arg(long)]
    pub runs: Option<String>,
    /// dry, damp, seeping, running or unknown
    #[arg(long)]
    pub water: Option<String>,
    /// Whether it is known where the water comes from: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub source_known: Option<String>,
    /// Whether the wall holds earth: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub retains: Option<String>,
    /// Anything else: the door that binds, what is wrong with the gutter
    #[arg(long, value_name = "TEXT")]
    pub what: Option<String>,
    /// Since when
    #[arg(long, value_name = "TEXT")]
    pub since: Option<String>,
    /// post, beam, girder, sill, joist, joist-end, column, framing, siding, siding-over-slab or other
    #[arg(long)]
    pub member: Option<String>,
    /// How much the member still rests on what carries it: full, partial, none or unknown
    #[arg(long)]
    pub support: Option<String>,
    /// yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub bears_load: Option<String>,
    /// Whether a probe sinks in: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub probe_sinks: Option<String>,
    /// yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub steel_shows: Option<String>,
    /// yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub rust: Option<String>,
    /// yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub edge_broken: Option<String>,
    /// yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub sill_loose: Option<String>,
    /// Whether it came with rain: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub since_rain: Option<String>,
    /// yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub near_plumbing: Option<String>,
    /// yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub powdering: Option<String>,
    /// mud-tubes, wings, powder, galleries or coarse-sawdust; may be given several times
    #[arg(long, value_name = "SIGN")]
    pub signs: Vec<String>,
    /// Which side of the house
    #[arg(long, value_name = "TEXT")]
    pub side: Option<String>,
    /// soil or paved
    #[arg(long)]
    pub ground: Option<String>,
    /// gutter, downspout, outlet or drain
    #[arg(long)]
    pub part: Option<String>,
    /// slab, stone or drive
    #[arg(long)]
    pub paving: Option<String>,
    /// Species of a tree, such as "English oak"; of one of the printed list, mature height and water demand are known
    #[arg(long, value_name = "TEXT")]
    pub species: Option<String>,
    /// Water demand of a tree: high, moderate or low
    #[arg(long)]
    pub demand: Option<String>,
    /// Whether an opening is blocked: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub blocked: Option<String>,
    /// What the water is near: equipment, cord or panel
    #[arg(long)]
    pub equipment: Option<String>,
    /// What a crack looks like together with what is near it: pair (two near-vertical, a dropped length between),
    /// middle-and-ends, domed-floor, mid-height-and-corners, stepped-wider-above, stepped-wider-below, middle-third,
    /// opening-corner, pier or unknown
    #[arg(long)]
    pub pattern: Option<String>,
    /// Whether a walkway was seen to have moved since last year: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub has_moved: Option<String>,
    /// Whether the soil at a tree is shrinkable clay: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub clay: Option<String>,
    /// Whether a vent is missing: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub missing: Option<String>,
    /// Whether a Class I vapour retarder lies on the ground: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub retarder: Option<String>,
    /// Whether wood near the soil is naturally durable or treated: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub treated: Option<String>,
}

impl Fields {
    /// The fact that a finding was opened; number 0 asks for the next.
    pub fn opened(&self, base: Option<FindingOpened>, read: &mut Reading) -> Option<FindingOpened> {
        let kind =
            read.word("--kind", self.kind.as_deref(), "a kind of finding", FindingKind::WORDS, FindingKind::from_word);
        let kind = kind.or(base.as_ref().map(|b| b.kind));
        if kind.is_none() && self.kind.is_none() {
            read.missing("--kind");
        }
        let place = self.place.clone().or_else(|| base.as_ref().map(|b| b.place.clone()));
        if place.is_none() {
            read.missing("--place");
        }
        let section = read.name(self.r#in.as_deref()).or_else(|| base.as_ref().and_then(|b| b.section.clone()));
        let number = base.as_ref().map_or(0, |b| b.number);
        let particulars = self.particulars(base.map(|b| b.particulars).unwrap_or_default(), kind, read);
        Some(FindingOpened { number, kind: kind?, place: place?, section, particulars })
    }

    fn particulars(&self, base: Particulars, kind: Option<FindingKind>, read: &mut Reading) -> Particulars {
        let mut p = base;
        let words = |read: &mut Reading, field, text: &Option<String>, old: Option<Answer>| {
            read.word(field, text.as_deref(), "an answer", Answer::WORDS, Answer::from_word).or(old)
        };
        p.surface = read
            .word("--surface", self.surface.as_deref(), "a surface", Surface::WORDS, Surface::from_word)
            .or(p.surface);
        self.wall(&mut p, kind);
        p.runs = read.word("--runs", self.runs.as_deref(), "a direction", Runs::WORDS, Runs::from_word).or(p.runs);
        p.water = read
            .word("--water", self.water.as_deref(), "a degree of wetness", Water::WORDS, Water::from_word)
            .or(p.water);
        p.source_known = words(read, "--source-known", &self.source_known, p.source_known);
        p.retains = words(read, "--retains", &self.retains, p.retains);
        p.what = self.what.clone().or(p.what);
        p.since = self.since.clone().or(p.since);
        p.member =
            read.word("--member", self.member.as_deref(), "a member", Member::WORDS, Member::from_word).or(p.member);
        p.support = read
            .word("--support", self.support.as_deref(), "an answer", Support::WORDS, Support::from_word)
            .or(p.support);
        p.bears_load = words(read, "--bears-load", &self.bears_load, p.bears_load);
        p.probe_sinks = words(read, "--probe-sinks", &self.probe_sinks, p.probe_sinks);
        p.steel_shows = words(read, "--steel-shows", &self.steel_shows, p.steel_shows);
        p.rust = words(read, "--rust", &self.rust, p.rust);
        p.edge_broken = words(read, "--edge-broken", &self.edge_broken, p.edge_broken);
        p.sill_loose = words(read, "--sill-loose", &self.sill_loose, p.sill_loose);
        p.since_rain = words(read, "--since-rain", &self.since_rain, p.since_rain);
        p.near_plumbing = words(read, "--near-plumbing", &self.near_plumbing, p.near_plumbing);
        p.powdering = words(read, "--powdering", &self.powdering, p.powdering);
        let signs = self.signs.iter().flat_map(|s| s.split(',')).filter_map(|sign| {
            read.word("--signs", Some(sign), "a sign of insects", InsectSign::WORDS, InsectSign::from_word)
        });
        let signs: Vec<InsectSign> = signs.collect();
        if !signs.is_empty() {
            p.signs = signs;
        }
        p.side = self.side.clone().or(p.side);
        p.ground =
            read.word("--ground", self.ground.as_deref(), "a ground", Ground::WORDS, Ground::from_word).or(p.ground);
        p.part = read
            .word(
                "--part",
                self.part.as_deref(),
                "a part of the drainage",
                DrainagePart::WORDS,
                DrainagePart::from_word,
            )
            .or(p.part);
        p.paving =
            read.word("--paving", self.paving.as_deref(), "a paving", Paving::WORDS, Paving::from_word).or(p.paving);
        p.species = self.species.clone().or(p.species);
        p.demand = read
            .word("--demand", self.demand.as_deref(), "a water demand", Demand::WORDS, Demand::from_word)
            .or(p.demand);
        p.blocked = words(read, "--blocked", &self.blocked, p.blocked);
        p.equipment = read
            .word("--equipment", self.equipment.as_deref(), "equipment", Equipment::WORDS, Equipment::from_word)
            .or(p.equipment);
        p.pattern = read
            .word("--pattern", self.pattern.as_deref(), "a pattern of cracks", Pattern::WORDS, Pattern::from_word)
            .or(p.pattern);
        p.has_moved = words(read, "--has-moved", &self.has_moved, p.has_moved);
        p.clay = words(read, "--clay", &self.clay, p.clay);
        p.missing = words(read, "--missing", &self.missing, p.missing);
        p.retarder = words(read, "--retarder", &self.retarder, p.retarder);
        p.treated = words(read, "--treated", &self.treated, p.treated);
        p
    }

    /// `--wall` is answered in three ways: by which wall, by what it is made of, or by its being a slab.
    fn wall(&self, p: &mut Particulars, kind: Option<FindingKind>) {
        let Some(typed) = self.wall.as_deref().map(str::trim) else { return };
        let crack = kind == Some(FindingKind::Crack);
        match (typed, Walls::from_word(typed)) {
            ("slab" | "floor", _) if crack => p.surface = Some(Surface::Slab),
            (_, Some(walls)) => p.walls = Some(walls),
            ("wall", _) if crack => {}
            _ => p.wall = Some(typed.to_owned()),
        }
        if crack && p.surface.is_none() {
            p.surface = Some(Surface::Wall);
        }
    }
}

pub fn open(
    context: &Context,
    store: &mut Store,
    key: Option<&str>,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let place = context.property(store, key)?;
    let mut read = Reading::default();
    let opened = fields.opened(None, &mut read);
    let opened = opened.into_iter().map(Into::into).collect();
    context.record_read(store, Target::Known(place.id), opened, read, c)
}

pub fn close(
    context: &Context,
    store: &mut Store,
    typed: &str,
    why: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, number) = context.finding(store, typed)?;
    let property = store.folded(place.id)?.property.clone();
    let before = verdict_of(&property, &place.subject, store.settings(), context.today_at(Some(&property)));
    let closed = FindingClosed { number, why: why.to_owned() };
    let mut recorded = context.record(store, Target::Known(place.id), vec![closed.into()], c)?;
    // A judgement that holds has decided what is asked; without one, a closed finding asks for nobody any more.
    if let Some(Shown { verdict, held_by: None, .. }) = before
        && let Some(band) = verdict.band.filter(|band| *band >= Band::Call)
        && let Some(sentence) = recorded.sentences.first_mut()
    {
        let who = verdict.who.map_or("somebody", Who::words);
        let again = format!("`stemwall finding reopen {} --why …` opens it again", place.subject.of(&place.key));
        sentence.push_str(&format!("; the record gave {band} ({who}) and holds no judgement: {again}"));
    }
    Ok(recorded)
}

pub fn reopen(
    context: &Context,
    store: &mut Store,
    typed: &str,
    why: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, number) = context.finding(store, typed)?;
    context.record(store, Target::Known(place.id), vec![FindingReopened { number, why: why.to_owned() }.into()], c)
}

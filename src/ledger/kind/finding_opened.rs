use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line, check_section};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Finding, Property};
use crate::ledger::subject::{Name, Subject};
use crate::trade::pattern::Pattern;
use crate::trade::words::{
    Answer, Demand, DrainagePart, Equipment, FindingKind, Ground, InsectSign, Member, Paving, Runs, Support, Surface,
    Walls, Water,
};

/// What is asked when a finding is opened; each kind has its own questions, see [`questions`].
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Particulars {
    /// Whether it is in a wall or in a slab.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub surface: Option<Surface>,
    /// Which wall: "south".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall: Option<String>,
    /// What that wall is made of, where it differs from the section's walls.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walls: Option<Walls>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub runs: Option<Runs>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<Water>,
    /// Whether it is known where the water comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source_known: Option<Answer>,
    /// Whether the wall holds earth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub retains: Option<Answer>,
    /// Anything else: the door that binds, what is wrong with the gutter.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub what: Option<String>,
    /// Since when, in the words of whoever knows.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub member: Option<Member>,
    /// How much the member still rests on what carries it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub support: Option<Support>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bears_load: Option<Answer>,
    /// Whether a probe sinks in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probe_sinks: Option<Answer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub steel_shows: Option<Answer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rust: Option<Answer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edge_broken: Option<Answer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sill_loose: Option<Answer>,
    /// Whether it came with rain.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since_rain: Option<Answer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub near_plumbing: Option<Answer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub powdering: Option<Answer>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub signs: Vec<InsectSign>,
    /// Which side of the house.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ground: Option<Ground>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<DrainagePart>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub paving: Option<Paving>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub species: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub demand: Option<Demand>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub blocked: Option<Answer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub equipment: Option<Equipment>,
    /// What a crack looks like together with what is near it. Since version 2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pattern: Option<Pattern>,
    /// Whether a walkway was seen to have moved since last year. Since version 2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub has_moved: Option<Answer>,
    /// Whether the soil at a tree is shrinkable clay. Since version 2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clay: Option<Answer>,
    /// Whether a vent is missing. Since version 2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub missing: Option<Answer>,
    /// Whether a Class I vapour retarder lies on the ground. Since version 2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub retarder: Option<Answer>,
    /// Whether wood near the soil is naturally durable or preservative-treated. Since version 2.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub treated: Option<Answer>,
}

/// Something was seen at a place that is not as it should be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingOpened {
    /// Its number within the property, never used again; 0 in a draft asks for the next free one.
    pub number: u32,
    pub kind: FindingKind,
    /// Where, in words: "south wall, under the second window".
    pub place: String,
    /// The section it is in.
    #[serde(default, rename = "in", skip_serializing_if = "Option::is_none")]
    pub section: Option<Name>,
    #[serde(default)]
    pub particulars: Particulars,
}

/// The questions of a kind, as they are typed.
///
/// Source: the table of findings this program was designed from; which question serves which rule stands with the rule.
pub fn questions(kind: FindingKind) -> &'static [&'static str] {
    use FindingKind as K;
    match kind {
        K::Crack => &[
            "--surface",
            "--wall",
            "--runs",
            "--pattern",
            "--water",
            "--source-known",
            "--retains",
            "--steel-shows",
            "--rust",
        ],
        K::Bow => &["--wall", "--retains"],
        K::Settlement => &["--what", "--since"],
        K::Binding => &["--what", "--since"],
        K::Bearing => &["--member", "--support", "--what"],
        K::Spall => &["--steel-shows", "--rust", "--wall"],
        K::Bolt => &["--rust", "--edge-broken", "--sill-loose"],
        K::Damp => &["--water", "--since-rain", "--near-plumbing", "--source-known", "--bears-load", "--wall"],
        K::Efflorescence => &["--powdering", "--wall"],
        K::Rot => &["--member", "--bears-load", "--probe-sinks"],
        K::Insects => &["--signs", "--member"],
        K::Mould => &["--what"],
        K::Grade => &["--side", "--ground"],
        K::Drainage => &["--part", "--what", "--side"],
        K::Walkway => &["--paving", "--has-moved"],
        K::Tree => &["--species", "--demand", "--clay"],
        K::Vent => &["--blocked", "--missing", "--retarder", "--what"],
        K::Clearance => &["--member", "--treated"],
        K::Electrics => &["--equipment", "--water", "--what"],
        K::Other => &["--what"],
    }
}

impl Particulars {
    /// What was answered, as flag and word, in the order of the struct.
    pub fn answered(&self) -> Vec<(&'static str, String)> {
        let mut out = Vec::new();
        let mut say = |field, value: Option<&str>| out.extend(value.map(|v| (field, v.to_owned())));
        let answer = |a: Option<Answer>| a.map(Answer::word);
        say("--surface", self.surface.map(Surface::word));
        say("--wall", self.wall.as_deref());
        say("--wall", self.walls.map(Walls::word));
        say("--runs", self.runs.map(Runs::word));
        say("--water", self.water.map(Water::word));
        say("--source-known", answer(self.source_known));
        say("--retains", answer(self.retains));
        say("--what", self.what.as_deref());
        say("--since", self.since.as_deref());
        say("--member", self.member.map(Member::word));
        say("--support", self.support.map(Support::word));
        say("--bears-load", answer(self.bears_load));
        say("--probe-sinks", answer(self.probe_sinks));
        say("--steel-shows", answer(self.steel_shows));
        say("--rust", answer(self.rust));
        say("--edge-broken", answer(self.edge_broken));
        say("--sill-loose", answer(self.sill_loose));
        say("--since-rain", answer(self.since_rain));
        say("--near-plumbing", answer(self.near_plumbing));
        say("--powdering", answer(self.powdering));
        say("--side", self.side.as_deref());
        say("--ground", self.ground.map(Ground::word));
        say("--part", self.part.map(DrainagePart::word));
        say("--paving", self.paving.map(Paving::word));
        say("--species", self.species.as_deref());
        say("--demand", self.demand.map(Demand::word));
        say("--blocked", answer(self.blocked));
        say("--equipment", self.equipment.map(Equipment::word));
        say("--pattern", self.pattern.map(Pattern::word));
        say("--has-moved", answer(self.has_moved));
        say("--clay", answer(self.clay));
        say("--missing", answer(self.missing));
        say("--retarder", answer(self.retarder));
        say("--treated", answer(self.treated));
        out.extend(self.signs.iter().map(|s| ("--signs", s.word().to_owned())));
        out
    }
}

impl Kind for FindingOpened {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Finding(self.number)]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        if !property.exists() {
            found.push(Problem::NoProperty);
        }
        if property.findings.contains_key(&self.number) {
            found.push(Problem::NumberTaken { number: self.number });
        }
        check_line("--place", &self.place, found);
        if let Some(section) = &self.section {
            check_section(section, property, found);
        }
        let fields = questions(self.kind);
        for (field, value) in self.particulars.answered() {
            if !fields.contains(&field) {
                found.push(Problem::FieldOfAnotherKind { kind: self.kind, field, fields });
            }
            check_line(field, &value, found);
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.open(
            self.number,
            Finding {
                kind: self.kind,
                place: self.place.clone(),
                section: self.section.clone(),
                particulars: self.particulars.clone(),
                opened: at.on,
                closed: None,
                was_closed: Vec::new(),
                photographed: !at.remarks.photos.is_empty(),
                mended: Vec::new(),
                readings: Vec::new(),
                seq: at.seq,
            },
        );
    }

    fn sentence(&self) -> String {
        let section = self.section.as_ref().map_or(String::new(), |s| format!(" of `{s}`"));
        let answers: Vec<_> = self
            .particulars
            .answered()
            .into_iter()
            .map(|(field, value)| format!("{} {value}", field.trim_start_matches('-').replace('-', " ")))
            .collect();
        let answers = if answers.is_empty() { String::new() } else { format!(" ({})", answers.join(", ")) };
        format!("finding {} opened: {}, {}{section}{answers}", self.number, self.kind, self.place)
    }
}

#[cfg(test)]
mod tests {
    use super::{Particulars, questions};
    use crate::trade::words::FindingKind;

    #[test]
    fn every_question_of_every_kind_can_be_answered() {
        // A question nobody can answer would be asked for ever: each flag must be one that `answered` reports.
        let source = include_str!("finding_opened.rs");
        for kind in FindingKind::ALL {
            for field in questions(*kind) {
                let reports = source.matches(&format!("say(\"{field}\"")).count()
                    + source.matches(&format!("(\"{field}\", s.word()")).count();
                assert!(reports > 0, "{field} of {kind}");
            }
        }
        assert!(Particulars::default().answered().is_empty());
    }
}

//! Damp, standing water, efflorescence, mould, wood moisture and the humidity of the air.
//!
//! The rule in words: damp with its source found is mended, source first; without it, watched. Wood from 20 to below 28 %
//! moisture, air over 60 % humidity and a 30-day mean over 80 % at a surface are looked at again in 30 days. Efflorescence
//! is put on the scale of IS 3495 part 3: slight is noted, moderate or more is mended, source first, because salts show
//! that water moves through. Mould over 10 ft2 goes to a qualified remediation contractor.
//!
//! Shares are exact: 20 % typed is raised, 60 % is not over 60 %.

use chrono::{Days, NaiveDate};

use super::cautions;
use super::timber;
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::{Answer, Water, words};
use crate::quantity::{Area, Length, Share, Temperature};

pub mod standing;
#[cfg(test)]
mod tests;

pub use standing::STANDING_WATER;

/// Excess moisture in wood from here: Clemson Extension, Wood Infestation Report CL-100, section J; second-hand.
pub const WOOD_RAISED: Share = Share::percent(20, 1);
/// Air humidity is to stay below this: EPA 402-K-02-003; read.
pub const HUMIDITY: Share = Share::percent(60, 1);
/// Mean surface humidity over 30 days: ASHRAE 160-2009 mould criterion (since replaced by an index); read.
pub const MEAN_HUMIDITY: Share = Share::percent(80, 1);
/// Surface temperatures between which the criterion of [`MEAN_HUMIDITY`] speaks, deg C: ASHRAE 160-2009; read.
pub const MEAN_FROM_C: Temperature = Temperature::celsius(5, 1);
pub const MEAN_TO_C: Temperature = Temperature::celsius(40, 1);
/// Days until a raised reading is looked at again: design rule of this program, no published source.
pub const LOOK_AGAIN_DAYS: u64 = 30;
/// Upper edge of slight efflorescence: IS 3495 part 3; second-hand.
pub const SLIGHT_TO: Share = Share::percent(10, 1);
/// Upper edge of moderate efflorescence: IS 3495 part 3; second-hand.
pub const MODERATE_TO: Share = Share::percent(50, 1);
/// Mould that an owner cleans up: about 10 ft2 (3 by 3 ft), EPA 402-K-02-003; from memory.
pub const OWN_MOULD_TO: Area = Area::ft2(10, 1);

pub static DAMP: Rule = Rule {
    name: "damp-source",
    says: "damp with its source found is mended by the owner, source first; while the source is not found it is watched",
    source: "BIA Technical Note 46 (December 2017)",
    standing: Standing::Read,
    scope: "walls and floors of foundations",
    variants: &[],
};

pub static WOOD_MOISTURE: Rule = Rule {
    name: "wood-moisture-raised",
    says: "wood from 20 % to below 28 % moisture is looked at again in 30 days, and the source is looked for",
    source: "Clemson Extension, Wood Infestation Report CL-100, section J",
    standing: Standing::SecondHand,
    scope: "wood in a house, read with a meter corrected for species and temperature",
    variants: &[],
};

pub static AIR_HUMIDITY: Rule = Rule {
    name: "air-humidity",
    says: "air over 60 % relative humidity is looked at again in 30 days, and the source is looked for",
    source: "EPA 402-K-02-003",
    standing: Standing::Read,
    scope: "air indoors, crawl spaces and basements included",
    variants: &[],
};

pub static SURFACE_HUMIDITY: Rule = Rule {
    name: "surface-humidity-30-days",
    says: "a 30-day mean over 80 % relative humidity at a surface is looked at again in 30 days, and the source is looked for",
    source: "ASHRAE Standard 160-2009, mould criterion",
    standing: Standing::Read,
    scope: "surfaces whose 30-day mean temperature is between 5 C (41 F) and 40 C (104 F); replaced by an index in 2016",
    variants: &[],
};

pub static EFFLORESCENCE: Rule = Rule {
    name: "efflorescence-scale",
    says: "slight (to 10 % of the face) is noted; moderate (to 50 %), heavy (over 50 %) and serious (any powdering or flaking) \
           are mended, source first",
    source: "IS 3495 part 3 for the scale; BIA Technical Note 46 (December 2017) for looking for the source first",
    standing: Standing::SecondHand,
    scope: "faces of masonry and concrete; the scale was written for bricks in a test",
    variants: &[Variant {
        name: "warranty",
        says: "efflorescence on a basement wall is treated as usual, not as a defect",
        source: "NAHB Residential Construction Performance Guidelines, as a builder's manual quotes them",
        standing: Standing::SecondHand,
    }],
};

pub static MOULD_AREA: Rule = Rule {
    name: "mould-area",
    says: "mould over about 10 ft2 goes to a qualified remediation contractor; up to that an owner may clean it once the \
           moisture is mended",
    source: "EPA 402-K-02-003",
    standing: Standing::Memory,
    scope: "mould indoors that did not come from sewage",
    variants: &[],
};

/// What is recorded about one damp place. Readings are the latest of each.
#[derive(Debug, Clone, Default)]
pub struct Damp {
    /// Whether it comes after rain.
    pub since_rain: Option<Answer>,
    pub plumbing_near: Option<Answer>,
    /// Whether the source of the water was found.
    pub source_found: Option<Answer>,
    pub wood: Option<Share>,
    /// Whether the wood that was read bears load.
    pub wood_bears_load: Option<Answer>,
    /// Temperature of the air; the latest.
    pub air: Option<Temperature>,
    pub humidity: Option<Share>,
    /// Mean over 30 days of the humidity at the surface, and of its temperature.
    pub mean_humidity_30_days: Option<Share>,
    pub mean_temperature_30_days: Option<Temperature>,
    /// How deep water stood, and when that was read.
    pub water_depth: Option<(Length, NaiveDate)>,
    /// How wet it was, and when that was read.
    pub water: Option<(Water, NaiveDate)>,
    /// Day of the latest reading, or of the opening.
    pub read_on: Option<NaiveDate>,
}

/// What is recorded about one efflorescence.
#[derive(Debug, Clone, Default)]
pub struct Efflorescence {
    /// Share of the face covered; the latest.
    pub face: Option<Share>,
    pub powdering: Option<Answer>,
    pub rule: EfflorescenceRule,
}

words! {
    /// Whose reading of efflorescence is followed.
    EfflorescenceRule { Scale = "is-3495", Warranty = "warranty" }
}

#[expect(clippy::derivable_impls, reason = "the enum is made by `words!`, whose variants take no attribute")]
impl Default for EfflorescenceRule {
    fn default() -> EfflorescenceRule {
        EfflorescenceRule::Scale
    }
}

/// What is recorded about one patch of mould.
#[derive(Debug, Clone, Default)]
pub struct Mould {
    /// The latest.
    pub area: Option<Area>,
}

/// The words of the efflorescence scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scale {
    Nil,
    Slight,
    Moderate,
    Heavy,
    Serious,
}

impl Scale {
    pub fn word(self) -> &'static str {
        match self {
            Scale::Nil => "nil",
            Scale::Slight => "slight",
            Scale::Moderate => "moderate",
            Scale::Heavy => "heavy",
            Scale::Serious => "serious",
        }
    }
}

/// Where a face stands on the scale of IS 3495 part 3: 10 % is slight, 50 % moderate, any powdering or flaking serious.
pub fn scale(face: Share, powdering: bool) -> Scale {
    match face {
        _ if powdering => Scale::Serious,
        f if f <= Share::percent(0, 1) => Scale::Nil,
        f if f <= SLIGHT_TO => Scale::Slight,
        f if f <= MODERATE_TO => Scale::Moderate,
        _ => Scale::Heavy,
    }
}

/// The verdict on one damp place on `today`.
pub fn damp(of: &Damp, today: NaiveDate) -> Verdict {
    let again = of.read_on.unwrap_or(today).checked_add_days(Days::new(LOOK_AGAIN_DAYS)).unwrap_or(today);
    let watched = |rule, because| Fired::new(rule, Band::Watch, Who::Owner, Some(By::Date(again)), because);
    let mut fired = Vec::new();
    fired.extend(standing::standing(of.water_depth, of.water));
    fired.extend(of.wood.and_then(|wood| match wood {
        w if w < WOOD_RAISED => None,
        w if w < timber::WOOD_DECAY => {
            Some(watched(&WOOD_MOISTURE, format!("wood at {}, raised from 20 %", told::share(w))))
        }
        w if of.wood_bears_load == Some(Answer::Yes) => {
            Some(timber::decayed(format!("wood that bears load at {}", told::share(w))))
        }
        w if of.wood_bears_load == Some(Answer::No) => {
            Some(watched(&timber::ROT_ELSEWHERE, format!("wood that bears no load at {}", told::share(w))))
        }
        w => {
            let open = "whether it bears load is not known, and it is taken that it does";
            Some(timber::decayed(format!("wood at {}, 28 % or more; {open}", told::share(w))))
        }
    }));
    if of.source_found == Some(Answer::Yes) {
        let by = Some(By::Before("the wet season"));
        fired.push(Fired::new(&DAMP, Band::Mend, Who::Owner, by, "damp, and the source of the water was found"));
    } else {
        let source = match of.source_found {
            Some(Answer::No) => "was looked for and not found",
            Some(Answer::Unknown) => "is not known",
            _ => "was not asked for yet",
        };
        fired.push(watched(&DAMP, format!("damp, and the source of the water {source}")));
    }
    if let Some(air) = of.humidity.filter(|h| *h > HUMIDITY) {
        fired.push(watched(&AIR_HUMIDITY, format!("air at {} relative humidity, over 60 %", told::share(air))));
    }
    fired.extend(surface_mean(of, again));
    fired.extend(timber::beside_saturation(of.wood));
    fired.extend(timber::beside_temperature(of.wood, of.air));

    let mut verdict = Verdict::from_fired(fired);
    verdict.not_known = damp_not_known(of);
    verdict.next = damp_next(of, &verdict);
    verdict.cautions = vec![cautions::WATER_AND_ELECTRICITY, cautions::MOULD_DRYING, cautions::NOT_ALONE];
    verdict.ask_by(again);
    verdict
}

fn surface_mean(of: &Damp, again: NaiveDate) -> Option<Fired> {
    let mean = of.mean_humidity_30_days.filter(|m| *m > MEAN_HUMIDITY)?;
    let because = format!("30-day mean of {} relative humidity at the surface, over 80 %", told::share(mean));
    Some(match of.mean_temperature_30_days {
        Some(t) if MEAN_FROM_C <= t && t <= MEAN_TO_C => {
            Fired::new(&SURFACE_HUMIDITY, Band::Watch, Who::Owner, Some(By::Date(again)), because)
        }
        Some(_) => {
            Fired::for_comparison(&SURFACE_HUMIDITY, format!("{because}; its mean temperature is outside 5 to 40 C"))
        }
        // The criterion may well apply; an unread temperature does not take it away.
        None => {
            let because = format!("{because}; its mean temperature is not known");
            Fired::new(&SURFACE_HUMIDITY, Band::Watch, Who::Owner, Some(By::Date(again)), because)
        }
    })
}

fn damp_not_known(of: &Damp) -> Vec<String> {
    let mut list = NotKnown::default();
    list.answer(of.since_rain, Answer::Unknown, "whether it comes after rain");
    list.answer(of.plumbing_near, Answer::Unknown, "whether plumbing is near");
    list.source(of.source_found);
    list.read(of.wood.as_ref(), "moisture of wood nearby");
    if of.wood.is_some_and(|w| w >= timber::WOOD_DECAY) {
        list.answer(of.wood_bears_load, Answer::Unknown, "whether the wood that was read bears load");
    }
    list.read(of.humidity.as_ref(), "humidity of the air");
    list.into_list()
}

fn damp_next(of: &Damp, verdict: &Verdict) -> Vec<Step> {
    let mut steps = Vec::new();
    if verdict.because.iter().any(|fired| fired.rule == &STANDING_WATER) {
        steps.push(standing::let_out(verdict.at_once_since()));
    }
    if verdict.band >= Some(Band::Call) {
        steps.push(Step::recorded_as("a judgement by a licensed structural engineer", "judgement-given"));
        if !matches!(of.wood_bears_load, Some(Answer::Yes | Answer::No)) {
            let says = "find out whether the wood bears load; until that is known it is taken that it does";
            steps.push(Step::answered_by(says, "--bears-load …"));
        }
    }
    if of.source_found == Some(Answer::Yes) {
        steps.push(Step::recorded_as("mend the source first, then let it dry and close the finding", "finding-closed"));
    } else {
        let whom = match (of.plumbing_near, of.since_rain) {
            (Some(Answer::Yes), _) => "; a plumber can test the pipes near it",
            (_, Some(Answer::Yes)) => "; look at gutters, outlets and the fall of the ground first",
            _ => "",
        };
        steps.push(Step::recorded_as(format!("look for the source{whom}"), "note-added"));
        let sheet = "a sheet taped over it for a day tells water of the air from water out of the concrete";
        steps.push(Step::recorded_as(sheet, "sheet-tested"));
    }
    steps.push(Step::recorded_as("read wood moisture and air humidity again", "reading-added"));
    steps
}

/// The verdict on one efflorescence.
pub fn efflorescence(of: &Efflorescence) -> Verdict {
    let powdering = of.powdering == Some(Answer::Yes);
    let scale = match (of.face, powdering) {
        (None, false) => None,
        (None, true) => Some(Scale::Serious),
        (Some(face), _) => Some(scale(face, powdering)),
    };
    let face = of.face.map_or_else(String::new, |f| format!("{} of the face, ", told::share(f)));
    let fired = match scale {
        // Warranties speak of salts on a face, not of a face that powders or may.
        Some(scale) if of.rule == EfflorescenceRule::Warranty && of.powdering == Some(Answer::No) => {
            let because = format!("{face}{} on the scale, no powdering; under warranties no defect", scale.word());
            Fired::new(&EFFLORESCENCE, Band::Note, Who::Owner, None, because).by_variant(of.rule.word())
        }
        Some(scale) if scale >= Scale::Moderate => {
            let because = format!("{face}{} on the scale", scale.word());
            Fired::new(&EFFLORESCENCE, Band::Mend, Who::Owner, Some(By::Before("the wet season")), because)
        }
        // Powdering would make it serious, so slight is said only where there is none.
        Some(scale) if of.powdering == Some(Answer::No) => {
            let because = format!("{face}{} on the scale, no powdering", scale.word());
            Fired::new(&EFFLORESCENCE, Band::Note, Who::Owner, None, because)
        }
        _ => Fired::new(
            &EFFLORESCENCE,
            Band::Watch,
            Who::Owner,
            None,
            format!("{face}not enough is recorded to place it on the scale"),
        ),
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    let mut list = NotKnown::default();
    list.read(of.face.as_ref(), "share of the face it covers");
    list.answer(of.powdering, Answer::Unknown, "whether the face powders or flakes");
    verdict.not_known = list.into_list();
    verdict.next = match verdict.band {
        Some(Band::Mend) => {
            vec![Step::recorded_as("look for where the water comes from before any coating or repair", "note-added")]
        }
        _ => vec![Step::recorded_as("read the share of the face again at the next walk", "reading-added")],
    };
    verdict
}

/// The verdict on one patch of mould.
pub fn mould(of: &Mould) -> Verdict {
    let fired = match of.area {
        Some(area) if area > OWN_MOULD_TO => {
            let because = format!("{} of mould, over about 10 ft2", told::area(area));
            Fired::new(&MOULD_AREA, Band::Call, Who::RemediationContractor, None, because)
        }
        Some(area) => {
            let because = format!("{} of mould, not over about 10 ft2", told::area(area));
            Fired::new(&MOULD_AREA, Band::Mend, Who::Owner, None, because)
        }
        None => Fired::new(&MOULD_AREA, Band::Watch, Who::Owner, None, "mould whose area was not measured"),
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    let mut list = NotKnown::default();
    list.read(of.area.as_ref(), "area of the mould");
    verdict.not_known = list.into_list();
    verdict.next = match verdict.band {
        Some(Band::Call) => {
            vec![Step::recorded_as("ask a qualified remediation contractor for a quote", "quote-given")]
        }
        Some(Band::Mend) => {
            vec![Step::recorded_as("mend the moisture first, clean it up, then close the finding", "finding-closed")]
        }
        _ => vec![Step::recorded_as("measure its area", "reading-added")],
    };
    verdict.cautions = vec![cautions::MOULD_DRYING, cautions::MOULD_WORK, cautions::LOCAL_LAW];
    verdict
}

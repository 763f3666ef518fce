//! `repair`: work done on findings, and looks at whether it held.

use chrono::NaiveDate;

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::repair_checked::RepairChecked;
use crate::ledger::kind::repair_made::RepairMade;
use crate::ledger::problem::Problem;
use crate::ledger::property::Property;
use crate::ledger::repairs::{filling, resin};
use crate::ledger::subject::Address;
use crate::quantity::{Currency, leading};
use crate::store::{Refusal, Store, Target};
use crate::trade::epoxy::{self, Class, Warning, before_filling};
use crate::trade::words::{Answer, Method};

/// How data sheets write a viscosity, and how many of it make 1 Pa·s; a centipoise is a thousandth.
const VISCOSITIES: [(&str, i128); 9] = [
    ("mPa·s", 1000),
    ("mPa.s", 1000),
    ("mPa s", 1000),
    ("cPs", 1000),
    ("cps", 1000),
    ("cP", 1000),
    ("Pa·s", 1),
    ("Pa.s", 1),
    ("Pa s", 1),
];

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// epoxy-injection, polyurethane-injection, patch, drainage, grading, gutter, sealing, replacement, treatment,
    /// underpinning, bracing or other
    #[arg(long)]
    pub method: Option<String>,
    /// Width of the crack as it was filled, such as "0.6 mm"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub width: Option<String>,
    /// How deep the filling goes, such as "8 in"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub depth: Option<String>,
    /// How long it is, such as "6 ft"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub length: Option<String>,
    /// What is lost on the way, on top of what the crack takes, such as "25 %"
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub waste: Option<String>,
    /// Temperature of the concrete at its surface, such as "62 F"
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub surface: Option<String>,
    /// Class of the resin: A, B or C
    #[arg(long)]
    pub class: Option<String>,
    /// Viscosity of the resin: 0.4, "0.4 Pa·s" or "400 cP"
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    pub viscosity: Option<String>,
    /// How many ports were set
    #[arg(long, value_name = "N")]
    pub ports: Option<u32>,
    /// What is printed on the pack
    #[arg(long, value_name = "TEXT")]
    pub batch: Option<String>,
    /// What it cost, such as "350 USD"
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    pub cost: Option<String>,
    /// Who did it
    #[arg(long, value_name = "TEXT")]
    pub who: Option<String>,
    /// Whether it held, where it was long ago: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub held: Option<String>,
    /// The day on which its warranty ends
    #[arg(long, value_name = "DATE")]
    pub warranty_until: Option<String>,
}

impl Fields {
    pub fn made(
        &self,
        base: Option<RepairMade>,
        findings: Vec<u32>,
        currency: Currency,
        read: &mut Reading,
    ) -> Option<RepairMade> {
        let old = base.as_ref();
        let method = read.word("--method", self.method.as_deref(), "a method", Method::WORDS, Method::from_word);
        if self.method.is_none() && base.is_none() {
            read.missing("--method");
        }
        // `25` says the same as `25 %`.
        let waste = self.waste.as_deref().map(|text| {
            if text.trim().bytes().all(|b| b.is_ascii_digit() || b == b'.') { format!("{text} %") } else { text.into() }
        });
        let class = self.class.as_deref().map(str::to_uppercase);
        Some(RepairMade {
            findings,
            width: read.quantity("--width", self.width.as_deref()).or_else(|| old.and_then(|b| b.width.clone())),
            depth: read.quantity("--depth", self.depth.as_deref()).or_else(|| old.and_then(|b| b.depth.clone())),
            length: read.quantity("--length", self.length.as_deref()).or_else(|| old.and_then(|b| b.length.clone())),
            waste: read.quantity("--waste", waste.as_deref()).or_else(|| old.and_then(|b| b.waste.clone())),
            surface: read
                .quantity("--surface", self.surface.as_deref())
                .or_else(|| old.and_then(|b| b.surface.clone())),
            class: read
                .word("--class", class.as_deref(), "a class of resin", Class::WORDS, Class::from_word)
                .or(old.and_then(|b| b.class)),
            viscosity_pa_s: read
                .decimal("--viscosity", self.viscosity.as_deref(), "a viscosity in Pa·s", &VISCOSITIES)
                .or_else(|| old.and_then(|b| b.viscosity_pa_s.clone())),
            ports: self.ports.or(old.and_then(|b| b.ports)),
            batch: self.batch.clone().or_else(|| old.and_then(|b| b.batch.clone())),
            cost: read.money("--cost", self.cost.as_deref(), currency).or(old.and_then(|b| b.cost)),
            who: self.who.clone().or_else(|| old.and_then(|b| b.who.clone())),
            held: read
                .word("--held", self.held.as_deref(), "an answer", Answer::WORDS, Answer::from_word)
                .or(old.and_then(|b| b.held)),
            warranty_until: read
                .day("--warranty-until", self.warranty_until.as_deref())
                .or(old.and_then(|b| b.warranty_until)),
            method: method.or(old.map(|b| b.method))?,
        })
    }
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &[String],
    fields: &Fields,
    sure: bool,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, findings) = context.findings(store, typed)?;
    let mut read = Reading::default();
    let made = fields.made(None, findings, store.settings().currency, &mut read);
    let property = store.folded(place.id)?.property.clone();
    let on = context.when(c.on.as_deref(), Some(&property));
    let day = on.map_or(NaiveDate::MAX, |on| on.date);
    // What was done on an earlier day is written down as it was; what is about to be done is asked about.
    if let Some(made) = made.as_ref().filter(|_| !sure && day >= context.today_at(Some(&property))) {
        let doubts = doubts(&property, made, day, store);
        let meant = |ask: fn(&str) -> bool| doubts.iter().all(|p| ask(&format!("{p}; record it?")));
        if !doubts.is_empty() && !context.ask.is_some_and(meant) {
            let refuse = |problem| Refusal { index: 0, key: place.key.clone(), problem };
            return Err(Error::Refused(doubts.into_iter().map(refuse).collect()));
        }
    }
    let beside = made.as_ref().map(|made| beside(&property, made, day, store));
    let made = made.into_iter().map(Into::into).collect();
    let recorded = context.record_read(store, Target::Known(place.id), made, read, c)?;
    Ok(Recorded { beside: beside.unwrap_or_default(), ..recorded })
}

/// What speaks against a repair before it is made: each is asked about.
fn doubts(property: &Property, made: &RepairMade, on: NaiveDate, store: &Store) -> Vec<Problem> {
    let units = store.settings().units;
    let warnings = warnings(property, made, on, store).into_iter().filter(|(_, warning)| warning.stops);
    warnings.map(|(number, warning)| Problem::AgainstFilling { number, says: leading(units, warning.says) }).collect()
}

/// The warnings before each crack is filled, with its number.
fn warnings(property: &Property, made: &RepairMade, on: NaiveDate, store: &Store) -> Vec<(u32, Warning)> {
    let numbers = made.findings.iter().filter(|_| made.method.fills());
    numbers
        .filter_map(|number| Some((*number, filling(property, *number, made, store.settings(), on)?)))
        .flat_map(|(number, of)| before_filling(&of, on).into_iter().map(move |warning| (number, warning)))
        .collect()
}

/// What filling hides and where it is out of place; how much resin it took, and which class its surface asks for.
fn beside(property: &Property, made: &RepairMade, on: NaiveDate, store: &Store) -> Vec<String> {
    let (units, choices) = (store.settings().units, store.settings().choices);
    let mut says = Vec::new();
    for (number, warning) in warnings(property, made, on, store) {
        says.push(format!("filling {number}: {}", leading(units, warning.says)));
    }
    if let Some(resin) = resin(made) {
        let waste = made.waste.as_ref().map_or("", |w| w.typed());
        says.push(format!(
            "it takes {} of resin, {} with {waste} lost on the way",
            resin.net.show(units),
            resin.order.show(units)
        ));
    }
    if made.method == Method::EpoxyInjection
        && let Some(surface) = &made.surface
    {
        let asked = epoxy::class(surface.value());
        let other = made.class.filter(|class| *class != asked).map_or("", |_| ", which is not the class recorded");
        says.push(format!("a surface at {} asks for class {asked} (ASTM C881){other}", surface.typed()));
        says.extend(epoxy::too_cold(surface.value(), choices.surface));
    }
    if made.method == Method::EpoxyInjection {
        let depth = made.depth.as_ref().map(|depth| depth.value());
        says.push(leading(units, epoxy::ports_told(choices.ports, depth)));
    }
    says
}

/// A look at a repair afterwards.
pub fn check(
    context: &Context,
    store: &mut Store,
    typed: &str,
    held: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let Address::Entry { key, seq } = Address::parse(typed)? else {
        return Err(Error::NotThat {
            given: typed.to_owned(),
            wanted: "the entry of a repair, such as `larkspur-14#12`",
        });
    };
    let place = context.property(store, Some(&key))?;
    let mut read = Reading::default();
    let held = read.word("--held", Some(held), "an answer", Answer::WORDS, Answer::from_word);
    let held = read.done_on(held, c)?.expect("an answer that does not read is a problem");
    let property = &store.folded(place.id)?.property;
    let Some(repair) = property.repairs.iter().find(|r| r.seq == seq) else {
        let refusal = Refusal { index: 0, key, problem: Problem::NotARepair { seq } };
        return Err(Error::Refused(vec![refusal]));
    };
    let on = context.when(c.on.as_deref(), Some(property))?;
    if on.date < repair.on.date {
        let problem = Problem::BeforeRepair { on, repaired: repair.on };
        return Err(Error::Refused(vec![Refusal { index: 0, key, problem }]));
    }
    let checked = RepairChecked { repair: seq, findings: repair.made.findings.clone(), held };
    context.record(store, Target::Known(place.id), vec![checked.into()], c)
}

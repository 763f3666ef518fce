//! From the ledger to what is planned: open findings by their ladders, radon by its price, other things by their quotations.

use super::asked::{Asked, Means};
use crate::command::defer::{Brief, Held, briefs};
use crate::command::{Context, Error};
use crate::deferral::plan::works::{May, Work, by_price, by_waiting};
use crate::deferral::{Quoted, Range};
use crate::ledger::property::Property;
use crate::ledger::settings::Settings;
use crate::ledger::subject::Subject;
use crate::ledger::verdicts::verdict_of;
use crate::ledger::waiting::{quote, seen};
use crate::quantity::Currency;
use crate::store::Store;
use crate::trade::planning::{Craft, Place, RADON_MONEY_OF, RADON_SYSTEM};
use crate::trade::words::{FixtureKind, Water};
use crate::trade::{Band, Who};

/// Something that can be planned.
pub struct Item {
    /// `larkspur-14/2`, `larkspur-14/main`.
    pub subject: String,
    pub key: String,
    pub what: String,
    pub band: Option<Band>,
    /// Who has to look before any work.
    pub first: Option<Who>,
    /// The last year for it, from 1.
    pub deadline: Option<usize>,
    pub deadline_by_hand: bool,
    /// Its year, or that it is left, was said by hand.
    pub by_hand: bool,
    /// Where its price is from, unless that is its ladder.
    pub price_from: Option<String>,
    /// A fixture to be mended: it has a price and no cost of waiting, so that nothing but a deadline would ever have it done.
    pub fixture: bool,
    /// It has a price and no known cost of waiting: if it must be done, then in the first year it fits.
    pub price_only: bool,
    /// The judgement that decides what is asked of it.
    pub held: Option<Held>,
    /// What a year's wait costs, in major units.
    pub year: f64,
    pub work: Work,
}

/// What has no price: counted, and in no figure.
pub struct NotPriced {
    pub subject: String,
    pub key: String,
    pub what: String,
    pub band: Option<Band>,
    pub first: Option<Who>,
}

/// What a judgement holds that asks for no work: in no year, unless it is put there by hand.
pub struct HeldOut {
    pub subject: String,
    pub key: String,
    pub what: String,
    pub held: Held,
}

#[derive(Default)]
pub struct Gathered {
    pub items: Vec<Item>,
    pub not_priced: Vec<NotPriced>,
    pub held: Vec<HeldOut>,
}

/// Everything of the houses asked for that can be planned, in order of keys and subjects.
pub fn gather(context: &Context, store: &mut Store, asked: &Asked, means: &Means) -> Result<Gathered, Error> {
    let keys = match &asked.key {
        Some(key) => vec![context.property(store, Some(key))?.key],
        None => store.keys(false)?,
    };
    let years = means.budgets.len();
    let mut all = Gathered::default();
    for (house, key) in keys.iter().enumerate() {
        let briefs = briefs(context, store, key, &means.assumed, years)?;
        let place = context.property(store, Some(key))?;
        let today = context.today_at(Some(&store.folded(place.id)?.property));
        let property = store.property_on(place.id, today)?;
        let of = House { house, key, property: &property, settings: store.settings(), means, today };
        briefs.into_iter().for_each(|brief| of.finding(brief, asked, &mut all));
        of.named(&mut all);
    }
    Ok(all)
}

struct House<'a> {
    house: usize,
    key: &'a str,
    property: &'a Property,
    settings: &'a Settings,
    means: &'a Means,
    today: chrono::NaiveDate,
}

impl House<'_> {
    fn finding(&self, brief: Brief, asked: &Asked, all: &mut Gathered) {
        let subject = Subject::Finding(brief.number).of(self.key);
        let what = format!("{}, {}", brief.kind, brief.place);
        if let Some(held) = brief.called.held_without_work().filter(|_| !asked.puts_in(&subject)) {
            all.held.push(HeldOut { subject, key: self.key.to_owned(), what, held: held.clone() });
            return;
        }
        let first = brief.called.must_be_looked_at.then_some(brief.called.who).flatten();
        let (key, band) = (self.key.to_owned(), brief.called.band);
        let (terms, years) = (&self.means.assumed.terms, self.means.budgets.len());
        let quoted = brief.quote.as_ref().map(|quote| self.offered(quote));
        let price_only = brief.priced.is_none();
        let (spend, loss, year, from) = match (brief.priced, quoted) {
            (Some((_, waiting, year)), _) => {
                let (spend, loss) = by_waiting(&waiting, terms, years);
                (spend, loss, year[1], None)
            }
            (None, Some((price, from))) => {
                let (spend, loss) = by_price(price, terms, years);
                let year = loss[1] - loss[0];
                (spend, loss, year, Some(from))
            }
            (None, None) => {
                all.not_priced.push(NotPriced { subject, key, what, band, first });
                return;
            }
        };
        let wet = seen(self.property, brief.number, self.today).and_then(|seen| seen.water);
        let wet = matches!(wet, Some(Water::Damp | Water::Seeping | Water::Running));
        let section = self.property.findings.get(&brief.number).and_then(|finding| finding.section.as_ref());
        let work = Work {
            house: self.house,
            section: section.map(ToString::to_string),
            craft: Craft::of(brief.kind),
            place: Place::of(brief.kind, wet),
            spend,
            loss,
            may: May::Any,
            offer: brief.quote.filter(|quote| quote.shared_by > 1).map(|quote| quote.offer),
            after: Vec::new(),
        };
        let item = item(subject, key, what, band, first, from, year, work);
        all.items.push(Item { price_only, held: brief.called.held, ..item });
    }

    /// Sections whose radon is decided, and fixtures that are to be mended or replaced.
    fn named(&self, all: &mut Gathered) {
        for name in self.property.sections.keys().chain(self.property.fixtures.keys()) {
            let about = Subject::Named(name.clone());
            let Some(shown) = verdict_of(self.property, &about, self.settings, self.today) else { continue };
            let (band, who) = (shown.verdict.band, shown.verdict.who);
            let fixture = self.property.fixtures.get(name);
            let radon = fixture.is_none() && band >= Some(Band::Call) && who == Some(Who::RadonProfessional);
            let mended = fixture.is_some_and(|f| f.retired.is_none()) && band >= Some(Band::Mend);
            if !radon && !mended {
                continue;
            }
            let what = fixture.map_or_else(|| "radon".to_owned(), |fixture| fixture.kind.to_string());
            let craft = match fixture.map(|fixture| fixture.kind) {
                None | Some(FixtureKind::RadonSystem) => Some(Craft::Radon),
                Some(FixtureKind::SumpPump) => Some(Craft::Plumbing),
                Some(FixtureKind::Tree) => Some(Craft::Trees),
                Some(_) => None,
            };
            let (subject, key) = (about.of(self.key), self.key.to_owned());
            let first = who.filter(|_| band >= Some(Band::Call));
            let offered = quote(self.property, &about, self.today);
            let offer = offered.as_ref().filter(|quote| quote.shared_by > 1).map(|quote| quote.offer);
            match offered.map(|quote| self.offered(&quote)).or_else(|| self.published(radon)) {
                None => all.not_priced.push(NotPriced { subject, key, what, band, first }),
                Some((price, from)) => {
                    let terms = &self.means.assumed.terms;
                    let (spend, loss) = by_price(price, terms, self.means.budgets.len());
                    let year = loss[1] - loss[0];
                    let (house, section) = (self.house, None);
                    let place = Place::Neither;
                    let (may, after) = (May::Any, Vec::new());
                    let work = Work { house, section, craft, place, spend, loss, may, offer, after };
                    let fixture = fixture.is_some();
                    let item = item(subject, key, what, band, first, Some(from), year, work);
                    all.items.push(Item { fixture, price_only: true, ..item });
                }
            }
        }
    }

    /// A price offered in the money of the newest year, an even part of it where it was for several things, and whose it is.
    fn offered(&self, quote: &Quoted) -> (f64, String) {
        let part = quote.amount / quote.shared_by.max(1) as f64;
        (part * self.means.assumed.index.factor(quote.year), format!("quotation by {}, {}", quote.from, quote.year))
    }

    fn published(&self, radon: bool) -> Option<(f64, String)> {
        let [low, likely, high] = RADON_SYSTEM;
        let price = Range { low, likely, high }.mean() * self.means.assumed.index.factor(RADON_MONEY_OF);
        (radon && self.means.currency == Currency::USD).then(|| (price, "rule `radon-price`".to_owned()))
    }
}

#[expect(clippy::too_many_arguments, reason = "each is a field of its own, filled in two places")]
fn item(
    subject: String,
    key: String,
    what: String,
    band: Option<Band>,
    first: Option<Who>,
    price_from: Option<String>,
    year: f64,
    work: Work,
) -> Item {
    let (deadline, deadline_by_hand, by_hand) = (None, false, false);
    let (fixture, price_only, held) = (false, false, None);
    Item {
        subject,
        key,
        what,
        band,
        first,
        deadline,
        deadline_by_hand,
        by_hand,
        price_from,
        fixture,
        price_only,
        held,
        year,
        work,
    }
}

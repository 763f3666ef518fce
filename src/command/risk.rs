//! `risk`, `spent`: what the next twelve months may cost, over all houses, and what the past did.

use std::collections::BTreeMap;

use chrono::{Datelike, Months, NaiveDate};

use super::defer::{Brief, Means, briefs};
use super::{Context, Error};
use crate::calendar::almanac::{ALMANAC, By};
use crate::ledger::duties::Due;
use crate::ledger::outlook::{Outlook, OutlookRow, outlook};
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::ledger::waiting::seen;
use crate::quantity::{Money, MoneyError};
use crate::store::Store;
use crate::trade::Band;

/// Share of the replacement value that maintenance takes a year (rule `maintenance-share`).
pub const MAINTENANCE: [f64; 2] = [0.02, 0.04];

/// What the next twelve months may cost at one house.
pub struct Risk {
    pub key: String,
    /// Findings with a ladder, the dearest wait first.
    pub priced: Vec<RiskOf>,
    /// Findings without one: counted, not priced.
    pub not_priced: Vec<Brief>,
    /// Sum over the priced ones of a year's wait: low, expected, high.
    pub year: [f64; 3],
    /// Sum over the priced ones of repair now.
    pub repair_now: f64,
    /// Parts of the house that something is asked of and that no ladder prices: radon that is decided, a pump that failed.
    pub parts: Vec<Part>,
    /// Tests and looks that are missing or overdue, in words.
    pub not_known: Vec<String>,
    /// What replacing the house would cost, if it is recorded.
    pub value: Option<Money>,
    /// Recorded cost of repairs in the last twelve months.
    pub spent: Option<Money>,
}

/// A section or fixture that is to be mended: counted, in no sum.
pub struct Part {
    pub subject: String,
    pub what: String,
    pub band: Band,
    pub who: Option<&'static str>,
}

pub struct RiskOf {
    pub brief: Brief,
    pub year: [f64; 3],
    /// Part of the house's expected loss, if that is above nothing.
    pub share: Option<f64>,
    pub worse: Vec<String>,
}

/// All houses, the largest expected loss first.
pub fn risk(context: &Context, store: &mut Store, means: &Means) -> Result<Vec<Risk>, Error> {
    let mut all = Vec::new();
    for key in store.keys(false)? {
        let briefs = briefs(context, store, &key, means, 1)?;
        let place = context.property(store, Some(&key))?;
        let today = context.today_at(Some(&store.folded(place.id)?.property));
        let property = store.property_on(place.id, today)?;
        let outlook = outlook(&property, store.settings(), today);
        let mut not_known = outlook.overview(&property).not_known;
        not_known.extend(overdue(&outlook, today));
        let parts = parts(&key, &outlook, &property);
        all.push(Risk { parts, not_known, ..of_house(key, briefs, &property, today)? });
    }
    all.sort_by(|a: &Risk, b| b.year[1].total_cmp(&a.year[1]).then_with(|| a.key.cmp(&b.key)));
    Ok(all)
}

fn of_house(key: String, briefs: Vec<Brief>, property: &Property, today: NaiveDate) -> Result<Risk, Error> {
    let (mut priced, mut not_priced) = (Vec::new(), Vec::new());
    let (mut year, mut repair_now) = ([0.0; 3], 0.0);
    for brief in briefs {
        let Some((case, waiting, of)) = &brief.priced else {
            not_priced.push(brief);
            continue;
        };
        year.iter_mut().zip(of).for_each(|(sum, one)| *sum += one);
        repair_now += waiting.years.first().map_or(0.0, |now| now.repair);
        let by_ladder = |by: &str| case.assumptions.iter().any(|known| known.says.ends_with(by));
        let here = seen(property, brief.number, today).map(|seen| seen.aggravators).unwrap_or_default();
        let worse = here.into_iter().map(|by| by.words()).filter(|by| by_ladder(by)).collect();
        priced.push(RiskOf { year: *of, share: None, worse, brief });
    }
    for one in &mut priced {
        one.share = (year[1] > 0.0).then(|| one.year[1] / year[1]);
    }
    priced.sort_by(|a, b| b.year[1].total_cmp(&a.year[1]));
    let since = today.checked_sub_months(Months::new(12)).unwrap_or(today);
    let spent = spent_between(property, since, today)?;
    let (parts, not_known) = (Vec::new(), Vec::new());
    Ok(Risk { key, priced, not_priced, year, repair_now, parts, not_known, value: property.value, spent })
}

/// Tests of sections and fixtures whose day has passed: what they would have shown is not known.
fn overdue(outlook: &Outlook, today: NaiveDate) -> Vec<String> {
    let is_test =
        |due: &Due| ALMANAC.duty(&due.code).is_some_and(|duty| matches!(duty.by, By::RadonTest | By::SumpTest));
    let mut overdue = Vec::new();
    for (subject, row) in outlook.rows.iter().filter(|(subject, _)| matches!(subject, Subject::Named(_))) {
        let late = row.duties.iter().filter(|due| due.due_on < today && is_test(due));
        overdue.extend(late.map(|due| {
            let since = due.due_on.format("%-d %b %Y");
            format!("{} in `{}`, overdue since {since}", due.title, subject.local())
        }));
    }
    overdue
}

fn parts(key: &str, outlook: &Outlook, property: &Property) -> Vec<Part> {
    let part = |(subject, row): (&Subject, &OutlookRow)| {
        let Subject::Named(name) = subject else { return None };
        let fixture = property.fixtures.get(name);
        let least = if fixture.is_some() { Band::Mend } else { Band::Call };
        let band = row.band.filter(|band| *band >= least)?;
        let what = fixture.map_or_else(|| "section".to_owned(), |fixture| fixture.kind.to_string());
        Some(Part { subject: subject.of(key), what, band, who: row.who })
    };
    outlook.rows.iter().filter_map(part).collect()
}

/// The recorded costs of repairs after one day up to another; `None` where none has a cost.
fn spent_between(property: &Property, after: NaiveDate, until: NaiveDate) -> Result<Option<Money>, Error> {
    let repairs = property.repairs.iter().filter(|r| r.on.date > after && r.on.date <= until);
    let costs = repairs.filter_map(|repair| repair.made.cost);
    let sum = costs.map(Ok).reduce(|sum: Result<Money, MoneyError>, cost| sum?.checked_add(cost?));
    sum.transpose().map_err(Error::Sum)
}

/// What was spent: one row a repair with a cost, in order of day.
pub struct Spent {
    pub rows: Vec<SpentRow>,
    /// Repairs whose cost was never recorded.
    pub without_cost: usize,
    /// By house, if each was asked for; else by nothing.
    pub by_house: Vec<(String, Money, usize)>,
    pub total: Option<Money>,
}

pub struct SpentRow {
    pub key: String,
    pub on: NaiveDate,
    pub findings: Vec<String>,
    pub method: &'static str,
    pub cost: Money,
}

/// Adds up recorded costs: those of repairs; what was only offered is not spent.
pub fn spent(context: &Context, store: &mut Store, key: Option<&str>, year: Option<i32>) -> Result<Spent, Error> {
    let keys = match key {
        Some(key) => vec![context.property(store, Some(key))?.key],
        // A house that was sold cost what it cost.
        None => store.keys(true)?,
    };
    let mut spent = Spent { rows: Vec::new(), without_cost: 0, by_house: Vec::new(), total: None };
    for key in keys {
        let place = context.property(store, Some(&key))?;
        let today = context.today_at(Some(&store.folded(place.id)?.property));
        let property = store.property_on(place.id, today)?;
        let repairs = property.repairs.iter().filter(|r| year.is_none_or(|year| r.on.date.year() == year));
        for repair in repairs {
            let Some(cost) = repair.made.cost else {
                spent.without_cost += 1;
                continue;
            };
            let findings = repair.made.findings.iter().map(|number| Subject::Finding(*number).of(&key));
            let (findings, method) = (findings.collect(), repair.made.method.word());
            spent.rows.push(SpentRow { key: key.clone(), on: repair.on.date, findings, method, cost });
        }
    }
    spent.rows.sort_by(|a, b| (a.on, &a.key).cmp(&(b.on, &b.key)));
    let mut houses: BTreeMap<&str, (Money, usize)> = BTreeMap::new();
    for row in &spent.rows {
        let sum = |sum: Option<Money>| sum.map_or(Ok(row.cost), |sum| sum.checked_add(row.cost)).map_err(Error::Sum);
        spent.total = Some(sum(spent.total)?);
        let (so_far, count) = houses.get(row.key.as_str()).map_or((None, 0), |(money, n)| (Some(*money), *n));
        houses.insert(&row.key, (sum(so_far)?, count + 1));
    }
    spent.by_house = houses.into_iter().map(|(key, (money, n))| (key.to_owned(), money, n)).collect();
    Ok(spent)
}

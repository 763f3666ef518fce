//! What the next twelve months may cost over all houses, and what the past did.

use std::collections::BTreeMap;
use std::io::Write;

use serde_json::{Value, json};

use super::defer::{self, amount, brief_json, held_by, not_priced_why};
use super::failure::Failure;
use super::output::line;
use super::verdict::date;
use super::words::{counted, cut, plain, wrapped};
use crate::command::defer::Means;
use crate::command::risk::{MAINTENANCE, Risk, RiskOf, Spent};
use crate::quantity::Currency;

const WIDTH: usize = 92;
/// Findings of a house that are told one by one.
const TOLD: usize = 5;

pub fn risk(all: &[Risk], means: &Means, currency: Currency, out: &mut dyn Write) -> Result<(), Failure> {
    if all.is_empty() {
        return line(out, format_args!("no house in this ledger"));
    }
    line(
        out,
        format_args!("expected loss of the next 12 months by waiting, all of it assumed where no source is named"),
    )?;
    line(out, format_args!("{}", wrapped(&defer::means(&means.terms, &means.index, currency), WIDTH, "  ")))?;
    for house in all {
        line(out, format_args!(""))?;
        let money = |major: f64| amount(major, currency);
        let [low, expected, high] = house.year;
        let priced = counted(house.priced.len() as u64, "finding priced", "findings priced");
        let not = house.not_priced.len() + house.parts.len();
        let figure = match house.priced.is_empty() {
            true => "not known: no finding of it is priced".to_owned(),
            false => format!("{} ({} to {}), {priced}, {not} not priced", money(expected), money(low), money(high)),
        };
        line(out, format_args!("{:<14}{figure}", plain(&house.key)))?;
        for one in house.priced.iter().take(TOLD) {
            finding(one, currency, out)?;
        }
        if house.priced.len() > TOLD {
            line(out, format_args!("  and {} more: `stemwall defer {}`", house.priced.len() - TOLD, house.key))?;
        }
        for brief in house.not_priced.iter().take(TOLD) {
            let subject = format!("{}/{}", plain(&house.key), brief.number);
            let quoted = brief.quote.as_ref().map_or(String::new(), |quote| {
                format!("; quotation by {}: {}", plain(&quote.from), amount(quote.amount, currency))
            });
            let (kind, why, place) = (brief.kind, not_priced_why(brief.kind), cut(&plain(&brief.place), 40));
            let text = format!("not priced, {why}{quoted}: {kind}, {place}");
            line(out, format_args!("  {subject:<18}{}", wrapped(&text, 72, &" ".repeat(20))))?;
        }
        for part in &house.parts {
            let who = part.who.map_or(String::new(), |who| format!(", {who}"));
            let text = format!("not priced, no cost of waiting: {} · {}{who}", part.what, part.band.word());
            line(out, format_args!("  {:<18}{}", plain(&part.subject), wrapped(&text, 72, &" ".repeat(20))))?;
        }
        line(out, format_args!("  {}", wrapped(&budget(house, currency), WIDTH, "    ")))?;
        if !house.not_known.is_empty() {
            let missing = house.not_known.iter().map(|what| plain(what)).collect::<Vec<_>>().join("; ");
            line(
                out,
                format_args!("  {}", wrapped(&format!("not known, and in no figure: {missing}"), WIDTH, "    ")),
            )?;
        }
    }
    line(out, format_args!(""))?;
    let text = "a year's wait is the expected cost of mending in a year, with what it damages meanwhile, less that of mending now; \
                2 to 4 % of the replacement value is what whole buildings take (rule `maintenance-share`)";
    line(out, format_args!("{}", wrapped(text, WIDTH, "")))
}

fn finding(one: &RiskOf, currency: Currency, out: &mut dyn Write) -> Result<(), Failure> {
    let brief = &one.brief;
    let share = one.share.filter(|share| *share > 0.0);
    let share = share.map_or("–".to_owned(), |share| format!("{:.0} %", share * 100.0));
    let worse = if one.worse.is_empty() { String::new() } else { format!(" · worse by {}", one.worse.join(", ")) };
    let first = match brief.called.must_be_looked_at {
        true => format!(" · first {}", brief.called.who.map_or("a licensed professional", |who| who.words())),
        false => String::new(),
    };
    let held = brief.called.held.as_ref().map_or(String::new(), |held| format!(" · {}", held_by(held)));
    let text = format!("{}, {}{worse}{first}{held}", brief.kind, plain(&brief.place));
    let subject = format!("{}/{}", brief.key, brief.number);
    let figure = amount(one.year[1], currency);
    line(out, format_args!("  {subject:<16}{figure:>9} {share:>5}  {}", wrapped(&text, 62, &" ".repeat(36))))
}

fn budget(house: &Risk, currency: Currency) -> String {
    let spent = house.spent.map_or("nothing recorded".to_owned(), |spent| spent.show());
    let open = match house.priced.is_empty() {
        true => String::new(),
        false => format!("; mending what is priced now: {}", amount(house.repair_now, currency)),
    };
    match house.value {
        None => format!("replacement value not recorded; spent in 12 months: {spent}{open}"),
        Some(value) => {
            let [low, high] = MAINTENANCE.map(|share| amount(share * value.to_major(), currency));
            format!("2 to 4 % of {}: {low} to {high} a year; spent in 12 months: {spent}{open}", value.show())
        }
    }
}

pub fn risk_json(all: &[Risk], means: &Means, currency: Currency) -> Value {
    let finding = |one: &RiskOf| {
        let mut row = brief_json(&one.brief);
        row["share"] = json!(one.share);
        row["worse_by"] = json!(one.worse);
        row
    };
    let house = |house: &Risk| {
        let year = |at: usize| if house.priced.is_empty() { Value::Null } else { json!(house.year[at]) };
        let budget = house.value.map(|value| MAINTENANCE.map(|share| share * value.to_major()));
        json!({
            "property": house.key, "currency": currency, "money_of": means.index.newest(), "index": defer::index_json(&means.index),
            "discount": means.terms.discount(), "escalation": means.terms.escalation(), "preset": means.preset.word(),
            "expected_loss": year(1), "expected_loss_low": year(0), "expected_loss_high": year(2),
            "findings": house.priced.iter().map(finding).collect::<Vec<_>>(),
            "not_priced": house.not_priced.iter().map(brief_json).collect::<Vec<_>>(),
            "parts_not_priced": house.parts.iter().map(|part| json!({"subject": part.subject, "what": part.what, "band": part.band,
                                                                     "who": part.who})).collect::<Vec<_>>(),
            "not_known": house.not_known, "repair_now": if house.priced.is_empty() { Value::Null } else { json!(house.repair_now) },
            "value": house.value.map(|value| value.to_major()), "maintenance_a_year": budget,
            "spent_12_months": house.spent.map(|spent| spent.to_major()),
            "rules": ["ladder", "cost-of-waiting", "maintenance-share"],
        })
    };
    all.iter().map(house).collect()
}

pub fn spent(of: &Spent, by_house: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let Some(total) = of.total else {
        line(out, format_args!("no cost of a repair is recorded"))?;
        return without(of, out);
    };
    if by_house {
        for (key, money, repairs) in &of.by_house {
            let repairs = counted(*repairs as u64, "repair", "repairs");
            line(out, format_args!("{:<14}{:>12}  {repairs}", plain(key), money.show()))?;
        }
    } else {
        for row in &of.rows {
            let what = format!("{} of {}", row.method, row.findings.join(", "));
            line(
                out,
                format_args!(
                    "{:<12}{:>12}  {}",
                    date(row.on),
                    row.cost.show(),
                    wrapped(&plain(&what), 70, &" ".repeat(26))
                ),
            )?;
        }
    }
    line(
        out,
        format_args!(
            "{:<12}{:>12}  recorded costs of repairs; prices only offered are not in it",
            "in all",
            total.show()
        ),
    )?;
    without(of, out)
}

fn without(of: &Spent, out: &mut dyn Write) -> Result<(), Failure> {
    match of.without_cost {
        0 => Ok(()),
        n => {
            let repairs = counted(n as u64, "repair has", "repairs have");
            line(out, format_args!("{repairs} no recorded cost: not known, and not counted as nothing"))
        }
    }
}

pub fn spent_json(of: &Spent) -> Value {
    let rows = of.rows.iter().map(|row| {
        json!({"property": row.key, "on": row.on, "findings": row.findings, "method": row.method, "cost": row.cost.to_major(),
               "currency": row.cost.currency})
    });
    let houses: BTreeMap<&str, Value> = of
        .by_house
        .iter()
        .map(|(key, money, repairs)| (key.as_str(), json!({"spent": money.to_major(), "repairs": repairs})))
        .collect();
    json!({"repairs": rows.collect::<Vec<_>>(), "by_property": houses, "total": of.total.map(|total| total.to_major()),
           "currency": of.total.map(|total| total.currency), "without_cost": of.without_cost})
}

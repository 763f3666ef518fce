//! Which repair in which year, on a screen and for programs: the plan, its proof, and what it is compared with.

use std::io::Write;

use chrono::Months;
use serde_json::{Value, json};

use super::bars::{open_with_progress, waiting};
use super::defer::{draw, held_by, held_json, index_json, means, whole, with_picture};
use super::failure::Failure;
use super::output::{line, print_json};
use super::verdict::date;
use super::words::{counted, cut, plain, wrapped};
use crate::chart::{self, Picture};
use crate::command::Context;
use crate::command::plan::{self as command, Answer, Asked, Compared, Extra, HeldOut, Item, NotPriced, Planned};
use crate::quantity::Money;

const WIDTH: usize = 92;
/// Findings without a price that are told one by one.
const TOLD: usize = 8;

/// Tells the plan, draws it, or writes its picture.
pub fn show(context: &Context, asked: &Asked, json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let mut store = open_with_progress(context)?;
    let waits = waiting();
    let tell = |what: &str| waits.iter().for_each(|bar| bar.set_message(plain(what)));
    let answer = command::plan(context, &mut store, asked, &tell);
    waits.iter().for_each(|bar| bar.finish_and_clear());
    let answer = answer?;
    match picture(&answer).filter(|_| asked.picture || asked.svg.is_some()) {
        Some(picture) if json => with_picture(told_json(&answer), &picture, asked.svg.as_deref(), out),
        Some(picture) => draw(&picture, asked.svg.as_deref(), out),
        None if json => print_json(out, &told_json(&answer)),
        None => told(&answer, out),
    }
}

fn told(a: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    let years = counted(a.budgets.len() as u64, "year", "years");
    let carry = if a.carry { ", what is left carries over" } else { "" };
    let text = format!("which repair in which year: {years} of 12 months from {}{carry}", date(a.from));
    line(out, format_args!("{}", wrapped(&text, WIDTH, "  ")))?;
    line(out, format_args!("{}", wrapped(&means(&a.terms, &a.index, a.currency), WIDTH, "  ")))?;
    for planned in &a.plans {
        one(a, planned, out)?;
    }
    line(out, format_args!(""))?;
    rules(a, out)
}

fn one(a: &Answer, planned: &Planned, out: &mut dyn Write) -> Result<(), Failure> {
    if let Some(house) = &planned.house {
        line(out, format_args!(""))?;
        line(out, format_args!("{}", plain(house)))?;
    }
    if planned.items.is_empty() {
        line(out, format_args!(""))?;
        line(out, format_args!("nothing that has a price is open: there is nothing to plan"))?;
        held(&planned.held, out)?;
        return not_priced(planned, out);
    }
    for (year, budget) in a.budgets.iter().enumerate() {
        let spent = major(a, planned.plan.spent[year]);
        let from = a.from.checked_add_months(Months::new(12 * year as u32)).unwrap_or(a.from);
        line(out, format_args!(""))?;
        line(
            out,
            format_args!("year {}, from {}: {spent} of {}", year + 1, date(from), whole(budget.to_major(), a.currency)),
        )?;
        for at in (0..planned.items.len()).filter(|&at| planned.plan.chosen[at] == Some(year)) {
            item(a, planned, at, planned.items[at].work.spend[year], out)?;
        }
        for (_, shared) in planned.together.iter().filter(|(of, _)| *of == year) {
            let craft = planned.items[shared[0]].work.craft.map_or("", |craft| craft.words());
            let names: Vec<String> = shared.iter().map(|&at| plain(&planned.items[at].subject)).collect();
            line(
                out,
                format_args!("  {}", wrapped(&format!("one visit for {craft}: {}", names.join(", ")), WIDTH, "    ")),
            )?;
        }
    }
    let left: Vec<usize> = (0..planned.items.len()).filter(|&at| planned.plan.chosen[at].is_none()).collect();
    if !left.is_empty() {
        line(out, format_args!(""))?;
        line(out, format_args!("not within these years (counted as mended right after them)"))?;
        for at in left {
            let after = planned.items[at].work.loss.last().copied().unwrap_or(0.0);
            item(a, planned, at, after, out)?;
        }
        let unspent: i64 = a.budgets.iter().zip(&planned.plan.spent).map(|(budget, spent)| budget.minor - spent).sum();
        if !a.carry && unspent > 0 {
            let text =
                format!("{} of the budgets is not spent: `--carry` lets it be spent in later years", major(a, unspent));
            line(out, format_args!("  {}", wrapped(&text, WIDTH, "    ")))?;
        }
    }
    line(out, format_args!(""))?;
    line(out, format_args!("{}", wrapped(&proof(a, planned), WIDTH, "  ")))?;
    comparison(a, planned, out)?;
    extra(a, &planned.extra, out)?;
    held(&planned.held, out)?;
    not_priced(planned, out)
}

fn item(a: &Answer, planned: &Planned, at: usize, spend: f64, out: &mut dyn Write) -> Result<(), Failure> {
    let item = &planned.items[at];
    let mut says = vec![plain(&item.what)];
    match (item.deadline, item.band) {
        (Some(by), _) if item.deadline_by_hand => says.push(format!("by year {by}, set by hand")),
        (Some(by), Some(band)) => says.push(format!("by year {by}: {}", band.word())),
        (None, _) if item.deadline_by_hand => says.push("its deadline was taken off by hand".to_owned()),
        _ => {}
    }
    if item.by_hand {
        says.push(if planned.plan.chosen[at].is_some() { "year set by hand" } else { "left by hand" }.to_owned());
    }
    if let Some(who) = item.first {
        says.push(format!("first {}", who.words()));
    }
    let waits: Vec<String> = planned.waits[at].iter().map(|&other| plain(&planned.items[other].subject)).collect();
    if !waits.is_empty() {
        says.push(format!("not before {}", waits.join(", ")));
    }
    says.extend(item.held.as_ref().map(held_by));
    says.extend(item.price_from.as_ref().map(|from| format!("price by {}", plain(from))));
    if item.price_only && planned.plan.chosen[at].is_none() && !item.by_hand {
        let in_it =
            format!("no cost of waiting is known: `--deadline {}=YEAR` puts it in a year", plain(&item.subject));
        says.push(in_it);
    }
    says.extend(apart(planned, at));
    let subject = cut(&plain(&item.subject), 18);
    let text = wrapped(&says.join(" · "), 62, &" ".repeat(32));
    line(out, format_args!("  {subject:<18}{:>9}   {text}", whole(spend, a.currency)))
}

/// What to heed where one price was for several things that are not done in one year.
fn apart(planned: &Planned, at: usize) -> Option<String> {
    let item = &planned.items[at];
    item.work.offer?;
    let same = |other: &Item| other.key == item.key && other.work.offer == item.work.offer;
    let others = planned.items.iter().zip(&planned.plan.chosen).filter(|(other, _)| same(other));
    let elsewhere = others.filter(|(_, year)| **year != planned.plan.chosen[at]);
    let names: Vec<String> = elsewhere.map(|(other, _)| plain(&other.subject)).collect();
    (!names.is_empty())
        .then(|| format!("its price was for {} as well: apart it may not hold, so ask", names.join(", ")))
}

fn held(held: &[HeldOut], out: &mut dyn Write) -> Result<(), Failure> {
    if held.is_empty() {
        return Ok(());
    }
    line(
        out,
        format_args!("held by a judgement that asks for no work: in no year and no figure, unless `--lock KEY/N=YEAR`"),
    )?;
    for one in held {
        let text = wrapped(&format!("{} · {}", plain(&one.what), held_by(&one.held)), 68, &" ".repeat(20));
        line(out, format_args!("  {:<18}{text}", cut(&plain(&one.subject), 18)))?;
    }
    Ok(())
}

fn proof(a: &Answer, planned: &Planned) -> String {
    let plan = &planned.plan;
    let loss = major(a, plan.loss);
    match plan.is_optimal() {
        true => {
            format!("expected to cost {loss} in all; proven: no plan within these budgets costs less by these figures")
        }
        false => format!(
            "expected to cost {loss} in all; the least there can be is not under {}, {:.2} % below it",
            major(a, plan.bound),
            plan.gap() * 100.0
        ),
    }
}

fn comparison(a: &Answer, planned: &Planned, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("in its place"))?;
    for way in &planned.compared {
        let more = way.loss - planned.plan.loss;
        let mut says = vec![match more {
            0 => "the same".to_owned(),
            1.. => format!("{} more", major(a, more)),
            _ => format!("{} less", major(a, -more)),
        }];
        if let Some((year, over)) = way.over {
            says.push(format!("{} over the budget of year {}", major(a, over), year + 1));
        }
        let missed = way.missed.len() as u64;
        if missed > 0 {
            says.push(counted(missed, "deadline missed", "deadlines missed"));
        }
        let text = wrapped(&says.join(" · "), 56, &" ".repeat(37));
        line(out, format_args!("  {:<23}{:>10}  {text}", way.way, major(a, way.loss)))?;
    }
    Ok(())
}

fn extra(a: &Answer, extra: &[Extra], out: &mut dyn Write) -> Result<(), Failure> {
    if extra.is_empty() {
        return Ok(());
    }
    let saves = extra.iter().map(|one| {
        let saved = match one.least == one.most {
            true => major(a, one.least),
            false => format!("{} to {}", major(a, one.least), major(a, one.most)),
        };
        format!("year {}: {saved}", one.year + 1)
    });
    let saves: Vec<String> = saves.collect();
    let text = format!("{} more in one year alone would save · {}", a.extra.show(), saves.join(" · "));
    line(out, format_args!("{}", wrapped(&text, WIDTH, "  ")))
}

fn not_priced(planned: &Planned, out: &mut dyn Write) -> Result<(), Failure> {
    if planned.not_priced.is_empty() {
        return Ok(());
    }
    line(out, format_args!("not priced, and in no figure"))?;
    let mut rows: Vec<&NotPriced> = planned.not_priced.iter().collect();
    rows.sort_by_key(|one| std::cmp::Reverse(one.band));
    for one in rows.iter().take(TOLD) {
        let band = one.band.map_or("not known", |band| band.word());
        let first = one.first.map_or(String::new(), |who| format!(" · first {}", who.words()));
        let text = wrapped(&format!("{} · {band}{first}", plain(&one.what)), 68, &" ".repeat(20));
        line(out, format_args!("  {:<18}{text}", cut(&plain(&one.subject), 18)))?;
    }
    if rows.len() > TOLD {
        line(out, format_args!("  and {} more: `stemwall finding list --open`", rows.len() - TOLD))?;
    }
    Ok(())
}

fn rules(a: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    let text = format!(
        "by its last year: urgent {}, call {} (rule `plan-deadline`); whoever has to look comes first, and by its own day. Water is led away \
         before what it wets is mended (rule `source-first`); a shared visit saves {} (rule `shared-visit`, assumed). Prices and chances are \
         assumed where no source is named (`stemwall defer KEY/N`); what one repair spares another is not in them",
        a.deadlines.urgent,
        a.deadlines.call,
        a.fee.show()
    );
    line(out, format_args!("{}", wrapped(&text, WIDTH, "")))?;
    line(out, format_args!("Stemwall compares with published tables. It does not certify, and local codes come first."))
}

/// An amount in minor units as it is shown: whole, since a plan has to keep to a budget.
fn major(a: &Answer, minor: i64) -> String {
    whole(Money { minor, currency: a.currency }.to_major(), a.currency)
}

fn told_json(a: &Answer) -> Value {
    let money = |minor: i64| Money { minor, currency: a.currency }.to_major();
    let plans = a.plans.iter().map(|planned| {
        let item = |(at, item): (usize, &Item)| {
            let chosen = planned.plan.chosen[at];
            json!({
                "subject": item.subject, "property": item.key, "what": item.what, "band": item.band, "must_look_first": item.first.map(|w| w.words()),
                "year": chosen.map(|year| year + 1), "spend": chosen.map(|year| item.work.spend[year]),
                "spend_by_year": item.work.spend, "loss_by_year": item.work.loss,
                "deadline": item.deadline, "deadline_by_hand": item.deadline_by_hand, "by_hand": item.by_hand,
                "price_from": item.price_from, "held_by_judgement": item.held.as_ref().map(held_json), "craft": item.work.craft.map(|craft| craft.words()),
                "not_before": planned.waits[at].iter().map(|&other| &planned.items[other].subject).collect::<Vec<_>>(),
            })
        };
        let way = |way: &Compared| {
            json!({"way": way.way, "loss": money(way.loss), "spent": way.spent.iter().map(|&s| money(s)).collect::<Vec<_>>(),
                   "over": way.over.map(|(year, over)| json!({"year": year + 1, "by": money(over)})),
                   "deadlines_missed": way.missed.iter().map(|&at| &planned.items[at].subject).collect::<Vec<_>>()})
        };
        json!({
            "property": planned.house,
            "items": planned.items.iter().enumerate().map(item).collect::<Vec<_>>(),
            "loss": money(planned.plan.loss), "bound": money(planned.plan.bound), "optimal": planned.plan.is_optimal(),
            "spent": planned.plan.spent.iter().map(|&spent| money(spent)).collect::<Vec<_>>(),
            "shared_visits": planned.together.iter().map(|(year, items)| {
                json!({"year": year + 1, "subjects": items.iter().map(|&at| &planned.items[at].subject).collect::<Vec<_>>()})
            }).collect::<Vec<_>>(),
            "compared": planned.compared.iter().map(way).collect::<Vec<_>>(),
            "extra": planned.extra.iter().map(|one| json!({"year": one.year + 1, "saves_at_least": money(one.least),
                                                           "saves_at_most": money(one.most)})).collect::<Vec<_>>(),
            "not_priced": planned.not_priced.iter().map(|one| json!({"subject": one.subject, "what": one.what, "band": one.band,
                                                                     "must_look_first": one.first.map(|w| w.words())})).collect::<Vec<_>>(),
            "held": planned.held.iter().map(|one| json!({"subject": one.subject, "what": one.what,
                                                         "held_by_judgement": held_json(&one.held)})).collect::<Vec<_>>(),
        })
    });
    json!({
        "from": a.from, "years": a.budgets.len(), "budgets": a.budgets.iter().map(|budget| budget.to_major()).collect::<Vec<_>>(),
        "carry": a.carry, "currency": a.currency, "money_of": a.index.newest(), "index": index_json(&a.index), "discount": a.terms.discount(),
        "escalation": a.terms.escalation(), "preset": a.preset.word(),
        "urgent_by": a.deadlines.urgent, "call_by": a.deadlines.call, "visit": a.fee.to_major(), "extra": a.extra.to_major(),
        "plans": plans.collect::<Vec<_>>(),
        "rules": ["yearly-plan", "plan-deadline", "source-first", "shared-visit", "radon-price", "ladder", "cost-of-waiting"],
    })
}

/// The plan as a picture: a bar a repair, in its year.
fn picture(a: &Answer) -> Option<Picture> {
    let planned = a.plans.first()?;
    let mut rows: Vec<(usize, String)> = Vec::new();
    for (at, item) in planned.items.iter().enumerate() {
        let Some(year) = planned.plan.chosen[at] else { continue };
        rows.push((year, format!("{} {}, {}", item.subject, whole(item.work.spend[year], a.currency), item.what)));
    }
    rows.sort();
    let left = planned.items.len() - rows.len();
    let spent: Vec<String> = planned.plan.spent.iter().map(|&spent| major(a, spent)).collect();
    Some(chart::plan(&date(a.from), a.budgets.len(), &rows, left, &spent))
}

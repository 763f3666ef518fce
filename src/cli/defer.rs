//! What waiting costs on a screen, and for programs: every figure with its source, what is assumed said to be.

use std::io::Write;
use std::path::Path;

use serde_json::{Value, json};

use super::bars::open_with_progress;
use super::failure::Failure;
use super::output::{line, print_json, write_new, written};
use super::verdict::date;
use super::words::{counted, cut, plain, wrapped};
use crate::chart::Picture;
use crate::command::Context;
use crate::command::defer::{self as command, Answer, Asked, Brief, Called, Held, PATHS, SHARES, Told};
use crate::deferral::case::{Assumption, Of};
use crate::deferral::ladder::{Figure, Ladder, Source};
use crate::deferral::{Index, Range, Standing, Terms};
use crate::quantity::{Currency, Money};
use crate::trade::words::FindingKind;

const WIDTH: usize = 92;
/// Years that are each given a line.
const EACH_YEAR: usize = 20;

/// Tells what waiting costs, draws it, or writes its picture.
pub fn show(context: &Context, asked: &Asked, json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let told = command::defer(context, &mut open_with_progress(context)?, asked)?;
    let word = asked.picture.as_deref().or(asked.svg.as_ref().map(|_| "waiting"));
    let (Told::One(answer), Some(word)) = (&told, word) else {
        return if json { print_json(out, &told_json(&told)) } else { self::told(&told, out) };
    };
    let picture = command::picture(answer, word)?;
    if json {
        return with_picture(told_json(&told), &picture, asked.svg.as_deref(), out);
    }
    draw(&picture, asked.svg.as_deref(), out)
}

/// What was asked as JSON, with the picture in letters, or the file that it was written to.
pub fn with_picture(mut told: Value, picture: &Picture, to: Option<&Path>, out: &mut dyn Write) -> Result<(), Failure> {
    if let Some(path) = to {
        write_new(path, &crate::chart::svg::draw(picture))?;
    }
    let letters = to.is_none().then(|| crate::chart::letters::draw(picture));
    told["picture"] =
        json!({"title": picture.title, "file": to.map(|path| path.display().to_string()), "letters": letters});
    print_json(out, &told)
}

/// A picture, to a file or in letters.
pub fn draw(picture: &Picture, to: Option<&Path>, out: &mut dyn Write) -> Result<(), Failure> {
    let Some(path) = to else {
        return write!(out, "{}", crate::chart::letters::draw(picture)).map_err(|error| written(&error));
    };
    write_new(path, &crate::chart::svg::draw(picture))?;
    line(out, format_args!("wrote {}: {}", path.display(), plain(&picture.title)))
}

pub fn told(told: &Told, out: &mut dyn Write) -> Result<(), Failure> {
    match told {
        Told::One(answer) => one(answer, out),
        Told::Many { rows, years, terms, index, currency } => {
            many(rows, *years, &means(terms, index, *currency), *currency, out)
        }
    }
}

pub fn told_json(told: &Told) -> Value {
    match told {
        Told::One(answer) => one_json(answer),
        Told::Many { rows, .. } => rows.iter().map(brief_json).collect(),
    }
}

/// An amount as it is shown: to three figures, since none of them is surer.
pub fn amount(major: f64, currency: Currency) -> String {
    let size = major.abs();
    let step = if size < 1000.0 { 1.0 } else { 10_f64.powf(size.log10().floor() - 2.0) };
    let rounded = (major / step).round() * step;
    let minor = rounded * 10_f64.powi(currency.minor_digits() as i32);
    // Beyond what money can hold the cast stays at its end.
    Money { minor: minor.round() as i64, currency }.show()
}

/// The same in whole units: what is paid from a budget is not rounded to three figures.
pub fn whole(major: f64, currency: Currency) -> String {
    let minor = major.round() * 10_f64.powi(currency.minor_digits() as i32);
    Money { minor: minor.round() as i64, currency }.show()
}

/// `20,000`
fn grouped(number: usize) -> String {
    if number < 1000 { number.to_string() } else { format!("{},{:03}", grouped(number / 1000), number % 1000) }
}

fn rate(fraction: f64) -> String {
    let text = format!("{:.2}", fraction * 100.0);
    format!("{} %", text.trim_end_matches('0').trim_end_matches('.'))
}

/// Under which rates, and in whose money.
pub fn means(terms: &Terms, index: &Index, currency: Currency) -> String {
    let newer: Vec<String> = index.newer().iter().map(|newer| format!("{}={}", newer.year, newer.figure)).collect();
    let newer = match newer.len() {
        0 => String::new(),
        1 => format!(" by your index figure {}", newer.join("")),
        _ => format!(" by your index figures {}", newer.join(", ")),
    };
    // Nothing is converted, and no index of another country is in the program.
    let whose = if currency == Currency::USD { "" } else { " by prices of the United States (CPI-U), not yours" };
    format!(
        "{} real rate · repair prices grow {} a year beyond others (assumed) · money of {}{newer}{whose}",
        rate(terms.discount()),
        rate(terms.escalation()),
        index.newest()
    )
}

pub fn index_json(index: &Index) -> Value {
    index.newer().iter().map(|newer| json!({"year": newer.year, "figure": newer.figure})).collect()
}

fn one(a: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    let case = &a.case;
    let money = |major: f64| amount(major, a.currency);
    let mut text = |text: &str, indent: &str| line(out, format_args!("{}", wrapped(text, WIDTH, indent)));
    text(&format!("{}/{}: {}, {}", plain(&a.key), a.number, a.kind, plain(&a.place)), "  ")?;
    let known = match case.stage_known {
        Some(true) => "by its last reading",
        Some(false) => "never read, so taken to be the first stage",
        None => "taken to be the first stage: no reading tells the stages of this ladder apart",
    };
    let preset =
        if case.preset == Default::default() { String::new() } else { format!(", preset `{}`", case.preset.word()) };
    let at = case.stages.first().map_or("", String::as_str);
    text(
        &format!("ladder `{}`{preset}: {} · stage `{}`, {known}", plain(&case.ladder), plain(&case.title), plain(at)),
        "  ",
    )?;
    text(&format!("{} · {} paths, seed {}", means(&a.terms, &a.index, a.currency), grouped(PATHS), a.seed), "  ")?;
    text("", "")?;
    table(a, out)?;
    line(out, format_args!(""))?;
    let mut text = |text: &str, indent: &str| line(out, format_args!("{}", wrapped(text, WIDTH, indent)));
    let [low, expected, high] = a.year;
    text(
        &format!(
            "one more year costs {} ({} with every assumption at its low end, {} at its high end)",
            if expected < 0.0 { format!("{} less", money(-expected)) } else { money(expected) },
            money(low),
            money(high)
        ),
        "  ",
    )?;
    text(&cheapest(a), "  ")?;
    text(
        "10th to 90th of 100: prices and what happens in a year are drawn; the chances themselves are taken at their likeliest, so doubt \
         about them is not in it",
        "  ",
    )?;
    let last = counted(a.waiting.years.len().saturating_sub(1) as u64, "year", "years");
    line(out, format_args!("the total of waiting {last} hangs most on (each alone from its low to its high end)"))?;
    for swing in a.swings.iter().take(5) {
        let (from, to) = (money(swing.at_low.min(swing.at_high)), money(swing.at_low.max(swing.at_high)));
        line(out, format_args!("  {:<58}  {from} to {to}", cut(&plain(&swing.says), 58)))?;
    }
    figures(a, out)
}

fn table(a: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    let most = a.waiting.years.iter().map(|wait| wait.total).fold(0.0, f64::max);
    let worse = a.case.stages.get(1).map(|_| "worse by then").unwrap_or_default();
    let head = format!(
        "  {:<9}{:>9}{:>18}{:>10}  {:<21}{:>9}     {worse}",
        "wait", "repair", "damage meanwhile", "total", "10th to 90th of 100", "median"
    );
    line(out, format_args!("{}", head.trim_end()))?;
    for (wait, spread) in a.waiting.years.iter().zip(&a.spread) {
        if wait.year > EACH_YEAR && wait.year % 10 != 0 && wait.year + 1 != a.waiting.years.len() {
            continue;
        }
        let money = |major: f64| amount(major, a.currency);
        let years = match wait.year {
            0 => "now".to_owned(),
            n => counted(n as u64, "year", "years"),
        };
        let damage = if wait.year == 0 { "–".to_owned() } else { money(wait.damage) };
        let of = |at: usize| spread.quantiles.get(at).map_or(String::new(), |(_, cost)| money(*cost));
        // Amounts with their currency behind them are wider than the column.
        let range = format!("{:<20} ", format!("{} to {}", of(0), of(2)));
        let worse = match wait.stages.first() {
            Some(held) if worse.is_empty() || wait.year == 0 || held.is_nan() => String::new(),
            Some(held) => format!("{:.0} %", (1.0 - held) * 100.0),
            None => String::new(),
        };
        let row = format!(
            "  {years:<9}{:>9}{damage:>18}{:>10}  {range:<21}{:>9}  {}  {worse:>5}",
            money(wait.repair),
            money(wait.total),
            of(1),
            bar(wait.total, most)
        );
        line(out, format_args!("{}", row.trim_end()))?;
    }
    Ok(())
}

fn bar(total: f64, most: f64) -> char {
    const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    let share = if most > 0.0 { total / most } else { 0.0 };
    BARS[((share * 7.0).round() as usize).min(7)]
}

/// The cheapest year; never of a finding that somebody licensed has to look at.
fn cheapest(a: &Answer) -> String {
    if let Some(who) = must_look(&a.called) {
        return format!(
            "no year is said to be the cheapest: {who} should look at this finding before anything is put off or done (`stemwall why {}/{}`)",
            a.key, a.number
        );
    }
    if let Some(held) = &a.called.held {
        let why = format!("`stemwall why {}/{}`", a.key, a.number);
        return format!("no year is said to be the cheapest: {} ({why})", held_by(held));
    }
    match a.waiting.cheapest_year {
        0 => "cheapest by these figures: now".to_owned(),
        1 => "cheapest by these figures: in 1 year; what is not known of it is not in them".to_owned(),
        n if n + 1 == a.waiting.years.len() => format!(
            "by these figures later is cheaper still at the end of the {n} years looked ahead; what is not known of it is not in them"
        ),
        n => format!("cheapest by these figures: in {n} years; what is not known of it is not in them"),
    }
}

/// A judgement that holds, and what to do first.
pub fn held_by(held: &Held) -> String {
    let until = held.until.map_or(String::new(), |day| format!(" until {}", date(day)));
    format!("held by a judgement of {}{until}: read it first", plain(&held.from))
}

pub fn held_json(held: &Held) -> Value {
    json!({"from": held.from, "until": held.until})
}

/// Why a kind of finding has no ladder of the program, in few words.
pub fn not_priced_why(kind: FindingKind) -> &'static str {
    match kind {
        FindingKind::Binding => "sign of something else",
        FindingKind::Electrics => "not put off at a price",
        FindingKind::Other => "nobody knows its course",
        _ => "no ladder fits it",
    }
}

fn must_look(called: &Called) -> Option<&'static str> {
    called.must_be_looked_at.then(|| called.who.map_or("a licensed professional", |who| who.words()))
}

fn figures(a: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("figures: low to high, likeliest; whose they are"))?;
    for known in &a.case.assumptions {
        let text = format!("{}: {} · {}", known.says, told_range(known, a.currency), whose(&known.source));
        line(out, format_args!("  {}", wrapped(&plain(&text), WIDTH, "    ")))?;
    }
    let water = a.case.assumptions.iter().any(|known| matches!(known.of, Of::Water(_)));
    if water {
        let of = match a.case.water_from() {
            None => "insured sudden losses, III 2018-2022, which hold no seepage (rule `water-loss`)".to_owned(),
            Some(source) => whose(source),
        };
        let text =
            format!("relative risk of water is times {} a house-year: {of}", amount(a.case.water_base(), a.currency));
        let text = plain(&text);
        line(out, format_args!("  {}", wrapped(&text, WIDTH, "    ")))?;
    }
    let (assumed, all) = a.case.assumed();
    let text = format!(
        "{assumed} of {all} figures are assumptions without a published source: no measured rate at which defects of house foundations \
         worsen was found published. `stemwall ladder show {}` shows them, `--ladder FILE` replaces them",
        a.case.ladder
    );
    line(out, format_args!("{}", wrapped(&text, WIDTH, "  ")))?;
    line(out, format_args!(""))?;
    line(out, format_args!("Stemwall compares with published tables. It does not certify, and local codes come first."))
}

fn whose(source: &Source) -> String {
    match source.standing {
        Standing::Assumed if source.says.starts_with("assumption") => "assumed, no published source".to_owned(),
        Standing::Assumed => format!("{} · assumed, no published source", source.says),
        standing => format!("{} · {}", source.says, standing.words()),
    }
}

fn told_range(known: &Assumption, currency: Currency) -> String {
    let Range { low, likely, high } = known.range;
    let say = |figure: f64| match known.of {
        Of::Repair(_) | Of::Damage(_) => amount(figure, currency),
        Of::Advance(_) => format!("{:.0} %", figure * 100.0),
        Of::Water(_) | Of::Worse(_) | Of::Multiple => figure.to_string(),
    };
    if low == high { say(likely) } else { format!("{} to {}, {}", say(low), say(high), say(likely)) }
}

fn many(rows: &[Brief], years: usize, means: &str, currency: Currency, out: &mut dyn Write) -> Result<(), Failure> {
    if rows.is_empty() {
        return line(out, format_args!("no open findings: nothing is waited with"));
    }
    line(out, format_args!("{}", wrapped(means, WIDTH, "  ")))?;
    line(out, format_args!(""))?;
    let last = format!("{years} years");
    line(
        out,
        format_args!(
            "{:<18}{:>9}{:>10}{last:>10}  {:<22}  {}",
            "finding", "now", "1 year", "a year's wait", "what it is"
        ),
    )?;
    for row in rows {
        let mark = if row.called.must_be_looked_at { " *" } else { "" };
        let subject = format!("{}/{}{mark}", plain(&row.key), row.number);
        let what = cut(&format!("{}, {}", row.kind, plain(&row.place)), 28);
        let Some((_, waiting, [low, _, high])) = &row.priced else {
            line(out, format_args!("{subject:<18}{:>29}  {:<22}  {what}", "not priced", not_priced_why(row.kind)))?;
            continue;
        };
        let of = |year: usize| waiting.years.get(year).map_or(String::new(), |w| amount(w.total, currency));
        let wait = format!("{} to {}", amount(*low, currency), amount(*high, currency));
        line(out, format_args!("{subject:<18}{:>9}{:>10}{:>10}  {wait:<22}  {what}", of(0), of(1), of(years)))?;
    }
    line(out, format_args!(""))?;
    let must = rows.iter().filter(|row| row.called.must_be_looked_at).count() as u64;
    if must > 0 {
        let (things, them) =
            (counted(must, "of these (*) goes", "of these (*) go"), if must == 1 { "it" } else { "them" });
        let text =
            format!("{things} to a licensed person first, whatever waiting with {them} costs: `stemwall status`");
        line(out, format_args!("{}", wrapped(&text, WIDTH, "  ")))?;
    }
    for row in rows {
        let Some(held) = &row.called.held else { continue };
        let text = format!("{}/{} is {}", plain(&row.key), row.number, held_by(held));
        line(out, format_args!("{}", wrapped(&text, WIDTH, "  ")))?;
    }
    line(
        out,
        format_args!(
            "all of it assumed where no source is named: `stemwall defer KEY/N` shows each figure and whose it is"
        ),
    )
}

fn one_json(a: &Answer) -> Value {
    let waits = a.waiting.years.iter().zip(&a.spread).map(|(wait, spread)| {
        let share = |at: usize| spread.quantiles.get(at).map(|(_, cost)| *cost);
        json!({
            "year": wait.year, "repair": wait.repair, "damage": wait.damage, "total": wait.total,
            "p10": share(0), "p50": share(1), "p90": share(2),
            "stages": if wait.stages.len() == a.case.stages.len() { json!(wait.stages) } else { Value::Null },
        })
    });
    let swings = a.swings.iter().map(|swing| {
        json!({"assumption": swing.says, "low": swing.range.low, "high": swing.range.high,
               "total_at_low": swing.at_low, "total_at_high": swing.at_high, "swing": swing.size()})
    });
    let must_look = must_look(&a.called);
    json!({
        "finding": format!("{}/{}", a.key, a.number), "property": a.key, "number": a.number, "kind": a.kind, "place": a.place,
        "ladder": a.case.ladder, "preset": a.case.preset.word(), "stages": a.case.stages, "stage_known": a.case.stage_known,
        "by_own_readings": a.case.measured,
        "currency": a.currency, "money_of": a.index.newest(), "index": index_json(&a.index), "discount": a.terms.discount(), "escalation": a.terms.escalation(),
        "seed": a.seed, "paths": PATHS, "shares": SHARES,
        "band": a.called.band, "must_look_first": must_look,
        "wait": waits.collect::<Vec<_>>(),
        "one_more_year": {"low": a.year[0], "expected": a.year[1], "high": a.year[2]},
        "cheapest_year": if must_look.is_none() && a.called.held.is_none() { json!(a.waiting.cheapest_year) } else { Value::Null },
        "sensitivity": swings.collect::<Vec<_>>(),
        "assumptions": a.case.assumptions.iter().map(assumption_json).collect::<Vec<_>>(),
        "water_base": a.case.water_base(),
        "rules": ["ladder", "cost-of-waiting", "spread-of-waiting", "price-range", "price-index", "water-loss"],
    })
}

fn assumption_json(known: &Assumption) -> Value {
    json!({
        "assumption": known.says, "low": known.range.low, "likely": known.range.likely, "high": known.range.high,
        "unit": match known.of {
            Of::Repair(_) => "money",
            Of::Damage(_) => "money a year",
            Of::Advance(_) => "chance a year",
            Of::Water(_) => "times the water base",
            Of::Worse(_) => "times the hazard",
            Of::Multiple => "times in ten years",
        },
        "source": known.source.says, "standing": known.source.standing,
    })
}

pub fn brief_json(row: &Brief) -> Value {
    let total = |year: usize| row.priced.as_ref().and_then(|(_, waiting, _)| Some(waiting.years.get(year)?.total));
    let year = |at: usize| row.priced.as_ref().map(|(_, _, year)| year[at]);
    json!({
        "finding": format!("{}/{}", row.key, row.number), "property": row.key, "number": row.number, "kind": row.kind,
        "place": row.place, "band": row.called.band, "must_look_first": must_look(&row.called),
        "held_by_judgement": row.called.held.as_ref().map(held_json),
        "ladder": row.priced.as_ref().map(|(case, ..)| case.ladder.clone()),
        "now": total(0), "after_1_year": total(1),
        "totals": row.priced.as_ref().map(|(_, waiting, _)| waiting.years.iter().map(|wait| wait.total).collect::<Vec<_>>()),
        "one_more_year": row.priced.as_ref().map(|_| json!({"low": year(0), "expected": year(1), "high": year(2)})),
    })
}

/// Ladders in brief, or one with every figure.
pub fn ladders(all: &[Ladder], whole: bool, out: &mut dyn Write) -> Result<(), Failure> {
    for ladder in all {
        line(out, format_args!("{}: {}", plain(&ladder.name), plain(&ladder.title)))?;
        for (at, stage) in ladder.stages.iter().enumerate() {
            let from = stage.from.map_or(String::new(), |from| format!(" (from {} mm)", from.to_mm()));
            line(out, format_args!("  {}. {}{from}", at + 1, plain(&stage.says)))?;
            if !whole {
                continue;
            }
            figure("repair", &stage.repair, out)?;
            figure("a year's damage", &stage.damage, out)?;
            stage.water.iter().try_for_each(|water| figure("relative risk of water", water, out))?;
            stage.advance.iter().try_for_each(|advance| figure("chance a year of the next stage", advance, out))?;
        }
        for (by, times) in ladder.aggravated.iter().filter(|_| whole) {
            figure(&format!("how much faster with {}", by.words()), times, out)?;
        }
    }
    Ok(())
}

fn figure(what: &str, of: &Figure, out: &mut dyn Write) -> Result<(), Failure> {
    let Range { low, likely, high } = of.range;
    let year = of.year.map_or(String::new(), |year| format!(", money of {year}"));
    let text = format!("{what}: {low} to {high}, {likely}{year} · {}", whose(&of.source));
    line(out, format_args!("     {}", wrapped(&plain(&text), WIDTH - 6, "       ")))
}

pub fn ladder_json(ladder: &Ladder) -> Value {
    let figure = |of: &Figure| {
        json!({"low": of.range.low, "likely": of.range.likely, "high": of.range.high, "money_of": of.year,
               "source": of.source.says, "standing": of.source.standing})
    };
    let stages = ladder.stages.iter().map(|stage| {
        json!({"says": stage.says, "from_mm": stage.from.map(|from| from.to_mm()), "repair": figure(&stage.repair),
               "damage_a_year": figure(&stage.damage), "water_relative_risk": stage.water.as_ref().map(figure),
               "advance_a_year": stage.advance.as_ref().map(figure)})
    });
    let worse = ladder.aggravated.iter().map(|(by, times)| json!({"by": by.word(), "times": figure(times)}));
    json!({"ladder": ladder.name, "title": ladder.title, "kind": ladder.kind, "surface": ladder.surface, "wet": ladder.wet,
           "reads": ladder.reads, "stages": stages.collect::<Vec<_>>(), "worse": worse.collect::<Vec<_>>()})
}

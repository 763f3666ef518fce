//! The check list to print: one self-contained page of HTML, by section and fixture, with room to write.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::walk::address;
use crate::command::walk::Stop;
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::trade::words::Season;

const STYLE: &str = "
body { font: 11pt/1.35 Georgia, 'Times New Roman', serif; margin: 2rem auto; max-width: 46rem; color: #111; }
h1 { font-size: 1.4rem; margin: 0 0 .2rem; } h2 { font-size: 1.1rem; margin: 1.4rem 0 .3rem; border-bottom: 1px solid #444; }
section { break-inside: avoid; margin: .7rem 0; } h3 { font-size: 1rem; margin: 0; }
p { margin: .15rem 0; } .caution { border-left: 3px solid #444; padding-left: .5rem; } .last { color: #444; }
.name { font: .8rem monospace; color: #444; } .answer { margin-top: .3rem; } .rule { border-bottom: 1px dotted #444; height: 1.3rem; }
@media print { body { margin: 0; max-width: none; } } @page { margin: 18mm; }
";

pub fn sheet(property: &Property, season: Season, stops: &[Stop], today: &str) -> String {
    let title = format!("{}, {}: {season} walk", property.key, property.name);
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                h1 { (title) }
                p { "Printed " (today) ". Walked on ______________ by ______________________________" }
                p.caution { "Do not go alone under a floor or into water, and tell somebody when you expect to be back. Local codes and "
                    "licensed practice come first; this list compares nothing and certifies nothing." }
                @for (place, here) in by_place(property, stops) {
                    h2 { (place) }
                    @for stop in here { (one(stop)) }
                }
            }
        }
    };
    page.into_string()
}

/// Stops in their order, gathered under the part of the house they belong to.
fn by_place<'a>(property: &Property, stops: &'a [Stop]) -> Vec<(String, Vec<&'a Stop>)> {
    let mut out: Vec<(String, Vec<&Stop>)> = Vec::new();
    for stop in stops {
        let place = match &stop.about {
            Subject::Property => "Outside and throughout".to_owned(),
            Subject::Named(name) => match (property.sections.get(name), property.fixtures.get(name)) {
                (Some(section), _) => format!("{name} ({})", section.foundation),
                (_, Some(fixture)) => format!("{name} ({})", fixture.kind),
                _ => name.to_string(),
            },
            // An open finding stands where it was found.
            Subject::Finding(_) => out.last().map_or_else(|| "Open findings".to_owned(), |(place, _)| place.clone()),
        };
        match out.last_mut() {
            Some((last, here)) if *last == place => here.push(stop),
            _ => out.push((place, vec![stop])),
        }
    }
    out
}

fn one(stop: &Stop) -> Markup {
    html! {
        section {
            h3 { (stop.title) " " span.name { (address(stop)) } }
            @for caution in &stop.cautions { p.caution { "Caution: " (caution) } }
            p { (stop.look) }
            p.last { "Last time: " (stop.last_time) }
            @if let Subject::Finding(_) = stop.about {
                p.answer { "Reading: ____________ to the nearest ________ with ______________ at ______________" }
            }
            p.answer { "☐ nothing seen  ☐ finding  ☐ not reached, because" }
            div.rule {} div.rule {}
        }
    }
}

//! From the loggers' records of a section to what the trade's rules compare.

use chrono::NaiveDate;

use super::kind::air_logged::{AirLogged, SurfaceBy};
use super::property::{AirLog, Property};
use super::subject::Name;
use crate::trade::Verdict;
use crate::trade::air_log::{AirLogs, Logged, verdict};
use crate::trade::words::Foundation;

/// The verdict on the air of a section; `None` where no logger was ever read there.
pub fn of_air(property: &Property, section: &Name, today: NaiveDate) -> Option<Verdict> {
    let mut newest: Vec<&AirLog> = Vec::new();
    let here = property.air_logs.iter().filter(|l| l.log.section == *section && l.log.to.date <= today);
    for log in here {
        match newest.iter_mut().find(|other| other.log.at == log.log.at) {
            Some(other) if (log.log.to, log.seq) > (other.log.to, other.seq) => *other = log,
            Some(_) => {}
            None => newest.push(log),
        }
    }
    if newest.is_empty() {
        return None;
    }
    let surfaces: Vec<Option<String>> = newest.iter().map(|log| log.log.surface.as_ref().map(in_words)).collect();
    let logs: Vec<Logged> =
        newest.iter().zip(&surfaces).map(|(log, surface)| logged(&log.log, surface.as_deref())).collect();
    let crawl_space = property.sections.get(section).is_some_and(|s| s.foundation == Foundation::CrawlSpace);
    Some(verdict(&AirLogs { logs: &logs, crawl_space }, today))
}

fn in_words(surface: &SurfaceBy) -> String {
    match surface {
        SurfaceBy::Column(name) => format!("read in column `{name}`"),
        SurfaceBy::Below(degrees) => format!("taken as {degrees} below the air"),
    }
}

fn logged<'a>(log: &'a AirLogged, surface: Option<&'a str>) -> Logged<'a> {
    let mould = log.mould_of_class();
    Logged {
        at: log.at.as_deref(),
        from: log.from.moment(),
        to: log.to.moment(),
        hours: log.hours,
        missing: log.missing,
        humidity: log.humidity(),
        worst: log.worst(),
        class: log.class,
        index: mould.map_or(0.0, |m| m.index.to_f64()),
        peak: mould.map_or(0.0, |m| m.peak.to_f64()),
        wood: log.wood(),
        surface,
        margin: log.least_margin(),
    }
}

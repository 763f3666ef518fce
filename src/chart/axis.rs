//! Steps of an axis that people can count in, and how they are written.

use chrono::{Datelike, NaiveDate};

use super::picture::{Across, day};

/// Room beyond the outermost marks, as a share of what lies between them.
const ROOM: f64 = 0.025;

/// 1, 2 or 5 times a power of ten, about `wanted` of which lie between the ends.
fn step((least, most): (f64, f64), wanted: f64) -> Option<f64> {
    let rough = Some((most - least) / wanted).filter(|rough| rough.is_finite() && *rough > 0.0)?;
    let power = 10_f64.powf(rough.log10().floor());
    Some([1.0, 2.0, 5.0, 10.0].into_iter().map(|n| n * power).find(|step| *step >= rough).unwrap_or(rough))
}

/// Ends with room for what is drawn at them: on the next step beyond, but not below nothing.
pub fn beyond((least, most): (f64, f64), wanted: f64) -> (f64, f64) {
    let Some(step) = step((least, most), wanted) else { return (least, most) };
    let room = (most - least) * ROOM;
    let foot = if least < 0.0 { ((least - room) / step).floor() * step } else { least };
    (foot, ((most + room) / step).ceil() * step)
}

/// Ends with a little room on either side.
pub fn around((least, most): (f64, f64)) -> (f64, f64) {
    let room = (most - least) * ROOM;
    (least - room, most + room)
}

/// Steps as they are counted in, about `wanted` of them, within the ends.
pub fn steps((least, most): (f64, f64), wanted: f64) -> Vec<f64> {
    let Some(step) = step((least, most), wanted) else { return vec![least] };
    let (first, last) = ((least / step).ceil() as i64, (most / step + 1e-9).floor() as i64);
    (first..=last).map(|n| n as f64 * step).collect()
}

/// The first days of years, or of quarters where there are few years, with how they are written.
pub fn days((least, most): (f64, f64)) -> Vec<(f64, String)> {
    let date = |n: f64| NaiveDate::from_num_days_from_ce_opt(n as i32);
    let (Some(first), Some(last)) = (date(least), date(most)) else { return Vec::new() };
    let years = last.year() - first.year();
    let months: &[u32] = match years {
        0..=1 => &[1, 4, 7, 10],
        2..=3 => &[1, 7],
        _ => &[1],
    };
    let every = (years / 8).max(1) as usize;
    let mut found = Vec::new();
    for year in (first.year()..=last.year()).step_by(every) {
        for month in months {
            let Some(on) = NaiveDate::from_ymd_opt(year, *month, 1) else { continue };
            if on >= first && on <= last {
                let written = if months.len() == 1 { on.format("%Y") } else { on.format("%b %Y") };
                found.push((day(on), written.to_string()));
            }
        }
    }
    found
}

/// A figure as it is written beside an axis.
pub fn written(figure: f64, money: bool) -> String {
    let size = figure.abs();
    let sign = if figure < 0.0 { "-" } else { "" };
    let unit = if money { "$" } else { "" };
    // Three figures: none of what is drawn is surer.
    let short = |n: f64| {
        let places = if n >= 100.0 { 0 } else { 2 - usize::from(n >= 10.0) };
        let text = format!("{n:.places$}");
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    };
    match size {
        s if s >= 1e6 && money => format!("{sign}{unit}{}m", short(s / 1e6)),
        s if s >= 1e3 && money => format!("{sign}{unit}{}k", short(s / 1e3)),
        s => format!("{sign}{unit}{}", short(s)),
    }
}

/// The steps of what runs across.
pub fn across(of: &Across, ends: (f64, f64)) -> Vec<(f64, String)> {
    match of {
        Across::Days => days(ends),
        Across::Number(_) => steps(ends, 8.0).into_iter().map(|n| (n, written(n, false))).collect(),
        Across::Money(_) => steps(ends, 6.0).into_iter().map(|n| (n, written(n, true))).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::{beyond, steps, written};

    #[test]
    fn steps_are_ones_twos_and_fives() {
        assert_eq!(steps((0.0, 10.0), 5.0), [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]);
        assert_eq!(steps((0.0, 730.0), 5.0), [0.0, 200.0, 400.0, 600.0]);
        assert_eq!(steps((3.0, 3.0), 5.0), [3.0]);
        assert_eq!(steps((f64::NAN, 1.0), 5.0).len(), 1);
    }

    #[test]
    fn ends_lie_on_the_next_step_beyond() {
        assert_eq!(beyond((0.0, 2.0), 5.0), (0.0, 2.5));
        assert_eq!(beyond((0.0, 9.9), 5.0), (0.0, 12.0));
        assert_eq!(beyond((-1.0, 1.0), 5.0), (-1.5, 1.5));
        assert_eq!(beyond((3.0, 3.0), 5.0), (3.0, 3.0));
    }

    #[test]
    fn figures_are_written_short() {
        assert_eq!(written(25_000.0, true), "$25k");
        assert_eq!(written(-1500.0, true), "-$1.5k");
        assert_eq!((written(6098.46, true).as_str(), written(54.55, false).as_str()), ("$6.1k", "54.5"));
        assert_eq!(written(0.25, false), "0.25");
    }
}

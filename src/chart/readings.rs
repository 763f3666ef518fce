//! Readings of one series over time: every reading a point, in the order of the days, and what happened meanwhile.
//!
//! The axis of days is civil and even; that of values starts at zero unless a value is below it, so that a small change
//! does not look like a large one. Nothing is fitted or smoothed: points are joined by straight lines.

use std::fmt::Write;

use chrono::{Datelike, NaiveDate};

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 220.0;
/// Room for the words beside and under the picture.
const LEFT: f64 = 56.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 30.0;

/// What is drawn.
pub struct Chart<'a> {
    /// What a reader who does not see it is told.
    pub title: &'a str,
    /// The unit behind the values: `mm`, `in`.
    pub unit: &'a str,
    pub points: &'a [(NaiveDate, f64)],
    /// Days on which something happened, such as a repair, with a word for it.
    pub marks: &'a [(NaiveDate, &'a str)],
}

/// The chart as one `svg` element; `None` with fewer than two days, of which nothing can be drawn.
pub fn svg(chart: &Chart) -> Option<String> {
    let first = chart.points.iter().map(|p| p.0).min()?;
    let last = chart.points.iter().map(|p| p.0).max()?;
    if first == last {
        return None;
    }
    let days = (last - first).num_days() as f64;
    let low = chart.points.iter().map(|p| p.1).fold(0.0, f64::min);
    let high = chart.points.iter().map(|p| p.1).fold(0.0, f64::max);
    let step = step(high - low);
    let (low, high) = ((low / step).floor() * step, ((high / step).ceil() * step).max(low + step));
    let x = |day: NaiveDate| LEFT + (day - first).num_days() as f64 / days * (WIDTH - LEFT - RIGHT);
    let y = |value: f64| HEIGHT - BOTTOM - (value - low) / (high - low) * (HEIGHT - TOP - BOTTOM);
    let mut out = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" font-family="sans-serif" font-size="11"><title>{}</title>"##,
        escaped(chart.title)
    );
    let mut rows = 0;
    while low + f64::from(rows) * step <= high + step / 2.0 {
        let value = low + f64::from(rows) * step;
        let at = y(value);
        line(&mut out, [LEFT, at, WIDTH - RIGHT, at], "#bbb");
        text(&mut out, LEFT - 6.0, at + 4.0, "end", &format!("{} {}", number(value, step), chart.unit));
        rows += 1;
    }
    for year in years(first, last) {
        line(&mut out, [x(year), TOP, x(year), HEIGHT - BOTTOM], "#ddd");
        text(&mut out, x(year), HEIGHT - 12.0, "middle", &year.year().to_string());
    }
    for (day, word) in chart.marks.iter().filter(|(day, _)| (first..=last).contains(day)) {
        line(&mut out, [x(*day), TOP, x(*day), HEIGHT - BOTTOM], "#7a5ea8");
        text(&mut out, x(*day) + 3.0, TOP + 9.0, "start", word);
    }
    let mut points: Vec<(NaiveDate, f64)> = chart.points.to_vec();
    points.sort_by_key(|point| point.0);
    let path: Vec<String> = points.iter().map(|(day, value)| format!("{:.1},{:.1}", x(*day), y(*value))).collect();
    let _ = write!(out, r##"<polyline points="{}" fill="none" stroke="#2f5d8a" stroke-width="1.5"/>"##, path.join(" "));
    for (day, value) in &points {
        let _ = write!(out, r##"<circle cx="{:.1}" cy="{:.1}" r="2.5" fill="#2f5d8a"/>"##, x(*day), y(*value));
    }
    out.push_str("</svg>");
    Some(out)
}

/// A step of 1, 2 or 5 times a power of ten that gives three to six rows.
fn step(range: f64) -> f64 {
    if range <= 0.0 {
        return 1.0;
    }
    let power = 10_f64.powf((range / 4.0).log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|times| times * power);
    steps.into_iter().find(|step| range / step <= 5.0).unwrap_or(10.0 * power)
}

/// The days on which years begin; of a span within a year its first and its last day.
fn years(first: NaiveDate, last: NaiveDate) -> Vec<NaiveDate> {
    let years = (first.year()..=last.year() + 1).filter_map(|year| NaiveDate::from_ymd_opt(year, 1, 1));
    let within: Vec<NaiveDate> = years.filter(|day| (first..=last).contains(day)).collect();
    let every = within.len().div_ceil(12).max(1);
    within.into_iter().step_by(every).collect()
}

fn number(value: f64, step: f64) -> String {
    let places = if step >= 1.0 { 0 } else { (-step.log10()).ceil().clamp(0.0, 6.0) as usize };
    let text = format!("{value:.places$}");
    if text.trim_start_matches(['-', '0', '.']).is_empty() { text.trim_start_matches('-').to_owned() } else { text }
}

fn line(out: &mut String, [x1, y1, x2, y2]: [f64; 4], colour: &str) {
    let _ = write!(out, r#"<line x1="{x1:.1}" y1="{y1:.1}" x2="{x2:.1}" y2="{y2:.1}" stroke="{colour}"/>"#);
}

fn text(out: &mut String, x: f64, y: f64, anchor: &str, says: &str) {
    let _ = write!(out, r##"<text x="{x:.1}" y="{y:.1}" text-anchor="{anchor}" fill="#333">{}</text>"##, escaped(says));
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::{Chart, number, step, svg};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn every_reading_is_a_point_and_words_from_outside_are_text() {
        let points = [(day("2024-03-01"), 1.0), (day("2025-03-01"), 1.5), (day("2024-09-01"), 1.2)];
        let marks = [(day("2024-12-01"), "repair")];
        let drawn = svg(&Chart { title: "<b>& \"width\"", unit: "mm", points: &points, marks: &marks }).unwrap();
        assert_eq!(drawn.matches("<circle").count(), 3);
        assert!(drawn.contains("<title>&lt;b&gt;&amp; &quot;width&quot;</title>") && drawn.contains(">repair<"));
        // Half the width between the margins lies 184 of 365 days after the first: 56 + 572 * 184 / 365.
        assert!(drawn.contains(r#"cx="344.4""#), "{drawn}");
    }

    #[test]
    fn one_day_is_no_chart() {
        let points = [(day("2024-03-01"), 1.0), (day("2024-03-01"), 1.5)];
        assert_eq!(svg(&Chart { title: "", unit: "mm", points: &points, marks: &[] }), None);
        assert_eq!(svg(&Chart { title: "", unit: "mm", points: &[], marks: &[] }), None);
    }

    #[test]
    fn rows_stand_at_round_values() {
        assert_eq!(
            [step(4.1), step(0.3), step(0.0), step(95.0)].map(|s| format!("{s:.3}")),
            ["1.000", "0.100", "1.000", "20.000"]
        );
        assert_eq!((number(0.1 + 0.2, 0.1), number(-0.0, 1.0)), ("0.3".to_owned(), "0".to_owned()));
    }
}

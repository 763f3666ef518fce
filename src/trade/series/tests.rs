//! Series: what is enough, what grows, what is fast. The dormant and the growing series are worked examples of a year with a
//! seasonal wave of 0.3 mm (13 monthly readings, mm).

use chrono::NaiveDate;

use super::{Measured, Movement, Series, Taken, movement, statistics};
use crate::quantity::Length;

pub(in crate::trade) const DORMANT: [&str; 13] =
    ["2.32", "2.23", "2.16", "2.04", "1.83", "1.74", "1.73", "1.70", "1.87", "1.99", "2.18", "2.24", "2.31"];
pub(in crate::trade) const GROWING: [&str; 13] =
    ["2.32", "2.28", "2.26", "2.19", "2.03", "1.99", "2.03", "2.05", "2.27", "2.44", "2.68", "2.79", "2.91"];

pub(in crate::trade) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// A series of millimetres read with a gauge of 0.1 mm.
pub(in crate::trade) fn read(measured: Measured, readings: &[(&str, &str)]) -> Series {
    let taken = readings.iter().map(|(on, mm)| Taken {
        on: day(on),
        value: Length::parse_signed(&format!("{mm} mm")).unwrap(),
        resolution: Some(Length::mm(1, 10)),
    });
    Series { measured, at: None, gauge: None, taken: taken.collect(), superseded: false }
}

/// Widths read on the first of each month from January 2025.
pub(in crate::trade) fn monthly(widths: &[&str]) -> Series {
    let months: Vec<String> = (0..widths.len()).map(|m| format!("{}-{:02}-01", 2025 + m / 12, m % 12 + 1)).collect();
    let readings: Vec<(&str, &str)> = months.iter().map(String::as_str).zip(widths.iter().copied()).collect();
    read(Measured::Width, &readings)
}

fn on(series: &[Series], today: &str) -> Movement {
    movement(series, Measured::Width, day("2026-04-01"), day(today))
}

fn names(fired: &[crate::trade::Fired]) -> Vec<&str> {
    fired.iter().map(|f| f.rule.name).collect()
}

#[test]
fn seven_months_of_a_dormant_crack_are_not_enough() {
    // Worked example: the first seven readings alone give -1.320 mm a year with t = -11.53, which is the season.
    let seven = on(&[monthly(&DORMANT[..7])], "2025-07-15");
    assert!(seven.moving.is_empty() && !seven.no_trend_shown);
    assert_eq!(names(&seven.quiet), ["trend-not-enough"]);
    assert_eq!(seven.enough_on, Some(day("2026-01-01")), "first reading and 365 days");
    assert!(
        seven.quiet[0].because.contains("7 readings over 181 days; enough on 1 Jan 2026"),
        "{}",
        seven.quiet[0].because
    );
}

#[test]
fn a_full_year_tells_growing_from_dormant() {
    // Worked example: the line grows 0.5974 mm a year (0.5974 - 2.201 x 0.2139 is above zero), the dormant one -0.0026.
    let growing = on(&[monthly(&GROWING)], "2026-01-15");
    assert_eq!(names(&growing.moving), ["trend-growing"]);
    assert!(
        growing.moving[0].because.starts_with("width growing 0.60 mm (0.024 in) a year"),
        "{}",
        growing.moving[0].because
    );
    let dormant = on(&[monthly(&DORMANT)], "2026-01-15");
    assert!(dormant.moving.is_empty() && dormant.no_trend_shown);
    assert_eq!(names(&dormant.quiet), ["trend-not-shown"]);
    // 365 days are under a year of 365.25, so the line decides: -0.0026 + 2.201 x 0.2139 (t for 11 degrees of freedom).
    assert!((dormant.not_ruled_out_mm.unwrap() - 0.468).abs() < 0.005, "{:?}", dormant.not_ruled_out_mm);
    // A day later the season is fitted too: 0.0011 + 2.262 x 0.0352 (9 degrees of freedom) = 0.081 mm a year; but a change
    // under twice the 0.1 mm of the gauge does not count as one, and that is 0.2 / (366 / 365.25) = 0.1996 mm a year.
    let mut with_season = monthly(&DORMANT);
    with_season.taken[12].on = day("2026-01-02");
    let with_season = on(&[with_season], "2026-01-15");
    assert!((with_season.not_ruled_out_mm.unwrap() - 0.1996).abs() < 0.0005, "{:?}", with_season.not_ruled_out_mm);
    assert_eq!(dormant.enough_on, None);
}

#[test]
fn the_quarterly_example_is_five_days_short_of_a_year() {
    let widths = ["2.00", "2.05", "2.02", "2.11", "2.12"];
    let short = ["2025-01-01", "2025-04-01", "2025-06-30", "2025-09-28", "2025-12-27"];
    let readings: Vec<_> = short.into_iter().zip(widths).collect();
    assert_eq!(names(&on(&[read(Measured::Width, &readings)], "2026-01-15").quiet), ["trend-not-enough"]);
    // Over a full year the change of 0.12 mm is under twice 0.1 mm.
    let full = ["2025-01-01", "2025-04-01", "2025-06-30", "2025-09-28", "2026-01-01"];
    let readings: Vec<_> = full.into_iter().zip(widths).collect();
    assert!(on(&[read(Measured::Width, &readings)], "2026-01-15").no_trend_shown);
}

#[test]
fn a_year_read_in_two_quarters_only_is_not_enough() {
    let dates = ["2025-01-05", "2025-01-20", "2025-07-05", "2025-07-20", "2026-01-06"];
    let readings: Vec<_> = dates.into_iter().zip(["2.0"; 5]).collect();
    let two = on(&[read(Measured::Width, &readings)], "2026-01-10");
    assert!(!two.no_trend_shown);
    assert_eq!(two.enough_on, Some(day("2026-04-01")), "the next quarter without a reading");
    let third = [readings, vec![("2026-04-01", "2.0")]].concat();
    assert!(on(&[read(Measured::Width, &third)], "2026-04-01").no_trend_shown);
}

#[test]
fn fast_change_is_more_than_one_millimetre_within_ninety_days() {
    // Design rule: more than the larger of 1 mm and 5 x the resolution, within 90 days.
    let cases = [
        ("2.0", "2025-01-01", "3.0", "2025-04-01", "0.1", false), // exactly 1 mm in exactly 90 days
        ("2.0", "2025-01-01", "3.01", "2025-04-01", "0.1", true),
        ("2.0", "2025-01-01", "3.01", "2025-04-02", "0.1", false), // 91 days
        ("2.0", "2025-01-01", "4.5", "2025-02-01", "0.5", false),  // exactly 5 x 0.5 mm
        ("2.0", "2025-01-01", "4.51", "2025-02-01", "0.5", true),
        ("3.5", "2025-01-01", "2.0", "2025-02-01", "0.1", false), // it closes
    ];
    for (first, from, last, to, resolution, fast) in cases {
        let mut series = read(Measured::Width, &[(from, first), (to, last)]);
        series.taken[1].resolution = Some(Length::parse(&format!("{resolution} mm")).unwrap());
        let moving = on(&[series], "2025-06-01").moving;
        assert_eq!(names(&moving), if fast { vec!["fast-change"] } else { vec![] }, "{first} to {last} by {to}");
    }
    let within = |to| {
        let moving = on(&[read(Measured::Width, &[("2025-01-01", "2.0"), (to, "9.0")])], "2025-06-01").moving;
        moving[0].because.to_string()
    };
    assert!(within("2025-01-01").contains(" within a day, 1 Jan 2025 to 1 Jan 2025 "), "{}", within("2025-01-01"));
    assert!(within("2025-01-02").contains(" in 1 day, 1 Jan 2025 to 2 Jan 2025 "), "{}", within("2025-01-02"));
}

#[test]
fn the_coarsest_resolution_counts_and_a_missing_one_is_said() {
    let mut series = read(Measured::Width, &[("2025-01-01", "2.0"), ("2025-02-01", "3.2")]);
    assert_eq!(on(std::slice::from_ref(&series), "2025-03-01").moving.len(), 1);
    series.taken[0].resolution = Some(Length::mm(1, 2));
    assert!((series.resolution().mm - 0.5).abs() < 1e-12);
    assert!(on(std::slice::from_ref(&series), "2025-03-01").moving.is_empty());

    let mut unread = monthly(&DORMANT);
    unread.taken[3].resolution = None;
    let unsure = on(&[unread], "2026-01-15");
    assert!(!unsure.no_trend_shown, "no trend shown is not relied on without a resolution");
    assert_eq!(unsure.not_known, ["resolution of the gauge for width (not recorded for every reading)"]);
}

#[test]
fn a_level_that_goes_down_moves() {
    let down: Vec<String> = (0..13).map(|m| format!("{}", -m)).collect();
    let down: Vec<&str> = down.iter().map(String::as_str).collect();
    let mut series = monthly(&down);
    let as_width = on(std::slice::from_ref(&series), "2026-01-15");
    assert!(as_width.moving.is_empty() && !as_width.no_trend_shown, "closing is no growth, and no rest either");
    assert_eq!(names(&as_width.quiet), ["trend-closing"]);
    let said = &as_width.quiet[0].because;
    assert!(
        said.starts_with("width closing 12") && said.ends_with("it moves, and nothing rigid is filled in"),
        "{said}"
    );
    series.measured = Measured::Level;
    let level = movement(&[series], Measured::Level, day("2026-04-01"), day("2026-01-15"));
    // 3 mm in 90 days, and 12 mm in the year.
    assert_eq!(names(&level.moving), ["fast-change", "trend-growing"]);
    assert!(level.moving[1].because.contains("going down"));
}

#[test]
fn a_superseded_series_still_tells_of_growth_but_not_of_rest() {
    let mut old = monthly(&GROWING);
    old.superseded = true;
    let new = read(Measured::Width, &[("2026-02-01", "2.9")]);
    assert_eq!(names(&on(&[old, new.clone()], "2026-02-15").moving), ["trend-growing"]);
    let mut old = monthly(&DORMANT);
    old.superseded = true;
    assert!(!on(&[old, new], "2026-02-15").no_trend_shown);
}

#[test]
fn nothing_read_is_said_and_watched() {
    let none = on(&[], "2026-01-15");
    assert_eq!(names(&none.quiet), ["trend-not-enough"]);
    assert_eq!(none.not_known, ["width (never read)"]);
    assert!(!none.no_trend_shown);
}

#[test]
fn readings_after_today_are_not_looked_at() {
    assert!(on(&[monthly(&GROWING)], "2025-07-15").moving.is_empty());
}

#[test]
fn what_the_gauge_cannot_show_is_never_said_to_be_ruled_out() {
    // Five equal widths over two years to 0.1 mm: the interval is 0 to 0, the rule counts a change from 0.2 mm on.
    let taken = ["2023-01-01", "2023-04-01", "2023-08-01", "2024-05-01", "2024-12-31"].map(|on| Taken {
        on: day(on),
        value: Length::mm(1, 1),
        resolution: Some(Length::mm(1, 10)),
    });
    let series = Series { measured: Measured::Width, at: None, gauge: None, taken: taken.to_vec(), superseded: false };
    let all = movement(&[series], Measured::Width, day("2025-03-01"), day("2025-01-01"));
    // 0.2 mm over 730 days: 0.2 / (730 / 365.25) = 0.10007 mm a year.
    assert!(all.not_ruled_out_mm.is_some_and(|mm| (mm - 0.100_07).abs() < 1e-4), "{:?}", all.not_ruled_out_mm);
}

#[test]
fn a_level_is_said_to_go_down_or_to_come_up() {
    // 2 in = 50.8 mm in 31 days, over the 1 mm of the rule either way.
    for (last, said) in [("-50.8", "level went down 50.8 mm (2.00 in) in 31 days"), ("50.8", "level came up 50.8 mm")] {
        let series = [read(Measured::Level, &[("2025-12-01", "0"), ("2026-01-01", last)])];
        let fast = movement(&series, Measured::Level, day("2026-04-01"), day("2026-01-15"));
        assert!(fast.moving[0].because.starts_with(said), "{}", fast.moving[0].because);
    }
}

#[test]
fn what_stands_beside_the_line_of_a_full_year() {
    // 2.0 mm and 0.2 mm each 73 days: 0.2 / 73 x 365.25 = 1.0007 mm a year by every pair. Of 6 rising readings S = 15,
    // var = 6 x 5 x 17 / 18, z = 14 / 5.323 = 2.630, p = 0.0085. A year after the last 3.0 mm: 4.0007 mm; 5 mm are met
    // 15 x 73 = 1095 days after the first.
    let steady = read(
        Measured::Width,
        &[
            ("2025-01-01", "2.0"),
            ("2025-03-15", "2.2"),
            ("2025-05-27", "2.4"),
            ("2025-08-08", "2.6"),
            ("2025-10-20", "2.8"),
            ("2026-01-01", "3.0"),
        ],
    );
    let shown = on(std::slice::from_ref(&steady), "2026-01-15");
    let said = "width beside the line that decides: the median slope of all pairs is 1.00 mm (0.039 in) a year (1.00 to 1.00 mm), \
                Theil and Sen; later readings tend to be larger, p 0.009, Mann and Kendall; if it went on as in this record, one \
                reading a year after the last would be 4.00 mm (0.158 in) (4.00 to 4.00 mm); 5.00 mm (0.197 in) would be met on \
                1 Jan 2028 (early 1 Jan 2028, late 1 Jan 2028)";
    assert_eq!(shown.beside.iter().map(|f| f.because.to_string()).collect::<Vec<_>>(), [said]);
    assert!(shown.beside[0].band.is_none());
    let kept = statistics(std::slice::from_ref(&steady), day("2026-01-15"));
    assert_eq!((kept.len(), kept[0].threshold_mm), (1, Some(5.0)));
    // Under a year nothing of it is said.
    assert!(on(std::slice::from_ref(&steady), "2025-12-31").beside.is_empty());
    assert!(statistics(&[steady], day("2025-12-31")).is_empty());
}

use chrono::NaiveDate;

use super::{Layer, Picture, Reading, Readings, letters, occupancy, readings, sensitivity, svg, waiting};
use crate::deferral::{Chain, Range, Spread, Swing, Terms};

/// Grey of a colour by the weights of Rec. 601: 0.299 red, 0.587 green, 0.114 blue.
#[test]
fn fills_are_told_apart_without_colour() {
    let grey = |fill: &str| {
        let part = |at: usize| f64::from(u8::from_str_radix(&fill[at..at + 2], 16).unwrap());
        0.299 * part(1) + 0.587 * part(3) + 0.114 * part(5)
    };
    let greys: Vec<f64> = svg::FILLS.iter().map(|fill| grey(fill)).collect();
    assert!(greys.windows(2).all(|two| two[0] - two[1] > 30.0) && greys[0] < 235.0 && greys[3] > 90.0, "{greys:?}");
}

fn pictures() -> Vec<Picture> {
    let start = vec![1.0, 0.0];
    let chain = Chain::advancing(vec![0.2], start, vec![400.0, 2000.0], vec![10.0, 90.0]).unwrap();
    let years = chain.waiting(&Terms::new(0.02, 0.03).unwrap(), 10).unwrap();
    let spread = (0..=10).map(|year| Spread {
        year,
        mean: 0.0,
        error: 0.0,
        quantiles: vec![(0.1, 300.0), (0.5, 700.0), (0.9, 2500.0)],
    });
    let range = Range::new(0.1, 0.2, 0.3).unwrap();
    let swing = Swing { says: "chance a year of leaving `a < b`".to_owned(), range, at_low: 700.0, at_high: 1900.0 };
    let on = |month| NaiveDate::from_ymd_opt(2025, month, 1).unwrap();
    let read = |month, value| Reading { on: on(month), value, resolution: Some(0.1) };
    let series = Readings { label: "at mark A".to_owned(), read: vec![read(1, 0.8), read(7, 1.1)] };
    vec![
        waiting("elm/1", &years, &spread.collect::<Vec<_>>()),
        occupancy("elm/1", &["narrow".to_owned(), "wide".to_owned()], &years),
        sensitivity("elm/1", 10, 1200.0, &[swing]),
        readings("width & more", "mm", &[series], Some((1.0, "category 2")), &[]),
    ]
}

#[test]
fn every_picture_is_a_document_with_a_title_a_description_and_a_role() {
    for picture in pictures() {
        let svg = svg::draw(&picture);
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"), "{svg}");
        for part in ["role=\"img\"", "<title id=", "<desc id=", "aria-labelledby"] {
            assert_eq!(svg.matches(part).count(), 1, "{part}: {svg}");
        }
        // Nothing that is typed is taken for a mark.
        assert!(!svg.contains("a < b") && !svg.contains("width & more"), "{svg}");
        assert_eq!(svg.matches("<text").count(), svg.matches("</text>").count());
        for number in ["NaN", "inf"] {
            assert!(!svg.contains(number), "{svg}");
        }
        // Every mark has its name beside it or in the legend.
        for layer in &picture.layers {
            let (Layer::Band { name, .. } | Layer::Line { name, .. } | Layer::Points { name, .. }) = layer else {
                continue;
            };
            assert!(svg.contains(&format!(">{name}</text>")), "{name}");
        }
    }
}

#[test]
fn colours_are_those_of_the_wall_and_never_green() {
    for picture in pictures() {
        let svg = svg::draw(&picture);
        for colour in svg.split('#').skip(1).filter_map(|rest| rest.get(..6)) {
            let part = |at: usize| u8::from_str_radix(&colour[at..at + 2], 16);
            let (Ok(red), Ok(green), Ok(blue)) = (part(0), part(2), part(4)) else { continue };
            assert!(green <= red.max(blue), "{colour}");
        }
    }
}

#[test]
fn the_same_stands_in_letters() {
    for picture in pictures() {
        let text = letters::draw(&picture);
        assert!(text.starts_with(&picture.title), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
    }
    let text = letters::draw(&pictures()[3]);
    // Two readings, and the level they are compared with.
    assert_eq!(text.matches('●').count(), 3, "two readings and the legend: {text}");
    assert!(text.contains("╌ category 2"), "{text}");
}

#[test]
fn nothing_to_show_is_still_a_picture() {
    let svg = svg::draw(&readings("no readings", "mm", &[], None, &[]));
    assert!(svg.contains("0 readings") && !svg.contains("NaN"), "{svg}");
    let one = Reading { on: NaiveDate::MIN, value: f64::NAN, resolution: None };
    let odd = Readings { label: "\u{202e}odd\u{7}".to_owned(), read: vec![one] };
    let svg = svg::draw(&readings("odd", "mm", &[odd], None, &[]));
    assert!(!svg.contains('\u{202e}') && !svg.contains('\u{7}'));
}

#[test]
fn what_happened_meanwhile_stands_on_its_day() {
    let on = |day| NaiveDate::from_ymd_opt(2025, 3, day).unwrap();
    let read = |day, value| Reading { on: on(day), value, resolution: None };
    let series = Readings { label: "width".to_owned(), read: vec![read(1, 1.0), read(21, 2.0)] };
    let drawn = svg::draw(&readings("width", "mm", &[series], None, &[(on(11), "repaired")]));
    // Ten of twenty days: half of what is between the margins, 66 + (720 - 66 - 20) / 2.
    assert!(drawn.contains("<path d=\"M383.0 44V"), "{drawn}");
    assert!(drawn.contains(">repaired<"), "{drawn}");
    assert!(!drawn.contains("style="), "{drawn}");
}

#[test]
fn the_outermost_readings_are_drawn_whole_and_every_word_is_inside() {
    let on = |day| NaiveDate::from_ymd_opt(2025, 1, 1).unwrap() + chrono::Days::new(day);
    let read = |day, value| Reading { on: on(day), value, resolution: None };
    let series = Readings { label: "width".to_owned(), read: vec![read(0, 1.0), read(181, 2.0)] };
    let title = "w".repeat(100);
    let drawn = svg::draw(&readings(&title, "mm", &[series], None, &[]));
    // 634 between the margins for 181 days and 4.525 on either side: 15.1 from the edge. 260 for 2.5 mm: 2 mm are 52 from the top.
    assert!(drawn.contains("<path d=\"M77.1 200.0a4 4 "), "{drawn}");
    assert!(drawn.contains("<path d=\"M680.9 96.0a4 4 "), "{drawn}");
    assert!(drawn.contains(">2.5</text>"), "the top has its height");
    // July: the last day that is named. Eight letters of 7.2 are 28.8 to either side.
    let (before, _) = drawn.split_once("\" y=\"320.0\" text-anchor=\"middle\">Jul 2025<").unwrap();
    let at: f64 = before.rsplit('"').next().unwrap().parse().unwrap();
    assert!(at + 28.8 <= 720.0, "{at}");
    // All of the title is said, and as much of it shown as there is room for.
    assert!(drawn.contains(&format!(">{title}</title>")) && drawn.contains(&format!(">{}…</text>", "w".repeat(83))));
}

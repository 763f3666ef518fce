use proptest::prelude::{ProptestConfig, any, prop, prop_assert, prop_assert_eq, proptest};

use super::super::unit::UNITS;
use super::super::{Activity, Area, Flow, Length, Measure, Pressure, Share, Span, Temperature, Volume};
use super::*;

fn kind_of(word: &str) -> QuantityKind {
    match word {
        "activity_concentration" => QuantityKind::Activity,
        "fraction" => QuantityKind::Share,
        word => QuantityKind::from_word(word).expect("a kind of the reference rows"),
    }
}

#[test]
fn reference_rows_are_met() {
    let rows: Vec<serde_json::Value> =
        serde_json::from_str(include_str!("../../tests/reference/quantity.json")).unwrap();
    assert_eq!(rows.len(), 56);
    for row in rows {
        let text = row["in"]["text"].as_str().unwrap();
        let kind = kind_of(row["in"]["kind"].as_str().unwrap());
        let given = parse_si(text, kind, false);
        match row["out"]["value"].as_f64() {
            Some(value) => {
                let given = given.unwrap_or_else(|fact| panic!("`{text}`: {fact}"));
                assert!((given - value).abs() <= 1e-12 * value.abs(), "`{text}` is {value}, not {given}");
            }
            None => {
                let fact = given.expect_err(text);
                let reason = row["out"]["reason"].as_str().unwrap();
                let named = match fact {
                    QuantityError::Empty => "empty",
                    QuantityError::NoNumber => "no_number",
                    // The reference has one word for both.
                    QuantityError::NotFinite | QuantityError::TooLarge => "not_finite",
                    QuantityError::ZeroDenominator => "zero_denominator",
                    QuantityError::NoUnit => "no_unit",
                    QuantityError::UnknownUnit { .. } => "unknown_unit",
                    QuantityError::WrongKind { .. } => "wrong_dimension",
                    QuantityError::Negative => "negative",
                    QuantityError::BelowAbsoluteZero => "below_absolute_zero",
                    QuantityError::Comma { .. } | QuantityError::Syntax => "syntax",
                };
                // A second stroke is an unknown unit to the reference, and no unit at all here.
                let expected = if text == "1/2/3 in" { "syntax" } else { reason };
                assert_eq!(named, expected, "`{text}`");
            }
        }
    }
}

#[test]
fn limits_are_met_by_what_was_typed() {
    // Each text is exactly on the limit beside it, by the definitions of the units.
    assert_eq!(Temperature::parse("40 F"), Ok(Temperature::fahrenheit(40, 1)));
    assert_eq!(Temperature::parse("40 F"), Ok(Temperature::celsius(40, 9)));
    assert_eq!(Temperature::parse("-40 F"), Temperature::parse("-40 C"));
    assert_eq!(Temperature::parse("-459.67 °F"), Temperature::parse("0 K"));
    assert_eq!(Length::parse("0.1 mm"), Ok(Length::mm(1, 10)));
    assert_eq!(Length::parse("1/4 in"), Ok(Length::inches(1, 4)));
    assert_eq!(Length::parse("12 in"), Ok(Length::feet(1, 1)));
    assert_eq!(Area::parse("2000 ft2"), Ok(Area::ft2(2000, 1)));
    assert_eq!(Area::parse("1 ft2"), Area::parse("144 in2"));
    assert_eq!(Volume::parse("1 gal"), Volume::parse("231 in3"));
    assert_eq!(Volume::parse("1 ft3"), Volume::parse("1728 in3"));
    assert_eq!(Span::parse("2 d"), Ok(Span::hours(48, 1)));
    assert_eq!(Flow::parse("60 gal/h"), Ok(Flow::gpm(1, 1)));
    assert_eq!(Activity::parse("4 pCi/L"), Ok(Activity::bq_m3(148, 1)));
    assert_eq!(Pressure::parse("1 psi"), Ok(Pressure::psi(1, 1)));
    assert_eq!(Share::parse("19 %"), Ok(Share::percent(19, 1)));

    let pair = [Activity::parse("3.8 pCi/L").unwrap(), Activity::parse("4.1 pCi/L").unwrap()];
    assert_eq!(Activity::mean(&pair), Some(Activity::pci_l(395, 100)));
    assert!(Activity::mean(&pair).unwrap() < Activity::pci_l(4, 1));
}

#[test]
fn texts_that_mean_the_same_length_are_equal() {
    let same = [
        (
            "1 1/2 in",
            &["1.5 in", "1½ in", "1 ½\"", "1-1/2 inches", "1-½ in", "1.5″", "38.1 mm", "3/2 IN", "15e-1 in"][..],
        ),
        ("2 ft 3 in", &["2' 3\"", "2'3\"", "2ft3in", "2′ 3″", "2’ 3”", "27 in", "2 feet 3 inches", "2.25 ft"]),
        ("6 ft 2 1/4 in", &["6'2 1/4\"", "6′2¼″", "74.25 in", "6ft 2-1/4in"]),
        ("1 yd 2 ft", &["5 ft", "60 in", "1.524 m"]),
        ("1 yd 1 ft 6 in", &["1.5 yd"]),
        ("300 µm", &["300 μm", "300 um", "0.3mm", "+0.3 mm", "0.30000 mm", "3/10 mm", "3⁄10 mm"]),
        ("0.4 mm", &["0.4\u{202f}mm", "\u{a0}0.4\u{a0}mm ", ".4 mm", "0.4 MM", "4e-1 mm", "0.04 cm"]),
        ("16 mil", &["16 thou", "0.016 in"]),
        ("5ft3/4in", &["5 ft 0.75 in"]),
    ];
    for (one, others) in same {
        let length = Length::parse(one).unwrap_or_else(|fact| panic!("`{one}`: {fact}"));
        for other in others {
            assert_eq!(Length::parse(other), Ok(length), "`{one}` and `{other}`");
        }
    }
    assert_eq!(Span::parse("1 h 30 min"), Ok(Span::minutes(90, 1)));
    assert_eq!(Span::parse("1h30min"), Ok(Span::minutes(90, 1)));
    for text in [
        "148 Bq/m3",
        "148 Bq/m³",
        "148 Bq/m^3",
        "148bq/M3",
        "0.148 kBq/m3",
        "4 pCi/L",
        "4000 pCi/m3",
        "0.004 nCi/L",
        "0.148 Bq/L",
    ] {
        assert_eq!(Activity::parse(text), Ok(Activity::bq_m3(148, 1)), "`{text}`");
    }
    for text in ["22.5 C", "22.5°C", "22.5 ℃", "72.5 F", "72.5℉", "295.65 K", "145/2 F"] {
        assert_eq!(Temperature::parse(text), Ok(Temperature::celsius(45, 2)), "`{text}`");
    }
    for text in ["3 m3/h", "50 L/min", "3 m³/h", "3 m^3/h", "1/1200 m3/s", "5/6 L/s"] {
        assert_eq!(Flow::parse(text), Ok(Flow::l_min(50, 1)), "`{text}`");
    }
}

#[test]
fn what_is_refused_says_which_rule_it_breaks() {
    let unknown = |unit: &str| QuantityError::UnknownUnit { unit: unit.to_owned() };
    let wrong = |unit: &str| QuantityError::WrongKind { unit: unit.to_owned(), wanted: QuantityKind::Length };
    let comma = |plain: &str| QuantityError::Comma { plain: plain.to_owned() };
    let rows = [
        ("", QuantityError::Empty),
        (" \u{a0} ", QuantityError::Empty),
        ("in", QuantityError::NoNumber),
        ("-", QuantityError::NoNumber),
        ("½", QuantityError::NoUnit),
        ("3", QuantityError::NoUnit),
        ("2 ft 3", QuantityError::Syntax),
        ("-Infinity mm", QuantityError::NotFinite),
        ("NaN", QuantityError::NotFinite),
        ("1e999999999999 mm", QuantityError::TooLarge),
        ("1e37 m", QuantityError::TooLarge),
        ("1/00 in", QuantityError::ZeroDenominator),
        ("1 1/0 in", QuantityError::ZeroDenominator),
        ("3 gpm", wrong("gpm")),
        ("2 ft3", wrong("ft3")),
        ("2 ft 3 min", wrong("min")),
        ("3 furlongs", unknown("furlongs")),
        ("3 mm^", unknown("mm^")),
        ("3 aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa", unknown("aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa")),
        ("-3 mm", QuantityError::Negative),
        ("−½ in", QuantityError::Negative),
        ("1,200 mm", comma("1200 mm")),
        ("1,200", comma("1200")),
        ("1,234,567.5 mm", comma("1234567.5 mm")),
        ("4,2 mm", comma("4.2 mm")),
        ("0,400 mm", comma("0.400 mm")),
        ("-4,25 mm", comma("-4.25 mm")),
        ("2 ft 3,5 in", comma("2 ft 3.5 in")),
        ("1.200,5 mm", QuantityError::Syntax),
        ("1,,2 mm", QuantityError::Syntax),
        ("3, mm", QuantityError::Syntax),
        ("1.5 1/2 in", QuantityError::Syntax),
        ("1/2/3 in", QuantityError::Syntax),
        ("5 ft -3 in", QuantityError::Syntax),
        ("5 ft +3 in", QuantityError::Syntax),
        ("3 in 2 ft", QuantityError::Syntax),
        ("1 yd 2 in", QuantityError::Syntax),
        ("2 ft 3 in 4 in", QuantityError::Syntax),
        ("1 m 20 cm", QuantityError::Syntax),
        ("--3 mm", QuantityError::Syntax),
        ("٣ mm", QuantityError::Syntax),
        ("5³ mm", unknown("³")),
    ];
    for (text, fact) in rows {
        assert_eq!(Length::parse(text), Err(fact), "`{text}`");
    }
    assert_eq!(Temperature::parse("-460 F"), Err(QuantityError::BelowAbsoluteZero));
    assert_eq!(Temperature::parse("-0.01 K"), Err(QuantityError::BelowAbsoluteZero));
}

#[test]
fn a_minus_counts_for_the_whole_length() {
    assert_eq!(Length::parse_signed("-2 ft 3 in"), Length::parse_signed("-27 in"));
    assert_eq!(Length::parse_signed("−1 1/2 in").map(Length::to_inches), Ok(-1.5));
    assert_eq!(parse_si("-0.5 m", QuantityKind::Length, true), Ok(-0.5));
    assert_eq!(Length::parse("-0 mm"), Ok(Length::ZERO));
}

#[test]
fn numbers_beyond_exactness_are_near_and_beyond_doubles_zero_or_refused() {
    let near = |text: &str, value: f64| {
        let given = parse_si(text, QuantityKind::Length, false).unwrap();
        assert!((given - value).abs() <= 1e-12 * value, "`{text}` is {value}, not {given}");
    };
    near("1e-30 m", 1e-30);
    near("1e-200 m", 1e-200);
    near("2.5e300 mm", 2.5e297);
    near("1e308 m", 1e308);
    near("1e-60 ft", 3.048e-61);
    near(&format!("0.1{} m", "23456789".repeat(20)), 0.123_456_789_234_567_9);
    near(&format!("0.1{} m", "0".repeat(500)), 0.1);
    near(&format!("{}1 m", "0".repeat(500)), 1.0);
    near("1/3 m", 1.0 / 3.0);
    near(&format!("1/1{} m", "0".repeat(60)), 1e-60);
    assert_eq!(parse_si("1e-400 m", QuantityKind::Length, false), Ok(0.0));
    assert_eq!(parse_si("-1e-400 m", QuantityKind::Length, false), Ok(0.0));
    assert_eq!(parse_si("1e308 yd", QuantityKind::Length, false), Ok(9.144e307));
    assert_eq!(parse_si("1e308 kBq/m3", QuantityKind::Activity, false), Err(QuantityError::TooLarge));
    assert_eq!(parse_si("1e309 µm", QuantityKind::Length, false), Err(QuantityError::TooLarge));
    assert_eq!(parse_si("18 %", QuantityKind::Share, false), Ok(0.18));
    assert_eq!(Length::parse("1e-60 mm"), Ok(Length::ZERO));
}

#[test]
fn each_symbol_is_listed_once_and_found_without_regard_to_case() {
    let symbols: Vec<(&str, &Unit)> =
        UNITS.iter().flat_map(|unit| unit.symbols.iter().map(move |symbol| (*symbol, unit))).collect();
    for (symbol, unit) in &symbols {
        let same = symbols.iter().filter(|(other, _)| other == symbol).count();
        assert_eq!(same, 1, "`{symbol}`");
        let upper = symbol.to_ascii_uppercase();
        let found = Unit::find(&upper).unwrap_or_else(|| panic!("`{upper}` fits several units"));
        assert!(std::ptr::eq(found, *unit), "`{upper}`");
        assert!(super::Symbol::plain(symbol).is_some(), "`{symbol}` is too long");
    }
}

fn parse_with<Q: Measure>(text: &str) -> Option<Q> {
    let value = Q::parse(text).ok()?;
    let stored = Q::parse_stored(text).ok()?;
    assert_eq!(value, stored);
    Some(value)
}

/// Everything that reads a text, on one text.
fn read_all(text: &str) {
    parse_with::<Length>(text);
    parse_with::<Area>(text);
    parse_with::<Volume>(text);
    parse_with::<Span>(text);
    parse_with::<Flow>(text);
    parse_with::<Activity>(text);
    parse_with::<Temperature>(text);
    parse_with::<Pressure>(text);
    parse_with::<Share>(text);
    for kind in QuantityKind::ALL {
        for signed in [false, true] {
            match parse_si(text, kind, signed) {
                Ok(si) => assert!(si.is_finite() && (signed || si >= 0.0), "`{text}` is {si}"),
                Err(fact) => assert!(!fact.how_to_write(text, kind).is_empty()),
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn no_text_makes_reading_panic(text in any::<String>()) {
        read_all(&text);
    }

    #[test]
    fn no_text_of_the_trade_makes_reading_panic(pieces in prop::collection::vec(prop::sample::select(vec![
        "0", "1", "9", "12", "000", ".", "/", "⁄", "-", "−", "+", "e", "E", "e9", "e-400", "½", "⅜", " ", "\u{a0}", "mm",
        "ft", "'", "\"", "′", "″", "in", "m3", "²", "³", "^2", "^", "h", "min", "pCi/L", "F", "°", "℃", "%", "K", "-273.15",
        ",", ",000", "99999999999999999999999999999999999999999999", "yd", "psi", "nan", "inf", "٣",
    ]), 0..9)) {
        read_all(&pieces.concat());
    }

    #[test]
    fn a_number_of_any_unit_is_the_number_times_the_unit(
        number in 0_i64..1_000_000_000,
        places in 0_u32..7,
        at in 0..UNITS.len(),
    ) {
        let unit = &UNITS[at];
        let number = Exact::new(number.into(), 10_i128.pow(places));
        for symbol in unit.symbols {
            for text in [format!("{} {symbol}", number.decimal(7)), format!("{}{symbol}", number.decimal(7))] {
                let expected = number.checked_mul(unit.factor).and_then(|scaled| scaled.checked_add(unit.offset));
                prop_assert_eq!(read(&text, unit.kind, false).ok(), expected, "`{}`", text);
            }
        }
    }

    #[test]
    fn a_number_read_in_one_unit_comes_back_in_it(number in 0.0..1e6_f64) {
        let text = |unit: &str| format!("{number} {unit}");
        let given = [
            Length::parse(&text("in")).unwrap().to_inches(),
            Length::parse(&text("ft")).unwrap().to_feet(),
            Length::parse(&text("m")).unwrap().to_m(),
            Area::parse(&text("ft2")).unwrap().to_ft2(),
            Volume::parse(&text("gal")).unwrap().to_gal(),
            Span::parse(&text("h")).unwrap().to_hours(),
            Flow::parse(&text("gpm")).unwrap().to_gpm(),
            Activity::parse(&text("pCi/L")).unwrap().to_pci_l(),
            Temperature::parse(&text("F")).unwrap().to_fahrenheit(),
            Pressure::parse(&text("psi")).unwrap().to_psi(),
        ];
        for given in given {
            prop_assert!((given - number).abs() <= 1e-15 * number, "{} for {}", given, number);
        }
    }

    #[test]
    fn sixteenths_of_an_inch_are_exact(feet in 0_i128..100, inches in 0_i128..12, sixteenths in 1_i128..16) {
        let text = format!("{feet} ft {inches} {sixteenths}/16 in");
        prop_assert_eq!(Length::parse(&text), Ok(Length::inches((feet * 12 + inches) * 16 + sixteenths, 16)));
    }
}

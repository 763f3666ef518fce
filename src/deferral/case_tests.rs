use super::case::{Case, Of, Preset, Quoted, Seen, WATER_BASE};
use super::chain::Terms;
use super::index::Index;
use super::ladder::{Aggravator, LadderError, Ladders, Standing};
use super::price::Range;
use super::spread::Simulation;
use crate::quantity::Length;
use crate::trade::words::{FindingKind, Surface, Water};

const TWO_STAGES: &str = r#"
currency = "USD"
[source]
mine = { standing = "assumed", says = "an assumption" }
[[ladder]]
name = "crack"
title = "crack"
kind = "crack"
reads = "width"
[[ladder.stage]]
says = "narrow"
repair = { range = [300, 450, 600], year = 2024, source = "mine" }
water = { range = [0, 1, 2], source = "mine" }
advance = { range = [0.05, 0.1, 0.3], source = "mine" }
[[ladder.stage]]
says = "wide"
from = "5 mm"
repair = { range = [1500, 2500, 3500], year = 2024, source = "mine" }
damage = { range = [0, 100, 200], year = 2024, source = "mine" }
[[ladder.worse]]
by = "drainage"
times = { range = [1, 2, 4], source = "mine" }
"#;

fn seen() -> Seen {
    Seen {
        kind: FindingKind::Crack,
        surface: None,
        water: None,
        sizes: vec![("width", Length::mm(2, 1))],
        growth: Vec::new(),
        quote: None,
        aggravators: Vec::new(),
    }
}

fn case(seen: &Seen, preset: Preset) -> Case {
    let ladders = Ladders::parse(TWO_STAGES).unwrap();
    Case::new(&ladders.all()[0], seen, preset, &Index::default(), 10)
}

fn range(case: &Case, of: Of) -> Range {
    case.assumptions.iter().find(|known| known.of == of).unwrap().range
}

fn terms() -> Terms {
    Terms::new(0.0, 0.0).unwrap()
}

#[test]
fn the_ladders_of_the_program_read_and_price_all_kinds_but_those_that_are_no_matter_of_price() {
    let ladders = Ladders::own();
    let without: Vec<FindingKind> =
        FindingKind::ALL.iter().copied().filter(|kind| ladders.of(*kind, None, None).is_none()).collect();
    // A sign of something else, what cannot wait, and what nobody knows.
    assert_eq!(without, [FindingKind::Binding, FindingKind::Electrics, FindingKind::Other]);
    for ladder in ladders.all() {
        let case = Case::new(ladder, &seen(), Preset::Ladder, &Index::default(), 15);
        assert!(case.waiting(&terms()).is_ok(), "{}", ladder.name);
        // Anything but an assumption says where it is from, and an assumption says that it is one.
        for known in &case.assumptions {
            assert_eq!(
                known.source.standing == Standing::Assumed,
                known.source.says.starts_with("assumption"),
                "{known:?}"
            );
        }
    }
}

#[test]
fn the_first_ladder_that_fits_counts() {
    let ladders = Ladders::own();
    let name = |surface, water| ladders.of(FindingKind::Crack, surface, water).map(|ladder| ladder.name.as_str());
    assert_eq!(name(Some(Surface::Slab), Some(Water::Running)), Some("slab-crack"));
    assert_eq!(name(Some(Surface::Wall), Some(Water::Damp)), Some("wall-crack-wet"));
    assert_eq!(name(Some(Surface::Wall), Some(Water::Dry)), Some("wall-crack"));
    assert_eq!(name(None, Some(Water::Unknown)), Some("wall-crack"));
}

#[test]
fn expectations_are_at_the_means_of_prices_and_the_likeliest_chance() {
    // PERT means 450, 2,500, damage 100, water 1 x 0.0161 x 13,954 brought from 2020 (258.811) to 2024 (313.689).
    let water = WATER_BASE * 313.689 / 258.811;
    let years = case(&seen(), Preset::Ladder).waiting(&terms()).unwrap().years;
    assert!((years[0].total - 450.0).abs() < 1e-9);
    assert!((years[1].total - (water + 0.9 * 450.0 + 0.1 * 2500.0)).abs() < 1e-9, "{:?}", years[1]);
    let two = water + 0.9 * water + 0.1 * 100.0 + 0.81 * 450.0 + 0.19 * 2500.0;
    assert!((years[2].total - two).abs() < 1e-9, "{:?}", years[2]);
}

#[test]
fn a_trend_that_meets_the_next_stage_in_three_to_five_years_moves_the_ladder_to_that() {
    // 3 mm are left; 0.6 to 1.0 mm a year are five and three years, 0.75 four.
    let growth = Range::new(0.6, 0.75, 1.0).unwrap();
    let worse = vec![Aggravator::Finding(FindingKind::Drainage)];
    let seen = Seen { growth: vec![("width", growth)], aggravators: worse, ..seen() };
    let case = case(&seen, Preset::Ladder);
    let chance = range(&case, Of::Advance(0));
    assert!((chance.low - 1.0 / 5.0).abs() < 1e-12 && (chance.high - 1.0 / 3.0).abs() < 1e-12, "{chance:?}");
    assert!((chance.likely - 1.0 / 4.0).abs() < 1e-12);
    assert!(case.measured);
    let stays = case.chain().unwrap().years_to_last()[0].unwrap();
    assert!((stays - 4.0).abs() < 1e-9, "what is measured is not made worse once more: {stays}");
    let source = &case.assumptions.iter().find(|known| known.of == Of::Advance(0)).unwrap().source;
    assert_eq!(
        (source.standing, source.says.as_str()),
        (Standing::Own, "your readings: 3.0 to 5.0 years at the growth they show")
    );
    // A quantity that the ladder does not read says nothing of it.
    let other = Seen { growth: vec![("offset", growth)], ..self::seen() };
    assert_eq!(range(&self::case(&other, Preset::Ladder), Of::Advance(0)).likely, 0.1);
}

#[test]
fn a_quotation_above_all_stages_is_no_reason_to_wait() {
    let quote = Quoted { amount: 90_000.0, year: 2024, from: "Brook".to_owned(), shared_by: 1, offer: 1 };
    let case = self::case(&Seen { quote: Some(quote), ..seen() }, Preset::Ladder);
    let year = case.year(&Terms::new(0.02, 0.03).unwrap()).unwrap();
    // A tenth moves on to 500,000; nine tenths are paid a year later at 1.02/1.03 of the price.
    assert!(year[1] > 0.09 * 400_000.0, "{year:?}");
}

#[test]
fn a_quotation_takes_the_place_of_the_price_and_no_later_stage_is_cheaper() {
    let quote = |amount, shared_by| Quoted { amount, year: 2024, from: "Brook".to_owned(), shared_by, offer: 1 };
    let case = |quote| self::case(&Seen { quote: Some(quote), ..seen() }, Preset::Ladder);
    let dear = case(quote(2000.0, 1));
    assert_eq!(range(&dear, Of::Repair(0)), Range::sure(2000.0));
    // 2,000 is 4.444 times the 450 of the ladder: 1,500, 2,500 and 3,500 become 6,667, 11,111 and 15,556.
    let later = range(&dear, Of::Repair(1));
    for (got, want) in [(later.low, 6666.667), (later.likely, 11_111.111), (later.high, 15_555.556)] {
        assert!((got - want).abs() < 0.001, "{later:?}");
    }
    let source = &dear.assumptions.iter().find(|known| known.of == Of::Repair(1)).unwrap().source;
    assert_eq!(source.standing, Standing::Assumed);
    assert!(
        source
            .says
            .starts_with("the ladder's price times 4.44, as the quotation is to the likeliest price at `narrow`")
    );
    // One that is cheaper than the ladder says nothing of what is worse.
    assert_eq!(range(&case(quote(400.0, 1)), Of::Repair(1)), Range::new(1500.0, 2500.0, 3500.0).unwrap());
    assert_eq!(range(&case(quote(2000.0, 4)), Of::Repair(0)), Range::sure(500.0));
    assert!(case(quote(2000.0, 4)).assumptions[0].source.says.contains("an even part of a price for 4 things"));
}

#[test]
fn what_makes_it_worse_multiplies_the_hazard() {
    let seen = Seen { aggravators: vec![Aggravator::Finding(FindingKind::Drainage), Aggravator::Freeze], ..seen() };
    // Twice the hazard of one in ten: 1 - 0.9^2.
    let stages = &case(&seen, Preset::Ladder).waiting(&terms()).unwrap().years[1].stages;
    assert!((stages[1] - 0.19).abs() < 1e-12, "{stages:?}");
}

#[test]
fn a_reading_tells_the_stage_and_none_is_said_to_be_none() {
    let at = |sizes| case(&Seen { sizes, ..seen() }, Preset::Ladder);
    assert_eq!(at(vec![("width", Length::mm(5, 1))]).stages, ["wide"]);
    assert_eq!(at(vec![("width", Length::mm(499, 100))]).stages, ["narrow", "wide"]);
    assert_eq!((at(vec![]).stage_known, at(vec![]).stages.len()), (Some(false), 2));
}

#[test]
fn presets_follow_their_published_steps() {
    let fives = case(&seen(), Preset::Fives);
    assert_eq!(range(&fives, Of::Repair(1)), Range::new(1500.0, 2250.0, 3000.0).unwrap());
    // 3 times in ten years, sure to be so; water as it is.
    let years = case(&seen(), Preset::TwoToFour).waiting(&terms()).unwrap().years;
    assert!((years[10].repair - 1350.0).abs() < 1e-6, "{:?}", years[10]);
    assert!((years[5].repair - 450.0 * 3.0_f64.sqrt()).abs() < 1e-6);
    let still = case(&seen(), Preset::PriceOnly).waiting(&terms()).unwrap().years;
    assert!(still.iter().all(|wait| wait.repair == 450.0));
    for preset in Preset::ALL {
        assert_eq!(Preset::from_word(preset.word()), Some(preset));
    }
}

#[test]
fn swings_are_taken_one_at_a_time_the_largest_first() {
    let case = case(&seen(), Preset::Ladder);
    let swings = case.swings(&terms(), 1).unwrap();
    // After one year, by hand: chance 0.05 to 0.3 moves 2,050 x 0.25; the narrow price 300 to 600 moves 0.9 x 300.
    let of = |says: &str| swings.iter().find(|swing| swing.says.starts_with(says)).unwrap().size();
    assert!((of("chance a year of leaving `narrow`") - 2050.0 * 0.25).abs() < 1e-9);
    assert!((of("price at `narrow`") - 270.0).abs() < 1e-9);
    assert!(swings.windows(2).all(|two| two[0].size() >= two[1].size()));
}

#[test]
fn the_simulation_agrees_with_the_expectation_under_every_preset() {
    let terms = Terms::new(0.02, 0.03).unwrap();
    for preset in Preset::ALL {
        let case = case(&seen(), preset);
        let exact = case.waiting(&terms).unwrap();
        let asked =
            Simulation { paths: 40_000, seed: 3, at: vec![0, 1, 10], quantiles: vec![0.1, 0.5, 0.9], threads: 2 };
        for found in case.spread(&terms, &asked).unwrap() {
            let total = exact.years[found.year].total;
            // Five standard errors, and 3 in 10,000 for the table that prices are drawn from.
            assert!((found.mean - total).abs() < 5.0 * found.error + 3e-4 * total, "{preset:?} {found:?} {total}");
        }
    }
}

#[test]
fn what_is_wrong_with_a_file_of_ladders_is_said() {
    let with = |from: &str, to: &str| {
        assert!(TWO_STAGES.contains(from), "{from}");
        Ladders::parse(&TWO_STAGES.replacen(from, to, 1)).unwrap_err().to_string()
    };
    for (from, to, says) in [
        ("[300, 450, 600]", "[300, 250, 600]", "ladder `crack`: `repair` of stage 1 300, 250, 600 do not go up"),
        ("[300, 450, 600]", "[300, 4500, 6000]", "ladder `crack`: stage 2 costs less than the one before it"),
        ("[0.05, 0.1, 0.3]", "[0.05, 0.1, 1.3]", "ladder `crack`: `advance` of stage 1 is outside 0 to 1"),
        ("[0.05, 0.1, 0.3]", "[-0.05, 0.1, 0.3]", "ladder `crack`: `advance` of stage 1 is outside 0 to 1"),
        ("[1, 2, 4]", "[0, 2, 4]", "ladder `crack`: `times` of `drainage` is outside 1 to 100"),
        ("from = \"5 mm\"\n", "", "ladder `crack`: stage 2 has no `from`"),
        ("from = \"5 mm\"", "from = \"5\"", "ladder `crack`: `5` is not a length"),
        ("by = \"drainage\"", "by = \"weather\"", "ladder `crack`: `weather` is nothing that makes a finding worse"),
        ("by = \"drainage\"", "by = \"crack\"", "ladders make each other worse in a circle: crack by crack"),
        ("source = \"mine\"", "source = \"yours\"", "ladder `crack`: source `yours` is not in the file"),
        ("currency = \"USD\"", "currency = \"dollars\"", "`dollars` is not a currency of three letters"),
        ("advance = { range = [0.05, 0.1, 0.3], source = \"mine\" }", "", "ladder `crack`: stage 1 has no `advance`"),
        ("reads = \"width\"", "reads = \"wdth\"", "ladder `crack`: `wdth` is no reading that tells stages"),
        ("600], year = 2024", "600]", "ladder `crack`: `repair` of stage 1 does not say of which year its money is"),
        ("200], year = 2024", "200]", "ladder `crack`: `damage` of stage 2 does not say of which year its money is"),
    ] {
        assert_eq!(with(from, to), says);
    }
    let (head, ladder) = TWO_STAGES.split_once("[[ladder]]").unwrap();
    let two = format!("{TWO_STAGES}\n[[ladder]]{ladder}");
    assert_eq!(Ladders::parse(&two), Err(LadderError::Twice("crack".to_owned())));
    let other =
        ladder.replace("name = \"crack\"", "name = \"drainage\"").replace("kind = \"crack\"", "kind = \"drainage\"");
    let circle =
        format!("{head}[[ladder]]{ladder}\n[[ladder]]{}", other.replace("by = \"drainage\"", "by = \"crack\""));
    let said = Ladders::parse(&circle).unwrap_err().to_string();
    assert_eq!(said, "ladders make each other worse in a circle: crack by drainage by crack");
    assert!(matches!(Ladders::parse("nonsense"), Err(LadderError::Toml(_))));
    let begins = TWO_STAGES.replace("says = \"narrow\"", "says = \"narrow\"\nfrom = \"6 mm\"");
    let said = Ladders::parse(&begins).unwrap_err().to_string();
    assert_eq!(said, "ladder `crack`: stage 2 begins at 5 mm, not after the one before it");
}

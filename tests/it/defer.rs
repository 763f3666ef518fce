//! What waiting costs, through the binary: figures with their sources, and nobody told to wait who must call somebody.

use serde_json::Value;

use crate::world::World;

/// A ladder of two stages whose arithmetic can be done by hand.
const PLAIN: &str = r#"
currency = "USD"
[source]
mine = { standing = "assumed", says = "assumption for a test" }
[[ladder]]
name = "plain"
title = "crack"
kind = "crack"
reads = "width"
[[ladder.stage]]
says = "narrow"
repair = { range = [400, 400, 400], year = 2024, source = "mine" }
damage = { range = [20, 20, 20], year = 2024, source = "mine" }
advance = { range = [0.1, 0.2, 0.4], source = "mine" }
[[ladder.stage]]
says = "wide"
from = "5 mm"
repair = { range = [2400, 2400, 2400], year = 2024, source = "mine" }
"#;

/// A house with a hairline in a dry wall, mild enough that nobody has to be called.
fn world() -> (World, String) {
    let world = World::with_house();
    let crack = ["finding", "open", "elm", "--kind", "crack", "--place", "south wall", "--in", "main"];
    world.run(&[&crack[..], &["--water", "dry", "--runs", "vertical", "--on", "2024-01-05"]].concat()).ok();
    let ladder = world.file("plain.toml", PLAIN);
    (world, ladder)
}

fn read(world: &World, on: &str, width: &str) {
    world.run(&["reading", "add", "elm/1", "--width", width, "--resolution", "0.1 mm", "--on", on, "--sure"]).ok();
}

fn near(value: &Value, want: f64) -> bool {
    value.as_f64().is_some_and(|got| (got - want).abs() < 1e-6)
}

#[test]
fn the_cost_of_waiting_is_that_of_the_arithmetic() {
    let (world, ladder) = world();
    let args = ["defer", "elm/1", "--ladder", &ladder, "--rate", "0%", "--escalation", "0%", "--years", "2", "--json"];
    let told = world.run(&args).json();
    let wait = &told["wait"];
    // Narrow for sure now; a fifth a year moves on. 400; 20 + 0.8 x 400 + 0.2 x 2,400; 20 + 16 + 0.64 x 400 + 0.36 x 2,400.
    for (year, total) in [(0, 400.0), (1, 20.0 + 320.0 + 480.0), (2, 36.0 + 256.0 + 864.0)] {
        assert!(near(&wait[year]["total"], total), "{year}: {wait}");
    }
    assert!(near(&told["one_more_year"]["expected"], 420.0), "{told}");
    // At the low end of the only uncertain figure a tenth moves on, at the high end two fifths.
    assert!(near(&told["one_more_year"]["low"], 20.0 + 360.0 + 240.0 - 400.0), "{told}");
    assert!(near(&told["one_more_year"]["high"], 20.0 + 240.0 + 960.0 - 400.0), "{told}");
    assert_eq!(told["cheapest_year"], 0);
    assert_eq!(told["sensitivity"][0]["assumption"], "chance a year of leaving `narrow`");
    assert_eq!(told["sensitivity"].as_array().map(Vec::len), Some(1));
    assert_eq!(told["assumptions"][0]["standing"], "assumed");
    assert_eq!((&told["stage_known"], &told["stages"][0]), (&Value::Bool(false), &"narrow".into()));
    // 20,000 paths: one year on, a fifth is wide, so nine in ten are at most there and half are narrow.
    assert!(near(&wait[1]["p50"], 420.0) && near(&wait[1]["p90"], 2420.0), "{wait}");
}

#[test]
fn a_seed_repeats_and_is_told() {
    let (world, _) = world();
    let told = |seed: &str| world.run(&["defer", "elm/1", "--seed", seed, "--json"]).json();
    assert_eq!(told("7"), told("7"));
    assert_ne!(told("7")["wait"], told("8")["wait"]);
    assert_eq!(told("7")["seed"], 7);
    assert!(world.run(&["defer", "elm/1", "--seed", "7"]).ok().contains("20,000 paths, seed 7"));
}

#[test]
fn no_year_is_the_cheapest_of_a_finding_that_somebody_licensed_must_see() {
    let (world, ladder) = world();
    // Digest 251 counts 7 mm in a block wall as category 3, which goes to an engineer.
    read(&world, "2024-02-01", "7 mm");
    let told = world.run(&["defer", "elm/1", "--ladder", &ladder, "--json"]).json();
    assert_eq!((&told["band"], &told["cheapest_year"]), (&"call".into(), &Value::Null));
    assert_eq!(told["must_look_first"], "a licensed structural engineer");
    let said = world.run(&["defer", "elm/1"]).ok();
    assert!(!said.contains("cheapest by"), "{said}");
    let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("no year is said to be the cheapest: a licensed structural engineer should look"), "{said}");
    // A judgement that holds does not make waiting a bargain either.
    let judge = ["judgement", "add", "elm/1", "--from", "O. Fenwick", "--licence", "PE 1", "--says", "watch it"];
    world.run(&[&judge[..], &["--until", "2027-01-01", "--on", "2026-02-01"]].concat()).ok();
    let told = world.run(&["defer", "elm/1", "--json"]).json();
    assert_eq!((&told["band"], &told["cheapest_year"]), (&"watch".into(), &Value::Null));
}

#[test]
fn ones_own_readings_and_quotations_take_the_place_of_the_ladders_figures() {
    let (world, ladder) = world();
    // A line of 0.75 mm a year over two years, read without noise at 3.0 mm: 2 mm are left, 8/3 years.
    for (on, width) in [
        ("2024-03-01", "1.5 mm"),
        ("2024-09-01", "1.878 mm"),
        ("2025-03-01", "2.249 mm"),
        ("2025-06-01", "2.438 mm"),
        ("2025-09-01", "2.627 mm"),
        ("2026-03-01", "3 mm"),
    ] {
        read(&world, on, width);
    }
    let told = world.run(&["defer", "elm/1", "--ladder", &ladder, "--json"]).json();
    let chance = told["assumptions"].as_array().unwrap().iter().find(|a| a["unit"] == "chance a year").unwrap();
    assert_eq!(chance["standing"], "own");
    let likely = chance["likely"].as_f64().unwrap();
    assert!((likely - 0.75 / 2.0).abs() < 0.01, "{chance}");
    assert_eq!(told["by_own_readings"], true);
    world.run(&["quote", "add", "elm/1", "--amount", "650 USD", "--from", "Brook", "--on", "2024-06-01"]).ok();
    let told = world.run(&["defer", "elm/1", "--ladder", &ladder, "--rate", "0%", "--json"]).json();
    assert!(near(&told["wait"][0]["repair"], 650.0), "{told}");
    assert_eq!(told["assumptions"][0]["source"], "quotation by Brook, 2024");
}

#[test]
fn a_quotation_of_another_year_is_brought_to_the_newest_money() {
    let (world, ladder) = world();
    // Offered in 2024; 313.689 then, 345.0579 in 2025: a tenth more.
    world.run(&["quote", "add", "elm/1", "--amount", "1000 USD", "--from", "Brook", "--on", "2024-06-01"]).ok();
    world.run(&["setting", "change", "price-index", "2025=345.0579"]).ok();
    let told = world.run(&["defer", "elm/1", "--ladder", &ladder, "--json"]).json();
    assert!(near(&told["wait"][0]["repair"], 1100.0), "{told}");
    assert_eq!(told["money_of"], 2025);
}

#[test]
fn all_open_findings_are_listed_and_what_has_no_price_is_said_to_have_none() {
    let (world, _) = world();
    world.run(&["finding", "open", "elm", "--kind", "binding", "--place", "kitchen door", "--what", "binds"]).ok();
    world.run(&["property", "add", "oak", "--name", "Oak Row"]).ok();
    let said = world.run(&["defer"]).ok();
    assert!(said.contains("elm/1") && said.contains("not priced"), "{said}");
    let rows = world.run(&["defer", "elm", "--json"]).json();
    assert_eq!(rows[1]["one_more_year"], Value::Null);
    assert!(rows[0]["one_more_year"]["expected"].is_number());
    assert!(world.run(&["defer", "oak"]).ok().starts_with("no open findings"));
}

#[test]
fn risk_sums_what_is_priced_counts_the_rest_and_says_what_is_not_known() {
    let (world, ladder) = world();
    world.run(&["finding", "open", "elm", "--kind", "binding", "--place", "kitchen door", "--what", "binds"]).ok();
    world.run(&["property", "add", "oak", "--name", "Oak Row"]).ok();
    world.run(&["property", "change", "elm", "--value", "300000 USD"]).ok();
    let plain = ["--ladder", &ladder, "--rate", "0%", "--escalation", "0%", "--json"];
    let risk = world.run(&[&["risk"][..], &plain].concat()).json();
    assert_eq!(risk[0]["property"], "elm");
    assert!(near(&risk[0]["expected_loss"], 420.0) && near(&risk[0]["findings"][0]["share"], 1.0), "{risk}");
    assert_eq!(risk[0]["not_priced"].as_array().map(Vec::len), Some(1));
    // 2 and 4 % of 300,000.
    assert_eq!(risk[0]["maintenance_a_year"], serde_json::json!([6000.0, 12000.0]));
    assert_eq!(risk[0]["spent_12_months"], Value::Null);
    // Unknown is not nothing.
    assert_eq!((&risk[1]["property"], &risk[1]["expected_loss"]), (&"oak".into(), &Value::Null));
    assert_eq!(risk[1]["not_known"], serde_json::json!(["the foundation itself (never looked at)"]));
    let said = world.run(&["risk"]).ok();
    assert!(
        said.contains("not known: no finding of it is priced")
            && said.contains("not priced, sign of something else: binding"),
        "{said}"
    );
}

/// A single short test of 5.3 pCi/L asks for another that was never made; a pump that failed has no cost of waiting here.
#[test]
fn risk_counts_tests_that_are_overdue_and_parts_that_no_ladder_prices() {
    let (world, _) = world();
    let test = ["radon", "add", "elm/main", "--device", "charcoal", "--result", "5.3 pCi/L", "--lasted", "72 h"];
    world.run(&[&test[..], &["--closed", "yes", "--started", "2025-01-05T10:00"]].concat()).ok();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--in", "main", "--pit", "18 in"]).ok();
    world.run(&["sump", "test", "elm/pump", "--failed", "does not run", "--on", "2026-02-01"]).ok();
    let risk = world.run(&["risk", "--json"]).json();
    let missing = risk[0]["not_known"].to_string();
    assert!(missing.contains("in `main`, overdue since "), "{missing}");
    assert_eq!(risk[0]["parts_not_priced"][0]["subject"], "elm/pump");
    let said = world.run(&["risk"]).ok();
    assert!(said.contains("not priced, no cost of waiting: sump-pump"), "{said}");
}

/// A climate zone gives usual days of freeze, and a wall that spalls goes on faster there.
#[test]
fn the_freeze_of_a_climate_zone_makes_it_worse_as_typed_days_do() {
    let (world, _) = world();
    world.run(&["finding", "open", "elm", "--kind", "spall", "--place", "north wall"]).ok();
    let worse = || {
        let risk = world.run(&["risk", "--json"]).json();
        let rows = risk[0]["findings"].as_array().unwrap().clone();
        rows.into_iter().find(|row| row["kind"] == "spall").unwrap()["worse_by"].clone()
    };
    assert_eq!(worse(), serde_json::json!([]));
    world.run(&["property", "change", "elm", "--climate-zone", "5A"]).ok();
    assert_eq!(worse(), serde_json::json!(["freeze and thaw"]));
}

#[test]
fn what_makes_it_worse_is_told() {
    let (world, _) = world();
    let alone = world.run(&["risk", "--json"]).json();
    world.run(&["finding", "open", "elm", "--kind", "drainage", "--place", "north eave", "--part", "gutter"]).ok();
    let both = world.run(&["risk", "--json"]).json();
    let of = |risk: &Value| {
        let rows = risk[0]["findings"].as_array().unwrap().clone();
        rows.into_iter().find(|row| row["number"] == 1).unwrap()
    };
    assert_eq!(of(&both)["worse_by"], serde_json::json!(["an open `drainage` finding"]));
    let year = |row: Value| row["one_more_year"]["expected"].as_f64().unwrap();
    assert!(year(of(&both)) > year(of(&alone)), "{both}");
}

#[test]
fn what_was_spent_is_what_repairs_cost_and_no_quotation() {
    let (world, _) = world();
    world.run(&["quote", "add", "elm/1", "--amount", "900 USD", "--from", "Brook"]).ok();
    for (on, cost) in [("2025-05-01", Some("86.50 USD")), ("2026-02-01", Some("350 USD")), ("2026-02-20", None)] {
        let repair = ["repair", "add", "elm/1", "--method", "sealing", "--on", on];
        let cost: Vec<&str> = cost.iter().flat_map(|cost| ["--cost", cost]).collect();
        let _ = world.run(&[&repair[..], &cost].concat()).ok();
    }
    let all = world.run(&["spent", "--json"]).json();
    assert_eq!((&all["total"], &all["without_cost"]), (&436.5.into(), &1.into()));
    assert_eq!(world.run(&["spent", "--year", "2025", "--json"]).json()["total"], 86.5);
    assert_eq!(all["by_property"]["elm"]["repairs"], 2);
    let said = world.run(&["spent", "--each", "property"]).ok();
    assert!(said.starts_with("elm                $436.50  2 repairs"), "{said}");
    assert!(said.contains("1 repair has no recorded cost: not known, and not counted as nothing"), "{said}");
    assert_eq!(world.run(&["spent", "--year", "2020", "--json"]).json()["total"], Value::Null);
}

#[test]
fn a_picture_is_written_once_and_shown_in_letters() {
    let (world, _) = world();
    let path = world.path("wait.svg");
    let file = path.to_str().unwrap().to_owned();
    for word in ["waiting", "stages", "sensitivity"] {
        let letters = world.run(&["defer", "elm/1", "--picture", word]).ok();
        assert!(letters.lines().count() > 5 && letters.contains("elm/1"), "{letters}");
    }
    let said = world.run(&["defer", "elm/1", "--svg", &file]).ok();
    assert_eq!(said, "wrote DIR/wait.svg: what waiting costs: elm/1\n");
    let svg = std::fs::read_to_string(&path).unwrap();
    assert!(svg.contains("role=\"img\"") && svg.contains("<desc"), "{svg}");
    let said = world.run(&["defer", "elm/1", "--svg", &file]).fails(1);
    assert!(said.starts_with("error: there is a file already at DIR/wait.svg") || said.contains("wait.svg"), "{said}");
}

#[test]
fn ladders_show_every_figure_and_whose_it_is_and_their_file_reads_back() {
    let world = World::empty();
    let toml = world.run(&["ladder", "show", "--toml"]).ok();
    let own = world.file("own.toml", &toml);
    let all = world.run(&["ladder", "show", "--ladder", &own, "--json"]).json();
    assert_eq!(all, world.run(&["ladder", "show", "--json"]).json());
    let said = world.run(&["ladder", "show", "wall-crack-wet"]).ok();
    assert!(
        said.contains("chance a year of the next stage: 0.05 to 0.3, 0.15 · assumed, no published source"),
        "{said}"
    );
    assert!(said.lines().all(|line| line.chars().count() <= 100), "{said}");
}

#[test]
fn what_cannot_be_reckoned_is_refused_with_what_to_do() {
    let (world, ladder) = world();
    world.run(&["finding", "open", "elm", "--kind", "binding", "--place", "door", "--what", "binds"]).ok();
    world.run(&["finding", "open", "elm", "--kind", "vent", "--place", "north", "--on", "2025-01-05"]).ok();
    world.run(&["finding", "close", "elm/3", "--why", "cleared"]).ok();
    let broken = world.file("broken.toml", PLAIN.replace("[2400, 2400, 2400]", "[24, 24, 24]"));
    let chance = world.file("chance.toml", PLAIN.replace("[0.1, 0.2, 0.4]", "[0.1, 0.2, 1.4]"));
    let slip = world.file("slip.toml", PLAIN.replace("reads = \"width\"", "reads = \"wdth\""));
    let undated = world.file("undated.toml", PLAIN.replace("[2400, 2400, 2400], year = 2024", "[2400, 2400, 2400]"));
    let coming =
        world.file("coming.toml", PLAIN.replace("[2400, 2400, 2400], year = 2024", "[2400, 2400, 2400], year = 2099"));
    let euros = world.file("euros.toml", PLAIN.replace("\"USD\"", "\"EUR\""));
    let circle = world.file(
        "circle.toml",
        format!("{PLAIN}[[ladder.worse]]\nby = \"crack\"\ntimes = {{ range = [1, 2, 3], source = \"mine\" }}\n"),
    );
    for (args, code, what, attempt) in [
        (
            vec!["--rate", "-100%"],
            2,
            "--rate `-100%` leaves nothing: a rate has to be above -100 %",
            "look at the decimal point; `3%` is three in a hundred a year",
        ),
        (
            vec!["--escalation", "0.02"],
            2,
            "--escalation `0.02` is not a rate in per cent",
            "write it in per cent, as in `3%` or `2.5 %`",
        ),
        (
            vec!["--rate", "300%"],
            2,
            "--rate `300%` is beyond 100 % a year",
            "look at the decimal point; `3%` is three in a hundred a year",
        ),
        (vec!["--years", "101"], 2, "101 years cannot be looked ahead", "give 1 to 100"),
        (vec!["--years", "0"], 2, "0 years cannot be looked ahead", "give 1 to 100"),
        (vec!["--preset", "sevens"], 2, "`sevens` is not a preset", "one of ladder, fives, price-only, two-to-four"),
        (vec!["--picture", "moon"], 2, "`moon` is not a picture", "one of waiting, stages, sensitivity"),
        (
            vec!["--ladder", &broken],
            1,
            "ladder `plain`: stage 2 costs less than the one before it",
            "put the stages in order, the mildest first",
        ),
        (
            vec!["--ladder", &chance],
            1,
            "ladder `plain`: `advance` of stage 1 is outside 0 to 1",
            "look at the decimal point",
        ),
        (
            vec!["--ladder", &slip],
            1,
            "ladder `plain`: `wdth` is no reading that tells stages",
            "write one of `width`, `bow`, `step`, `gap`, or leave `reads` out",
        ),
        (
            vec!["--ladder", &undated],
            1,
            "ladder `plain`: `repair` of stage 2 does not say of which year its money is",
            "add it, as in `year = 2024`, so that it can be brought to today's money",
        ),
        (
            vec!["--ladder", &coming],
            1,
            "ladder `plain`: a price is in the money of 2099, which is still to come",
            "write the year in which the price was asked",
        ),
        (
            vec!["--ladder", &euros],
            1,
            "the ladders are in EUR, the ledger in USD",
            "nothing is converted: `stemwall ladder show --toml` writes out the program's prices, of the United States in USD; give a \
             file with your own in USD in place of EUR with `--ladder FILE`",
        ),
        (
            vec!["--ladder", &circle],
            1,
            "ladders make each other worse in a circle: crack by crack",
            "leave one of them out",
        ),
    ] {
        let said = world.refused(code, &[&["defer", "elm/1"][..], &args].concat());
        assert!(said.starts_with(&format!("error: {what}\ngiven: ")), "{said}");
        assert!(said.ends_with(&format!("  try: {attempt}\n")), "{said}");
    }
    for (args, code, said) in [
        (
            &["defer", "elm/2"][..],
            1,
            "error: there is no ladder for a finding of kind `binding`\ngiven: elm/2\n  try: sign of something else: `stemwall why elm/2` says what it \
             asks; a file with a ladder for that kind can be given with --ladder\n",
        ),
        (
            &["defer", "elm/3"],
            1,
            "error: finding `elm/3` is closed\ngiven: elm/3\n  try: nothing is waited with; `stemwall finding reopen` opens it again\n",
        ),
        (
            &["defer", "elm", "--svg", "x.svg"],
            2,
            "error: a picture shows one finding\ngiven: defer elm --svg x.svg\n  try: name the finding, as in `stemwall defer \
             larkspur-14/2 --svg wait.svg`\n",
        ),
        (
            &["ladder", "show", "wall-crak"],
            1,
            "error: ladder `wall-crak` is not among them\ngiven: wall-crak\n  try: did you mean `wall-crack`? `stemwall ladder show` \
             shows all\n",
        ),
        (
            &["setting", "change", "discount-rate", "-100%"],
            2,
            "error: `-100%` is not a value of setting `discount-rate`\ngiven: -100%\n  try: a rate above \
             -100 %, to 100 %: `3 %`\n",
        ),
        (
            &["setting", "change", "price-index", "2020=300"],
            2,
            "error: `2020=300` is not a value of setting `price-index`\ngiven: 2020=300\n  try: a year after \
             2024 and its figure: `2025=321.9`, several with commas between, or `none`\n",
        ),
    ] {
        assert_eq!(world.refused(code, args), said);
    }
    assert!(world.run(&["defer", "elm/1", "--ladder", &ladder]).ok().contains("elm/1"));
}

/// The ladder of the program on the crack of a dry wall; what `status` says is what `risk` adds up.
#[test]
fn status_says_a_years_wait_as_a_range_and_that_it_is_assumed() {
    let (world, _) = world();
    let risk = world.run(&["risk", "--json"]).json();
    let status = || world.run(&["status", "--json"]).json()[0]["years_wait"].clone();
    let of = |wait: &Value| ["low", "expected", "high"].map(|end| wait[end].as_f64().unwrap_or(f64::NAN));
    let wait = status();
    assert_eq!((&wait["priced"], &wait["not_priced"], &wait["standing"]), (&1.into(), &0.into(), &"assumed".into()));
    let year = ["expected_loss_low", "expected_loss", "expected_loss_high"].map(|end| risk[0][end].as_f64().unwrap());
    assert_eq!(of(&wait), year);
    assert_eq!(status(), wait, "from what was kept");
    let said = world.run(&["status"]).ok();
    assert!(said.contains("\na year's wait, assumed: `stemwall risk` says of what"), "{said}");
    assert!(said.contains(", 0 not priced\n"), "{said}");
    // Whatever it hangs on is told anew: another finding beside it, a quotation, a setting, the day.
    world.run(&["finding", "open", "elm", "--kind", "drainage", "--place", "north eave", "--part", "gutter"]).ok();
    let more = status();
    assert_eq!(more["priced"], 2);
    assert!(of(&more)[1] > of(&wait)[1], "{more}");
    world.run(&["setting", "change", "price-growth", "9 %"]).ok();
    assert!(of(&status())[1] > of(&more)[1]);
    world.run(&["finding", "open", "elm", "--kind", "binding", "--place", "kitchen door", "--what", "binds"]).ok();
    assert_eq!(status()["not_priced"], 1);
    let world = world.on("2024-01-01");
    let none = world.run(&["status", "--json"]).json()[0]["years_wait"].clone();
    assert_eq!((&none["priced"], &none["low"]), (&0.into(), &Value::Null), "unknown is not nothing");
}

#[test]
fn status_without_anything_priced_says_nothing_of_a_wait() {
    let world = World::with_house();
    assert!(!world.run(&["status"]).ok().contains("a year's wait"));
    assert_eq!(world.run(&["property", "list", "--json"]).json()[0]["years_wait"], Value::Null);
}

/// 1,200 asked in 2025 and shown in the money of 2026: by 320 and 330 that is 1,200 x 330 / 320 = 1,237.50; what is typed wins.
#[test]
fn newer_figures_of_the_index_are_set_or_typed_for_several_years_and_are_said() {
    let (world, _) = world();
    let year = PLAIN.replace("[400, 400, 400], year = 2024", "[1200, 1200, 1200], year = 2025");
    let ladder = world.file("of-2025.toml", year);
    let now = |more: &[&str]| {
        let told = world.run(&[&["defer", "elm/1", "--ladder", &ladder, "--json"], more].concat()).json();
        (told["wait"][0]["total"].as_f64().unwrap(), told["money_of"].clone(), told["index"].clone())
    };
    assert_eq!(now(&[]).0, 1200.0);
    world.run(&["setting", "change", "price-index", "2026=330, 2025=320"]).ok();
    let (total, money_of, index) = now(&[]);
    assert!((total - 1237.5).abs() < 1e-9 && money_of == 2026, "{total}");
    assert_eq!(index, serde_json::json!([{"year": 2025, "figure": 320.0}, {"year": 2026, "figure": 330.0}]));
    let (total, ..) = now(&["--index", "2025=300"]);
    assert!((total - 1200.0 * 330.0 / 300.0).abs() < 1e-9, "{total}");
    let (total, money_of, _) = now(&["--index", "2027=352", "--index", "2025=320"]);
    assert!((total - 1200.0 * 352.0 / 320.0).abs() < 1e-9 && money_of == 2027, "{total}");
    for command in [&["defer", "elm"][..], &["risk"], &["plan", "--budget", "6000"]] {
        let said = world.run(&[command, &["--ladder", &ladder]].concat()).ok();
        let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("money of 2026 by your index figures 2025=320, 2026=330"), "{said}");
    }
    assert_eq!(world.run(&["risk", "--json"]).json()[0]["money_of"], 2026);
}

#[test]
fn a_picture_asked_for_as_json_is_told_as_json() {
    let (world, ladder) = world();
    let told = world.run(&["defer", "elm/1", "--ladder", &ladder, "--picture", "stages", "--json"]).json();
    assert!(told["picture"]["letters"].as_str().is_some_and(|letters| letters.contains("narrow")), "{told}");
    assert_eq!((&told["finding"], &told["picture"]["file"]), (&"elm/1".into(), &Value::Null));
    let path = world.path("wait.svg");
    let file = path.to_str().unwrap();
    let told = world.run(&["defer", "elm/1", "--ladder", &ladder, "--svg", file, "--json"]).json();
    assert_eq!((&told["picture"]["file"], &told["picture"]["letters"]), (&"DIR/wait.svg".into(), &Value::Null));
    assert!(std::fs::read_to_string(&path).unwrap().contains("<svg"));
    let told = world.run(&["plan", "--budget", "6000", "--ladder", &ladder, "--picture", "--json"]).json();
    assert!(told["picture"]["letters"].as_str().is_some_and(|letters| letters.contains("elm/1")), "{told}");
    assert_eq!(told["plans"][0]["items"][0]["subject"], "elm/1");
}

/// 2 times 300 a year of one's own, mended now or in a year at 0 %: a year's wait costs 600.
#[test]
fn a_ledger_in_another_currency_goes_by_its_own_ladders_alone() {
    let (world, _) = world();
    world.run(&["setting", "change", "currency", "EUR"]).ok();
    let said = world.run(&["status"]).ok();
    assert!(
        said.contains("a year's wait is in no figure: the program's prices are of the United States, in USD"),
        "{said}"
    );
    let refused = "error: the ladders are in USD, the ledger in EUR\n";
    for command in [&["defer"][..], &["risk"], &["plan", "--budget", "6000"]] {
        assert!(world.refused(1, command).starts_with(refused), "{command:?}");
    }
    let wet = PLAIN
        .replace("\"USD\"", "\"EUR\"")
        .replace("damage = { range = [20, 20, 20], year = 2024", "water = { range = [2, 2, 2]")
        .replace("advance = { range = [0.1, 0.2, 0.4]", "advance = { range = [0, 0, 0]");
    let without = world.file("wet.toml", &wet);
    assert_eq!(
        world.refused(1, &["defer", "--ladder", &without]),
        "error: ladder `plain`: its relative risks of water are times a loss a year that is published in USD, not in EUR\n\
         given: defer --ladder DIR/wet.toml\n  try: add on top what water costs a house in a year, as in \
         `water-loss = { range = [100, 200, 400], year = 2024, source = \"own\" }` in EUR, or leave the `water` figures out\n"
    );
    let own = "\nwater-loss = { range = [300, 300, 300], year = 2024, source = \"mine\" }\n[source]";
    let with = world.file("own.toml", wet.replace("\n[source]", own));
    let args = ["defer", "elm/1", "--ladder", &with, "--rate", "0%", "--escalation", "0%", "--json"];
    assert!(near(&world.run(&args).json()["one_more_year"]["expected"], 600.0));
    let said = world.run(&["defer", "elm/1", "--ladder", &with]).ok();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("money of 2024 by prices of the United States (CPI-U), not yours"), "{said}");
    assert!(said.contains("is times 300 EUR a house-year: assumed, no published source"), "{said}");
    assert!(said.contains("2,150 EUR to 2,150 EUR 2,150 EUR"), "columns keep apart: {said}");
}

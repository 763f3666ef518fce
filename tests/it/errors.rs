//! Every refusal says what, which input, what to do; the texts are pinned here, and nothing is ever written.
//!
//! Each text was written down as it should be read by the person who typed the line above it.

use crate::world::{World, dated};

mod opening;

/// A line as typed, the exit code, and what is said.
struct Row(&'static str, i32, &'static str);

#[rustfmt::skip]
const ROWS: &[Row] = &[
    Row("property show ell", 1, "error: property `ell` is not in this ledger
given: ell
  try: did you mean `elm`? `stemwall property list` shows all 2"),
    Row("why elm/9x", 2, "error: `9x` is not a name: lower-case letters, digits and hyphens, a letter first, at most 48
given: why elm/9x
  try: write it as in `larkspur-14` or `main`"),
    Row("why elm#2", 2, "error: `elm#2` is not a property or something of it
given: elm#2
  try: a house is `larkspur-14`, something of it `larkspur-14/main` or `larkspur-14/2`, an entry `larkspur-14#12`"),
    Row("entry show elm#99", 1, "error: entry `elm#99` is not in this ledger
given: elm#99
  try: the property has 7 entries; `stemwall history` shows them"),
    Row("finding open elm --kind crak --place wall", 2, "error: `crak` is not a kind of finding
given: --kind crak
  try: did you mean `crack`? one of crack, bow, settlement, binding, bearing, spall, bolt, damp, efflorescence, rot, insects, mould, grade, drainage, walkway, tree, vent, clearance, electrics, other"),
    Row("finding open elm --kind crack", 2, "error: --place is missing
given: finding open elm --kind crack
  try: add --place"),
    Row("finding open elm --kind damp --place corner --runs vertical", 2, "error: a finding of kind `damp` has no `--runs`
given: finding open elm --kind damp --place corner --runs vertical
  try: `damp` is asked --water, --since-rain, --near-plumbing, --source-known, --bears-load, --wall"),
    Row("finding open elm --kind crack --place wall --in cellar", 1, "error: there is no section `cellar` at this property
given: cellar
  try: `stemwall section add KEY/NAME --foundation KIND` adds one"),
    Row("finding open elm --kind crack --place wall --water wet --retains maybe", 2, "error: `wet` is not a degree of wetness
given: --water wet
  try: one of dry, damp, seeping, running, unknown
error: `maybe` is not an answer
given: --retains maybe
  try: one of yes, no, unknown"),
    Row("finding open elm --kind crack --place wall --runs diaganal", 2, "error: `diaganal` is not a direction
given: --runs diaganal
  try: did you mean `diagonal`? one of vertical, horizontal, diagonal, stepped, unknown"),
    Row("radon add elm/main --device charcoal --result \"5 pCi/L\" --started 2025-01-12 --lasted 48", 2, "error: `--lasted` is not a length of time
given: --lasted \"48\"
  try: the unit is missing; add a unit: `48 h` or `48 min`"),
    Row("radon add elm/main --device charcoal --result 5 --started 2025-01-12", 2, "error: `--result` is not a radon concentration
given: --result \"5\"
  try: the unit is missing; add a unit: `5 pCi/L` or `5 Bq/m3`"),
    Row("quote add elm/1 --amount €50 --from A", 2, "error: `--amount` is not an amount of money
given: --amount \"€50\"
  try: the amount is in EUR, not in USD; write it like `1450.50 USD`"),
    Row("finding open elm --kind crack --place wall --on 2026-02-30", 2, "error: `2026-02-30` is not in the calendar
given: finding open elm --kind crack --place wall --on 2026-02-30
  try: look at the day and the month"),
    Row("finding open elm --kind crack --place wall --on 1/2/2026", 2, "error: `1/2/2026` is not a date
given: finding open elm --kind crack --place wall --on 1/2/2026
  try: write year, month and day: `2026-03-01`, or with the time `2026-03-01T10:00`"),
    Row("finding open elm --kind crack --place wall --on DAY+2", 1, "error: DAY+2 is in the future
given: DAY+2
  try: give a day up to DAY"),
    Row("finding open elm --kind crack --place wall --on 1949-05-01", 1, "error: 1949-05-01 is before the house was built (1950)
given: 1949-05-01
  try: give a later day, or change the year: `stemwall property change KEY --built YEAR`"),
    Row("property change elm --built 2025", 1, "error: the house has entries from 2024-01-05, before it would have been built (2025)
given: property change elm --built 2025
  try: give the year it was built, or correct the entry that is dated wrongly"),
    Row("reading add elm/1 --width \"0.000001 mm\" --sure", 1, "error: --width `0.000001 mm` is smaller than anything that is measured on a house (less than 0.001 mm)
given: --width \"0.000001 mm\"
  try: look at the unit and the decimal point"),
    Row("judgement add elm/1 --from A --licence B --says watch --until 2025-01-01", 1, "error: it would hold until 2025-01-01, before the day it was given (2026-03-01)
given: --until 2025-01-01
  try: look at --until; --on says when it was given"),
    Row("find \"\"", 2, "error: the text to find is empty
given: find \"\"
  try: give the text to find some words"),
    Row("correct elm#4 --width \"0.9 mm\" --offset \"1 mm\" --why misread", 2, "error: a correction holds one reading
given: correct elm#4 --width \"0.9 mm\" --offset \"1 mm\" --why misread
  try: give the quantity that was wrong; `stemwall reading add` records the others"),
    Row("correct elm#4 --colour red --why misread", 2, "error: `--colour` is not known here
given: correct elm#4 --colour red --why misread
  try: `--help` shows what can be typed here"),
    Row("reading add elm/1", 2, "error: no reading is given
given: reading add elm/1
  try: give one of --width, --offset, --length, --water"),
    Row("reading add elm/1 --width nan", 2, r#"error: `--width` is not a length
given: --width "nan"
  try: the number is not finite; write a number and its unit, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`"#),
    Row(r#"reading add elm/1 --width "-1 mm""#, 2, r#"error: `--width` is not a length
given: --width "-1 mm"
  try: the quantity is negative; write a length without a minus sign, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`"#),
    Row(r#"reading add elm/1 --width "3""#, 2, r#"error: `--width` is not a length
given: --width "3"
  try: the unit is missing; add a unit: `3 mm` or `3 in`"#),
    Row(r#"reading add elm/1 --width "3 gpm""#, 2, r#"error: `--width` is not a length
given: --width "3 gpm"
  try: `gpm` is not a unit of length; write a length with one of µm, mil, mm, cm, in, ft, yd, m, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`"#),
    Row(r#"reading add elm/1 --width "1,5 mm""#, 2, r#"error: `--width` is not a length
given: --width "1,5 mm"
  try: there is a comma in the number; write `1.5 mm`"#),
    Row(r#"reading add elm/1 --width "3 furlong""#, 2, r#"error: `--width` is not a length
given: --width "3 furlong"
  try: `furlong` is not a known unit; write a length with one of µm, mil, mm, cm, in, ft, yd, m, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`"#),
    Row(r#"reading add elm/1 --width "2 km""#, 2, r#"error: `--width` is not a length
given: --width "2 km"
  try: `km` is not a known unit; write a length with one of µm, mil, mm, cm, in, ft, yd, m, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`"#),
    Row(r#"reading add elm/1 --width "8 mm""#, 1, "error: `8 mm` is 10 times the last reading, `0.8 mm`
given: 8 mm
  try: look at the unit and the decimal point; if it is right, add `--sure`"),
    Row(r#"reading add elm/1 --width "9 mm" --on 2023-12-31"#, 1, "error: 2023-12-31 is before finding 1 was opened (2024-01-05)
given: 2023-12-31
  try: give a later day, or correct the day it was opened: `stemwall correct ENTRY --on DATE --why TEXT`
error: `9 mm` is 11 times the last reading, `0.8 mm`
given: 9 mm
  try: look at the unit and the decimal point; if it is right, add `--sure`"),
    Row(r#"reading add elm/1 --moisture "18 %""#, 2, r#"error: a finding of kind `crack` has no reading of `moisture`
given: reading add elm/1 --moisture "18 %"
  try: it is read by --width, --offset, --length, --water"#),
    Row(r#"reading add elm/2 --width "0.9 mm" --on 2025-06-02"#, 1, r#"error: finding 2 was closed on 2025-06-01
given: reading add elm/2 --width "0.9 mm" --on 2025-06-02
  try: give a day before that with --on, or `stemwall finding reopen` it"#),
    Row(r#"reading add elm/main --width "1 mm""#, 2, "error: `elm/main` is not a finding, such as `larkspur-14/2`
given: elm/main
  try: a house is `larkspur-14`, something of it `larkspur-14/main` or `larkspur-14/2`, an entry `larkspur-14#12`"),
    Row(r#"reading add elm/1 --widht "1 mm""#, 2, r#"error: `--widht` is not known here
given: reading add elm/1 --widht "1 mm"
  try: did you mean `--width`? `--help` shows what can be typed here"#),
    Row("reading add elm/1 --width", 2, "error: --width <LENGTH> needs a value
given: reading add elm/1 --width
  try: `--help` shows what can be typed here"),
    Row("property add elm --name Again", 1, "error: property `elm` exists already
given: elm
  try: take another key, or `stemwall property change` the one there is"),
    Row(r#"property add "Elm Street" --name Again"#, 2, r#"error: `Elm Street` is not a name: lower-case letters, digits and hyphens, a letter first, at most 48
given: property add "Elm Street" --name Again
  try: write `elm-street`"#),
    Row("property add oak", 2, "error: --name is missing
given: property add oak
  try: add --name"),
    Row(r#"property add oak --name Oak --zone Mars/Base --built 1200 --last-freeze 02-30 --value "1,000""#, 2, r#"error: `--value` is not an amount of money
given: --value "1,000"
  try: there is a comma in the amount; write `1000 USD`
error: `Mars/Base` is not a time zone
given: --zone Mars/Base
  try: write it as in `America/Chicago` or `Europe/London`
error: the year 1200 is outside 1600 to 2026
given: --built 1200
  try: give the year it was built in four digits
error: `02-30` is not a day of the year
given: --last-freeze 02-30
  try: write month and day as in `04-25`"#),
    Row(r#"property add oak --name Oak --value "1000 EUR""#, 2, r#"error: `--value` is not an amount of money
given: --value "1000 EUR"
  try: the amount is in EUR, not in USD; write it like `1450.50 USD`"#),
    Row("property show ELM", 1, "error: property `ELM` is not in this ledger
given: ELM
  try: did you mean `elm`? `stemwall property list` shows all 2"),
    Row("section add elm/main --foundation slab", 1, "error: `main` is already the name of a section here
given: main
  try: take another name: sections and fixtures of a house share them"),
    Row("section add elm/pump --foundation slab", 1, "error: `pump` is already the name of a fixture here
given: pump
  try: take another name: sections and fixtures of a house share them"),
    Row(r#"section add elm/new --foundation cellar --area "0 ft2""#, 2, "error: `cellar` is not a kind of foundation
given: --foundation cellar
  try: one of slab, crawl-space, basement, pier, unknown"),
    Row("fixture add elm/pump2 --kind pump", 2, "error: `pump` is not a kind of fixture
given: --kind pump
  try: one of sump-pump, backup-pump, check-valve, radon-system, dehumidifier, gutter, downspout, drain, tree, walkway, vent, water-heater, other"),
    Row("fixture replace elm/main", 1, "error: there is no fixture `main` at this property
given: main
  try: `stemwall fixture add KEY/NAME --kind KIND` adds one"),
    Row("radon add elm/main", 2, "error: --device is missing
given: radon add elm/main
  try: add --device
error: --result is missing
given: radon add elm/main
  try: add --result
error: --started is missing
given: radon add elm/main
  try: add --started"),
    Row(r#"radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12T10:00 --ended 2025-01-10T10:00"#, 1, r#"error: the test ended before it started
given: --started 2025-01-12T10:00 --ended 2025-01-10T10:00
  try: swap the two, or give `--lasted "48 h"` in place of `--ended`"#),
    Row(r#"radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12T10:00 --ended 2025-01-12T10:00"#, 1, r#"error: the test lasted no time at all
given: --started 2025-01-12T10:00
  try: give the time of day of both, or `--lasted "48 h"`"#),
    Row(r#"radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12T10:00 --ended 2025-01-14T10:00 --lasted "48 h""#, 2, r#"error: give either when the test ended or how long it lasted
given: radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12T10:00 --ended 2025-01-14T10:00 --lasted "48 h"
  try: leave one of the two out"#),
    Row(r#"radon add elm/main --device canister --result "5 ppm" --started 2025-13-12"#, 2, r#"error: `--result` is not a radon concentration
given: --result "5 ppm"
  try: `ppm` is not a known unit; write an activity with one of pCi/m3, Bq/m3, pCi/L, Bq/L, kBq/m3, nCi/L, such as `4.2 pCi/L`, `155 Bq/m3`
error: `canister` is not a device
given: --device canister
  try: one of charcoal, alpha-track, electret, monitor, other
error: `2025-13-12` is not in the calendar
given: --started 2025-13-12
  try: look at the day and the month"#),
    Row(r#"radon add elm/1 --device charcoal --result "5 pCi/L" --started 2025-01-12 --lasted "48 h""#, 2, "error: `elm/1` is not a section, such as `larkspur-14/main`
given: elm/1
  try: a house is `larkspur-14`, something of it `larkspur-14/main` or `larkspur-14/2`, an entry `larkspur-14#12`"),
    Row(r#"radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12 --lasted "48 h" --beside elm#3"#, 1, r#"error: entry 3 is not a radon test
given: radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12 --lasted "48 h" --beside elm#3
  try: `--beside` takes the entry of the other test of the pair"#),
    Row("judgement add elm/1", 2, "error: --from is missing
given: judgement add elm/1
  try: add --from
error: --licence is missing
given: judgement add elm/1
  try: add --licence
error: --says is missing
given: judgement add elm/1
  try: add --says"),
    Row("judgement add elm/1 oak/1 --from A --licence B --says C", 1, "error: property `oak` is not in this ledger
given: oak
  try: did you mean `oak2`? `stemwall property list` shows all 2"),
    Row(r#"quote add elm/1 --amount "1450" --from A"#, 2, r#"error: `--amount` is not an amount of money
given: --amount "1450"
  try: the currency is missing; add the currency: `1450 USD`"#),
    Row("event add elm --kind tornado", 2, "error: `tornado` is not a kind of event
given: --kind tornado
  try: one of storm, flood, earthquake, freeze, works, sale, heating"),
    Row("event add --all", 2, "error: --kind is missing
given: event add --all
  try: add --kind"),
    Row(r#"correct elm#3 --place "north wall""#, 2, r#"error: --why is missing
given: correct elm#3 --place "north wall"
  try: write it as in `stemwall correct larkspur-14#12 --width "0.9 mm" --why misread`"#),
    Row(r#"correct elm#3 --place "south wall" --why same"#, 1, r#"error: nothing would change
given: correct elm#3 --place "south wall" --why same
  try: say what is different"#),
    Row(r#"correct elm#5 --widht "1 mm" --why x"#, 2, r#"error: `--widht` is not known here
given: correct elm#5 --widht "1 mm" --why x
  try: `--help` shows what can be typed here"#),
    Row(r#"correct elm#3 --on 2025-01-01 --why "opened later""#, 1, r#"error: elm#4 hangs on it: there is no finding 1 at this property on 2024-02-01
given: correct elm#3 --on 2025-01-01 --why "opened later"
  try: correct or strike first elm#4"#),
    Row("strike elm#3 --why wrong", 1, "error: elm#4 hangs on it: there is no finding 1 at this property on 2024-02-01
given: strike elm#3 --why wrong
  try: correct or strike first elm#4"),
    Row("strike elm#1 --why wrong", 1, "error: entry 1 is of kind `property-added`, which cannot be struck
given: strike elm#1 --why wrong
  try: record what is right in an entry of its own; `stemwall property archive` puts a house away"),
    Row("strike elm#3", 2, "error: --why <TEXT> is missing
given: strike elm#3
  try: `--help` shows what can be typed here"),
    Row("attach elm/1 none.pdf", 1, "error: the file `none.pdf` cannot be read: there is no such file
given: none.pdf
  try: look at the path"),
    Row(r#"note add elm """#, 2, r#"error: the note is empty
given: note add elm ""
  try: give the note some words"#),
    Row("note add elm/1 x --photo none.png", 1, "error: the file `none.png` cannot be read: there is no such file
given: none.png
  try: look at the path"),
    Row("finding reopen elm/1 --why again", 1, "error: finding 1 is open
given: finding reopen elm/1 --why again
  try: nothing needs to be done"),
    Row("setting change colour blue", 2, "error: there is no setting `colour`
given: colour
  try: one of units, currency, rounds, basement-looks, crawl-space-looks, pump-tests, discount-rate, price-growth, price-index, radon-retest-years, radon-at-once, radon-pair, radon-monitor, radon-sale, pencil-fits, discharge-distance, vent-area, epoxy-ports, epoxy-surface, efflorescence, sump-pump-life"),
    Row("setting change radon-retest-years 3", 2, "error: `3` is not a value of setting `radon-retest-years`
given: 3
  try: `2` or `5`"),
    Row("setting change radon-at-once 9", 2, "error: `9` is not a value of setting `radon-at-once`
given: 9
  try: `8` or `10`"),
    Row("setting change discharge-distance germany", 2, "error: `germany` is not a value of setting `discharge-distance`
given: germany
  try: `irc`, `nebraska` or `press-guide`"),
    Row("finding open elm --kind crack --place wall --pattern zigzag", 2, "error: `zigzag` is not a pattern of cracks
given: --pattern zigzag
  try: one of pair, middle-and-ends, domed-floor, mid-height-and-corners, stepped-wider-above, stepped-wider-below, middle-third, opening-corner, pier, unknown"),
    Row("section change elm/main --retarder maybe", 2, "error: `maybe` is not an answer
given: --retarder maybe
  try: one of yes, no, unknown"),
    Row("fixture add elm/fan --kind radon-system --fan perhaps", 2, "error: `perhaps` is not an answer
given: --fan perhaps
  try: one of yes, no, unknown"),
    Row("rules crack-categroy", 1, "error: rule `crack-categroy` is not in this program
given: crack-categroy
  try: did you mean `crack-category`? `stemwall rules` shows all"),
    Row("statsu", 2, "error: `statsu` is not a command
given: statsu
  try: did you mean `status`? `--help` shows what can be typed here"),
    Row("init", 1, "error: `DIR/houses.stemwall` exists already
given: DIR/houses.stemwall
  try: name a path where there is nothing yet; nothing is ever overwritten"),
    Row("backup houses.stemwall", 1, "error: `houses.stemwall` exists already
given: houses.stemwall
  try: name a path where there is nothing yet; nothing is ever overwritten"),
    Row("restore none.tar", 1, "error: `DIR/houses.stemwall` exists already
given: DIR/houses.stemwall
  try: name a path where there is nothing yet; nothing is ever overwritten"),
    Row("demo --into .", 1, "error: `.` exists already
given: .
  try: name a folder that is not there yet: `stemwall demo --into FOLDER`"),
    Row("import radon none.csv --columns property=a", 1, "error: the file `none.csv` cannot be read: there is no such file
given: none.csv
  try: look at the path"),
    Row("import radon none.csv", 2, "error: --columns <FIELD=COLUMN,…> is missing
given: import radon none.csv
  try: `--help` shows what can be typed here"),
    Row("finding open --kind crack --place wall", 2, "error: which property is meant?
given: finding open --kind crack --place wall
  try: name one of the 2: `stemwall property list` shows them"),
    Row("finding open elm --kind crack --place \"south\u{7}wall\"", 2, "error: `--place` has line breaks or control characters in it
given: finding open elm --kind crack --place south\\u{7}wall
  try: write it in one line; `--note` takes longer texts"),
    Row(r#"reading add oak2/2 --plumb "1 in""#, 2, r#"error: a reading of `plumb` needs the length it was taken over
given: reading add oak2/2 --plumb "1 in"
  try: add `--over` and a length, such as `--over "8 ft"`"#),
    Row("reading add oak2/3", 2, "error: no reading is given
given: reading add oak2/3
  try: a finding of this kind has no readings; `stemwall note add` records words"),
    Row("quote add elm/1 oak2/1 --amount $5 --from A", 2, "error: the findings are of two properties
given: elm/1 oak2/1
  try: record it once for each property"),
    Row("status --limit x", 2, "error: `x` is not a value of --limit <N>
given: status --limit x
  try: give a whole number, not below 0"),
    Row("defer --years -1", 2, "error: `-1` is not a value of --years <N>
given: defer --years -1
  try: give a whole number, not below 0"),
    Row("defer --seed -1", 2, "error: `-1` is not a value of --seed <N>
given: defer --seed -1
  try: give a whole number, not below 0"),
    Row("plan --budget 6000 --years -1", 2, "error: `-1` is not a value of --years <N>
given: plan --budget 6000 --years -1
  try: give a whole number, not below 0"),
    Row("plan --budget 6000 --urgent-by -1", 2, "error: `-1` is not a value of --urgent-by <YEAR>
given: plan --budget 6000 --urgent-by -1
  try: give a whole number, not below 0"),
    Row("plan --budget 6000 --each house", 2, "error: `house` is not a value of --each <WORD>
given: plan --budget 6000 --each house
  try: one of property"),
    Row("spent --year -1", 2, "error: `-1` is not a value of --year <YEAR>
given: spent --year -1
  try: give 1800 to 9999"),
    Row("defer --index 2024=313", 2, "error: --index `2024=313` is not a year after 2024 and its figure, each year once
given: --index 2024=313
  try: write it like `--index 2025=321.9`, once for each year"),
    Row("plan --budget 6000 --index 2025=321 --index 2025=322", 2, "error: --index `2025=321 2025=322` is not a year after 2024 and its figure, each year once
given: --index 2025=321 2025=322
  try: write it like `--index 2025=321.9`, once for each year"),
    Row("backup nowhere/b.tar", 1, "error: there is no folder `nowhere`
given: nowhere
  try: make the folder first"),
    Row("property change elm --zone Nowhere", 2, "error: `Nowhere` is not a time zone
given: --zone Nowhere
  try: write it as in `America/Chicago` or `Europe/London`"),
    Row(r#"reading add elm/1 --width "1 mm" --resolution "0 mm""#, 1, r#"error: --resolution `0 mm` is zero
given: --resolution "0 mm"
  try: leave it out if it is not known"#),
];

/// Splits a line as a shell would, as far as these lines need: words, and words in double quotes.
pub fn words(line: &str) -> Vec<String> {
    let mut out = Vec::new();
    for (i, part) in line.split('"').enumerate() {
        if i % 2 == 1 {
            out.push(part.to_owned());
        } else {
            out.extend(part.split_whitespace().map(str::to_owned));
        }
    }
    out
}

/// What a line that must be taken prints.
pub fn run(world: &World, line: &str) -> String {
    world.run(&words(line).iter().map(String::as_str).collect::<Vec<_>>()).ok()
}

/// What a line that must be refused is told.
pub fn refused(world: &World, code: i32, line: &str) -> String {
    world.refused(code, &words(line).iter().map(String::as_str).collect::<Vec<_>>())
}

fn world() -> World {
    let world = World::with_crack();
    for line in [
        "reading add elm/1 --width \"0.8 mm\" --on 2024-02-01",
        "finding open elm --kind crack --place \"north wall\" --on 2024-01-05",
        "finding close elm/2 --why mended --on 2025-06-01",
        "fixture add elm/pump --kind sump-pump",
        "property add oak2 --name Oak2",
        "finding open oak2 --kind damp --place corner",
        "finding open oak2 --kind bow --place wall",
        "finding open oak2 --kind binding --place door",
    ] {
        let words = words(line);
        world.run(&words.iter().map(String::as_str).collect::<Vec<_>>()).ok();
    }
    world
}

#[test]
fn every_refusal_says_what_which_input_and_what_to_do() {
    let world = world();
    let mut wrong = Vec::new();
    for Row(line, code, text) in ROWS {
        let (line, text) = (dated(line), dated(text));
        let said = refused(&world, *code, &line);
        if said.trim_end() != text {
            wrong.push(format!("$ {line}\n{said}"));
        }
        for block in said.split("error: ").skip(1) {
            assert!(block.contains("\ngiven: ") && block.contains("\n  try: "), "{line}: {said}");
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_slip_is_recorded_once_somebody_is_sure() {
    let world = world();
    world.run(&["reading", "add", "elm/1", "--width", "8 mm", "--sure"]).ok();
    world.run(&["reading", "add", "elm/2", "--width", "0.9 mm", "--on", "2025-05-31"]).ok();
}

#[test]
fn nothing_is_left_of_a_photograph_whose_entry_was_refused() {
    let world = world();
    let photo = world.file("photo.png", b"a picture");
    world.refused(1, &["note", "add", "elm/1", "x", "--on", &dated("DAY+2"), "--photo", &photo]);
    world.refused(1, &["note", "add", "elm/1", "x", "--photo", &photo, "--photo", "none.png"]);
    let left = std::fs::read_dir(world.path("houses.stemwall.files")).map_or(0, |folder| {
        folder.flat_map(|inside| std::fs::read_dir(inside.unwrap().path()).into_iter().flatten()).count()
    });
    assert_eq!(left, 0);
    assert!(std::path::Path::new(&photo).exists(), "the original is only read");
}

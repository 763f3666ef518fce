//! `reckon occurrences`: each refusal with its advice, and the screen.

use crate::world::World;

const SPAN: [&str; 6] = ["--zone", "UTC", "--from", "2026-03-01T00:00:00Z", "--until", "2026-06-01T00:00:00Z"];

/// What is said of a rule, the line with what was given left out.
fn said(rule: &str, start: bool, code: i32) -> String {
    let start: &[&str] = if start { &["--start", "2026-01-01T09:00"] } else { &[] };
    let args = [&["reckon", "occurrences", "--rule", rule], start, &SPAN].concat();
    let text = World::empty().run(&args).fails(code);
    text.lines().filter(|line| !line.starts_with("given: ")).collect::<Vec<_>>().join("\n")
}

#[test]
fn cron_text_is_refused_with_the_field_and_what_to_write() {
    for (rule, what, attempt) in [
        (
            "0 0 0 1 * *",
            "it has 6 fields, not five",
            "write minute, hour, day of the month, month and day of the week, as in `30 6 1 * *`",
        ),
        (
            "@fortnightly",
            "`@fortnightly` is not one of its macros",
            "one of @yearly, @annually, @monthly, @weekly, @daily, @midnight, @hourly",
        ),
        (
            "0 0 * * someday",
            "`someday` is not a day of the week",
            "write 0 to 7 (0 and 7 are Sunday) or sun to sat, `*`, or a range such as `mon-fri`",
        ),
        ("0 0 1 mai *", "`mai` is not a month", "write 1 to 12 or jan to dec, `*`, or a range such as `4-10`"),
        ("? 0 * * *", "`?` is not a minute", "write a whole number, `*`, or a range such as `1-7`"),
        ("60 0 * * *", "`60` is outside 0 to 59, for the minute", "write a number within it"),
        (
            "0 22-2 * * *",
            "`22-2` falls, for the hour",
            "write the lower end first, or two ranges with a comma between them",
        ),
        (
            "0 0 1/15 * *",
            "`1/15` has a step and no range, for the day of the month",
            "write the range before the stroke, as in `5-59/20`, or `*/20`",
        ),
        (
            "*/0 * * * *",
            "`*/0` has no step of 1 or more behind its stroke, for the minute",
            "write a whole number behind the stroke, as in `*/15`",
        ),
    ] {
        assert_eq!(said(rule, false, 2), format!("error: `--rule` is not cron text: {what}\n  try: {attempt}"));
    }
}

#[test]
fn recurrence_text_is_refused_with_the_part_and_what_to_write() {
    let parts = "FREQ, INTERVAL, COUNT, UNTIL, WKST, BYSECOND, BYMINUTE, BYHOUR, BYDAY, BYMONTHDAY, BYYEARDAY, BYWEEKNO, BYMONTH, \
                 BYSETPOS";
    for (rule, what, attempt) in [
        (
            "FREQ=DAILY;",
            "`` is not a part of a recurrence rule: NAME=value",
            "write parts with semicolons between them, as in `FREQ=MONTHLY;BYMONTHDAY=1`",
        ),
        ("RRULE:FREQ=DAILY", "`RRULE:FREQ` is not a part that RFC 5545 knows", "write only what follows `RRULE:`"),
        ("FREQ=DAILY;FOO=1", "`FOO` is not a part that RFC 5545 knows", &format!("one of {parts}")),
        (
            "FREQ=DAILY;FREQ=WEEKLY",
            "`FREQ` stands twice",
            "leave one of the two out; a part can list several values with commas between them",
        ),
        ("COUNT=3", "`FREQ` is missing", "begin with how often, as in `FREQ=MONTHLY`"),
        (
            "FREQ=FORTNIGHTLY",
            "`FORTNIGHTLY` is not a frequency",
            "one of SECONDLY, MINUTELY, HOURLY, DAILY, WEEKLY, MONTHLY, YEARLY",
        ),
        (
            "FREQ=DAILY;COUNT=3;UNTIL=20300101T000000Z",
            "`COUNT` and `UNTIL` do not go together",
            "leave one of the two out",
        ),
        (
            "FREQ=DAILY;INTERVAL=1.5",
            "`1.5` is not a whole number, in `INTERVAL`",
            "write whole numbers, with commas between them where there are several",
        ),
        ("FREQ=YEARLY;BYMONTH=13", "`13` is outside 1 to 12, in `BYMONTH`", "write a number within it"),
        ("FREQ=DAILY;INTERVAL=0", "`INTERVAL` is 0", "write 1 or more, or leave it out"),
        ("FREQ=WEEKLY;WKST=ZZ", "`ZZ` is not a day of the week, in `WKST`", "one of MO, TU, WE, TH, FR, SA, SU"),
        (
            "FREQ=WEEKLY;BYDAY=XX",
            "`XX` is not a day of the week, in `BYDAY`",
            "one of MO, TU, WE, TH, FR, SA, SU, or numbered as in `2TU`, `-1FR`",
        ),
        (
            "FREQ=DAILY;UNTIL=20260230T000000Z",
            "`20260230T000000Z` is not a date and time, in `UNTIL`",
            "write date, T, time and Z: `20260301T090000Z`",
        ),
        (
            "FREQ=DAILY;UNTIL=20260301",
            "`20260301` is not in UTC, in `UNTIL`",
            "write date, T, time and Z: `20260301T090000Z`",
        ),
        (
            "FREQ=WEEKLY;BYDAY=2TU",
            "`2TU` has a number, which `BYDAY` does not take here",
            "numbers go with FREQ=MONTHLY, and with FREQ=YEARLY where there is no BYWEEKNO",
        ),
        ("FREQ=DAILY;BYWEEKNO=3", "`BYWEEKNO` does not go with `FREQ=DAILY`", "it goes with FREQ=YEARLY only"),
        (
            "FREQ=MONTHLY;BYYEARDAY=3",
            "`BYYEARDAY` does not go with `FREQ=MONTHLY`",
            "it goes with FREQ=YEARLY, HOURLY, MINUTELY and SECONDLY",
        ),
        (
            "FREQ=WEEKLY;BYMONTHDAY=3",
            "`BYMONTHDAY` does not go with `FREQ=WEEKLY`",
            "it goes with every frequency but FREQ=WEEKLY",
        ),
        (
            "FREQ=MONTHLY;BYSETPOS=-1",
            "`BYSETPOS` stands without another part that begins with `BY`",
            "add what it picks from, as in `BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1`",
        ),
    ] {
        let wanted = format!("error: `--rule` is not a recurrence rule: {what}\n  try: {attempt}");
        assert_eq!(said(rule, true, 2), wanted);
    }
}

#[test]
fn what_goes_round_the_rule_is_refused_too() {
    assert_eq!(
        said(" ", false, 2),
        "error: `--rule` is missing\n  try: add it: recurrence text such as `FREQ=MONTHLY;BYDAY=1SA`, or cron text such as `0 9 1 * *`"
    );
    assert_eq!(
        said("FREQ=DAILY", false, 2),
        "error: `--start` is missing\n  try: add it: date and time of the place, such as `2026-03-01T09:00:00`"
    );
    assert_eq!(
        said("@daily", true, 1),
        "error: `start` does not go with cron text, which has none\n  \
         try: change `--start` or what it goes with; `stemwall reckon occurrences --help` tells what it takes"
    );
    assert_eq!(
        said("FREQ=SECONDLY", true, 1),
        "error: the rule gives more than 1000000 occurrences in that span\n  try: bring `--from` and `--until` closer together"
    );
    let world = World::empty();
    let given = |flag: &str, value: &str| {
        let mut args: Vec<&str> =
            ["reckon", "occurrences", "--rule", "FREQ=DAILY", "--start", "2026-01-01T09:00"].to_vec();
        args.extend(SPAN);
        let at = args.iter().position(|arg| *arg == flag).unwrap() + 1;
        args[at] = value;
        let text = world.run(&args).fails(2);
        text.lines().filter(|line| !line.starts_with("given: ")).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(
        given("--zone", "Mars/Base"),
        "error: `--zone` is not a time zone: `Mars/Base`\n  try: write its IANA name, such as `America/Chicago`"
    );
    assert_eq!(
        given("--from", "2026-03-01"),
        "error: `--from` is not a date and time with an offset: `2026-03-01`\n  \
         try: write it with its offset from UTC: `2026-03-01T00:00:00-06:00`"
    );
    assert_eq!(
        given("--start", "noon"),
        "error: `--start` is not a date and time: `noon`\n  try: write it as the clock there shows it: `2026-03-01T09:00:00`"
    );
    assert_eq!(
        given("--until", "2160-01-01T00:00:00Z"),
        "error: `--until` is outside the years 1970 to 2100\n  try: give a moment within them"
    );
    let backwards =
        [&["reckon", "occurrences", "--rule", "@daily", "--zone", "UTC"][..], &["--from", "2026-03-01T00:00:00Z"]];
    let text = world.run(&[&backwards.concat()[..], &["--until", "2026-02-01T00:00:00Z"]].concat()).fails(1);
    assert!(text.starts_with("error: `until` lies before `from`\n"), "{text}");
}

#[test]
fn a_screen_has_an_instant_a_line() {
    let args = ["reckon", "occurrences", "--rule", "0 9 1 * *"];
    let text = World::empty().run(&[&args[..], &SPAN].concat()).ok();
    assert!(
        text.starts_with(
            "when a recurrence rule or cron text comes round\n\n  \
         at  2026-03-01T09:00:00+00:00  each instant once, in order, with its offset\n      \
         2026-04-01T09:00:00+00:00\n      2026-05-01T09:00:00+00:00\n\nby\n"
        ),
        "{text}"
    );
}

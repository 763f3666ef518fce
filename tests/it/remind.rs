//! `remind`: what a channel is told, once; what keeps it from being set up; what is said of a channel that is down.

use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use serde_json::Value;

use crate::world::World;

mod ahead;
mod by_mail;
mod by_others;
mod killed;
mod server;
mod stay;

/// A house with a pump: on 1 March 2026 its spring test is open and due on 11 March.
fn house() -> World {
    let world = World::new();
    let add = ["property", "add", "elm", "--name", "Elm Street", "--zone", "America/Chicago", "--on", "2026-02-20"];
    world.run(&[&add[..], &["--last-freeze", "04-25", "--first-freeze", "10-12", "--tell", "R. Ode"]].concat()).ok();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in", "--on", "2026-02-20"]).ok();
    world
}

/// Writes the configuration, in the zone UTC, with these channels.
fn set_up(world: &World, text: &str) {
    let path = world.file("remind.toml", format!("zone = 'UTC'\n{text}"));
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o600)).unwrap();
}

const SCREEN: &str = "[[channel]]\nname = 'here'\nkind = 'screen'\n";

/// The code of what is due of a duty.
fn code(world: &World, duty: &str) -> String {
    let due = world.run(&["--json", "due", "--within", "1y", "--all"]).json();
    let of = due.as_array().unwrap().iter().find(|row| row["duty"] == duty);
    of.unwrap_or_else(|| panic!("no {duty} in {due}"))["code"].as_str().unwrap().to_owned()
}

/// The lines of a table of the ledger, for what no command shows.
fn rows(world: &World, sql: &str) -> Vec<String> {
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let mut statement = connection.prepare(sql).unwrap();
    let rows = statement.query_map([], |r| r.get::<_, String>(0)).unwrap();
    rows.map(Result::unwrap).collect()
}

#[test]
fn a_thing_is_told_a_week_before_its_day_once_and_then_every_week() {
    let world = house();
    set_up(&world, &format!("digest = 'each'\n{SCREEN}"));
    let pump = code(&world, "pump-test-spring");
    let told_on = |world: World, day: &str| {
        let world = world.on(day);
        let said = world.run(&["remind"]).ok();
        let again = world.run(&["remind"]).ok();
        assert_eq!(again, "here: nothing new\n", "{day}");
        let tells = said.contains(&pump);
        (world, tells)
    };
    // Seven days before 11 March, then seven days after it, fourteen, not between.
    let (world, told) = told_on(world, "2026-03-03");
    assert!(!told);
    let (world, told) = told_on(world, "2026-03-04");
    assert!(told);
    let (world, told) = told_on(world, "2026-03-11");
    assert!(!told);
    let (world, told) = told_on(world, "2026-03-18");
    assert!(told);
    let (world, told) = told_on(world, "2026-03-24");
    assert!(!told);
    // Done: it is told of no more, until the next one.
    world
        .run(&[
            "sump",
            "test",
            "elm/pump",
            "--fall",
            "8 in",
            "--fall-time",
            "15 s",
            "--rise",
            "2 in",
            "--rise-time",
            "60 s",
            "--on",
            "2026-03-24",
        ])
        .ok();
    let (world, told) = told_on(world, "2026-03-25");
    assert!(!told);
    world.run(&["verify"]).ok();
}

#[test]
fn what_a_reminder_says_and_what_stays_out_of_it() {
    let world = house().on("2026-03-05");
    world
        .run(&[
            "duty",
            "set",
            "key-back",
            "--at",
            "elm",
            "--once",
            "2026-03-08",
            "--title",
            "fetch the key",
            "--why",
            "Ann Other has it",
        ])
        .ok();
    set_up(&world, SCREEN);
    let said = world.run(&["remind"]).ok();
    let [pump, key] = ["pump-test-spring", "key-back"].map(|duty| code(&world, duty));
    assert!(
        said.contains(&format!("  elm/pump: test the sump pump\n    by 11 Mar 2026 · code {pump}\n    caution: ")),
        "{said}"
    );
    assert!(said.contains(&format!("  elm: fetch the key\n    by 8 Mar 2026 · code {key}\n")), "{said}");
    assert!(said.ends_with("here: sent 1 message of 2 things\n"), "{said}");
    for private in ["Ann Other", "R. Ode", "Elm Street"] {
        assert!(!said.contains(private), "{said}");
    }
    // The code in the text acknowledges it.
    let done = world.run(&["done", &key]).ok();
    assert!(done.contains("recorded elm#"), "{done}");
    // Another channel that asks for both.
    set_up(&world, &format!("names = true\nwhy = true\n{}", SCREEN.replace("here", "there")));
    let said = world.run(&["remind"]).ok();
    assert!(
        said.contains("before a visit, tell R. Ode") && said.contains("45 days before the usual last freeze"),
        "{said}"
    );
}

#[test]
fn a_snoozed_line_is_not_told_of_and_a_dry_run_sends_nothing() {
    let world = house().on("2026-03-05");
    set_up(&world, SCREEN);
    let said = world.run(&["remind", "--dry-run"]).ok();
    assert_eq!(said, "here: 1 message would go out\n  elm/pump: test the sump pump, by 11 Mar 2026\n");
    let shown = world.run(&["--json", "remind", "--dry-run"]).json();
    assert_eq!(shown[0]["things"][0]["duty"], "pump-test-spring");
    assert!(rows(&world, "SELECT id FROM reminder_messages").is_empty());
    world.run(&["duty", "snooze", &code(&world, "pump-test-spring"), "--for", "1w"]).ok();
    assert_eq!(world.run(&["remind"]).ok(), "here: nothing new\n");
    let world = world.on("2026-03-12");
    assert!(world.run(&["remind"]).ok().contains("overdue since 11 Mar 2026 (1 day)"));
}

#[test]
fn a_thing_that_was_moved_is_told_of_anew_before_its_new_day() {
    let world = house().on("2026-03-18");
    set_up(&world, SCREEN);
    assert!(world.run(&["remind"]).ok().contains("overdue since 11 Mar 2026 (7 days)"));
    world.run(&["duty", "skip", &code(&world, "pump-test-spring"), "--nobody-in", "--until", "2026-04-10"]).ok();
    assert_eq!(world.run(&["remind"]).ok(), "here: nothing new\n");
    let world = world.on("2026-04-03");
    assert!(world.run(&["remind"]).ok().contains("elm/pump: test the sump pump\n    by 10 Apr 2026"));
}

#[test]
fn a_channel_that_escalates_hears_late_and_one_of_other_houses_not_at_all() {
    let world = house().on("2026-03-21");
    let more = "[[channel]]\nname = 'boss'\nkind = 'screen'\noverdue_by = '2w'\nrepeat = '1d'\n\
                [[channel]]\nname = 'other'\nkind = 'screen'\nproperties = ['oak']\n";
    set_up(&world, &format!("{SCREEN}{more}"));
    let said = world.run(&["remind"]).ok();
    assert!(said.ends_with("boss: nothing new\nother: property `oak` is not in this ledger\n"), "{said}");
    let world = world.on("2026-03-25");
    let said = world.run(&["remind"]).ok();
    assert!(
        said.contains("overdue since 11 Mar 2026 (14 days)") && said.contains("\nboss: sent 1 message of 1 thing\n"),
        "{said}"
    );
    let world = world.on("2026-03-26");
    assert!(world.run(&["remind"]).ok().contains("overdue since 11 Mar 2026 (15 days)"));
}

#[test]
fn in_quiet_hours_nothing_goes_out() {
    let world = house().on("2026-03-05");
    // All day but the hour that begins twelve hours from now.
    let now = chrono::Utc::now();
    let hour = |hours| (now + chrono::TimeDelta::hours(hours)).format("%H:00").to_string();
    set_up(&world, &format!("quiet = '{}-{}'\n{SCREEN}", hour(13), hour(12)));
    let said = world.run(&["remind"]).ok();
    let until = (now + chrono::TimeDelta::hours(12)).format("%Y-%m-%d %H:00 UTC");
    assert_eq!(said, format!("here: quiet until {until}\n"));
    assert!(rows(&world, "SELECT id FROM reminder_messages").is_empty());
}

#[test]
fn a_calendar_file_is_written_anew_and_nothing_else_is() {
    let world = house().on("2026-03-05");
    set_up(
        &world,
        "[[channel]]\nname = 'feed'\nkind = 'calendar'\nfile = 'due.ics'\nwithin = '30d'\nproperties = ['elm']\n",
    );
    assert_eq!(world.run(&["remind"]).ok(), "feed: wrote DIR/due.ics\n");
    let text = std::fs::read_to_string(world.path("due.ics")).unwrap();
    // Neither reasons nor names, unless they are asked for.
    for private in ["R. Ode", "Elm Street", "45 days before"] {
        assert!(!text.contains(private), "{text}");
    }
    let set = ["duty", "expect", "elm/pump", "--by", "2026-03-20", "--what", "Ann Other comes"];
    world.run(&set).ok();
    world.run(&["remind"]).ok();
    assert!(!std::fs::read_to_string(world.path("due.ics")).unwrap().contains("Ann Other"));
    set_up(
        &world,
        "why = true\nnames = true\n[[channel]]\nname = 'feed'\nkind = 'calendar'\nfile = 'due.ics'\nwithin = '30d'\n",
    );
    world.run(&["remind"]).ok();
    let text = std::fs::read_to_string(world.path("due.ics")).unwrap();
    let asked = world.path("asked.ics");
    world.run(&["due", "elm", "--within", "30d", "--names", "--ics", asked.to_str().unwrap()]).ok();
    assert_eq!(text, std::fs::read_to_string(asked).unwrap());
    assert!(text.contains("R. Ode") && text.contains("Ann Other") && text.contains("Elm Street"), "{text}");
    set_up(&world, "[[channel]]\nname = 'feed'\nkind = 'calendar'\nfile = 'due.ics'\n");
    std::fs::write(world.path("due.ics"), "mine").unwrap();
    let outcome = world.run(&["remind"]);
    assert_eq!(outcome.code, 1);
    assert!(
        outcome.stderr.starts_with("error: channel `feed`: `DIR/due.ics` is not a calendar, and is not overwritten\n"),
        "{}",
        outcome.stderr
    );
    assert_eq!(std::fs::read_to_string(world.path("due.ics")).unwrap(), "mine");
}

#[test]
fn status_says_which_channel_is_down_since_when_and_when_it_is_tried_again() {
    let world = house().on("2026-03-05");
    let own = "[[channel]]\nname = 'own'\nkind = 'command'\nrun = ['sh', '-c', 'echo away >&2; exit 7']\n";
    set_up(&world, &format!("{own}{SCREEN}"));
    let outcome = world.run(&["remind"]);
    assert_eq!(outcome.code, 1);
    // The other channel goes on.
    assert!(outcome.stdout.ends_with("here: sent 1 message of 1 thing\n"), "{}", outcome.stdout);
    let failure = "error: channel `own`: `sh` ended with 7: away\ngiven: own\n  try: the next try is at ";
    assert!(
        outcome.stderr.starts_with(failure) && outcome.stderr.ends_with("; `stemwall remind` tries at once\n"),
        "{}",
        outcome.stderr
    );
    let first = world.run(&["--json", "remind", "list"]).json();
    let down = |list: &Value| list[0]["down"].clone();
    let time = |value: &Value| value.as_str().unwrap().parse::<chrono::DateTime<chrono::Utc>>().unwrap();
    assert_eq!(down(&first)["tries"], 1);
    assert_eq!(time(&down(&first)["next_try"]) - time(&down(&first)["since"]), chrono::TimeDelta::minutes(1));
    assert_eq!(first[1]["down"], Value::Null);
    // Twice as long after each further time, and since the first.
    assert_eq!(world.run(&["remind"]).code, 1);
    let second = world.run(&["--json", "remind", "list"]).json();
    assert_eq!((&down(&second)["tries"], &down(&second)["since"]), (&2.into(), &down(&first)["since"]));
    let gap = time(&down(&second)["next_try"]) - time(&second[0]["handled_until"]);
    assert_eq!(gap, chrono::TimeDelta::minutes(2));
    let line = format!(
        "reminders by `own`: down since {} (`sh` ended with 7: away); next try at ",
        time(&down(&first)["since"]).format("%Y-%m-%d %H:%M UTC")
    );
    assert!(world.run(&["status"]).ok().contains(&line));
    assert!(world.run(&["remind", "list"]).ok().contains("own (command): down since "));
    // Until then it is left alone by what only sends in time.
    assert_eq!(world.run(&["remind", "--if-time"]).ok(), "no moment has come since the last time\n");
    // Up again: what it had not got goes out, and the line is gone.
    set_up(&world, &format!("{}{SCREEN}", own.replace("exit 7", "exit 0")));
    assert_eq!(world.run(&["remind"]).ok(), "own: sent 1 message of 1 thing\nhere: nothing new\n");
    assert!(!world.run(&["status"]).ok().contains("reminders by"));
    // A channel that is taken out of the configuration is down no longer.
    set_up(&world, &own.replace("'own'", "'late'"));
    assert_eq!(world.run(&["remind"]).code, 1);
    assert!(world.run(&["status"]).ok().contains("reminders by `late`: down since "));
    set_up(&world, SCREEN);
    assert_eq!(world.run(&["remind"]).ok(), "here: nothing new\n");
    assert!(!world.run(&["status"]).ok().contains("reminders by"));
    world.run(&["verify"]).ok();
}

#[test]
fn what_was_done_meanwhile_is_not_sent_again_and_what_stands_is_word_for_word() {
    let world = house().on("2026-03-05");
    let own = |end: &str| {
        format!(
            "digest = 'each'\n[[channel]]\nname = 'own'\nkind = 'command'\nrun = ['sh', '-c', 'cat >> got; echo >> got; {end}']\n"
        )
    };
    // Stopped by a signal after it has written: whether it has told somebody is not known.
    set_up(&world, &own("kill -9 $$"));
    assert_eq!(world.run(&["remind"]).code, 1);
    assert_eq!(rows(&world, "SELECT state FROM reminder_messages"), ["begun"]);
    set_up(&world, &own("true"));
    let world = world.on("2026-03-06");
    assert_eq!(world.run(&["remind"]).ok(), "own: 1 message sent again, which may have gone out before\n");
    let got = std::fs::read_to_string(world.path("got")).unwrap();
    let lines: Vec<&str> = got.lines().collect();
    assert_eq!(lines.len(), 2);
    assert_eq!(lines[0], lines[1]);
    // What was kept to be sent again is kept no longer.
    assert_eq!(rows(&world, "SELECT state FROM reminder_messages WHERE notice IS NULL"), ["sent"]);

    // The next telling is stopped too, and done before it can be sent again.
    set_up(&world, &own("kill -9 $$"));
    let world = world.on("2026-03-18");
    assert_eq!(world.run(&["remind"]).code, 1);
    let test =
        ["sump", "test", "elm/pump", "--fall", "8 in", "--fall-time", "15 s", "--rise", "2 in", "--rise-time", "60 s"];
    world.run(&test).ok();
    set_up(&world, &own("true"));
    // What else was due is told now; of the pump nothing.
    assert_eq!(world.run(&["remind"]).ok(), "own: sent 2 messages of 2 things\n");
    assert_eq!(
        rows(&world, "SELECT state FROM reminder_messages ORDER BY begun_at, id"),
        ["sent", "dropped", "sent", "sent"]
    );
}

#[test]
fn what_was_sent_is_in_a_backup_and_outlives_a_rebuild() {
    let world = house().on("2026-03-05");
    set_up(&world, SCREEN);
    assert!(world.run(&["remind"]).ok().contains("elm/pump"));
    world.run(&["rebuild"]).ok();
    assert_eq!(world.run(&["remind"]).ok(), "here: nothing new\n");
    let archive = world.path("kept.tar");
    world.run(&["backup", archive.to_str().unwrap()]).ok();
    let other = World::empty().on("2026-03-05");
    other.run(&["restore", archive.to_str().unwrap()]).ok();
    set_up(&other, SCREEN);
    assert_eq!(other.run(&["remind"]).ok(), "here: nothing new\n");
}

#[test]
fn install_shows_asks_writes_and_removes() {
    let world = house();
    let [service, timer] =
        ["service", "timer"].map(|kind| world.path(&format!(".config/systemd/user/stemwall-remind.{kind}")));
    assert!(
        world
            .run(&["remind", "install"])
            .fails(1)
            .starts_with("error: there is no configuration at `DIR/remind.toml`\n")
    );
    set_up(&world, SCREEN);
    let said = world.run(&["remind", "install"]).ok();
    assert!(
        said.contains("DIR/.config/systemd/user/stemwall-remind.timer\n") && said.contains("OnCalendar=*:0/15\n"),
        "{said}"
    );
    assert!(said.ends_with("nothing was changed; --yes says yes to it\n"), "{said}");
    assert!(!service.exists() && !timer.exists());
    let said = world.run(&["remind", "install", "--yes"]).ok();
    assert!(
        said.ends_with(
            "written; next:\n  systemctl --user daemon-reload\n  systemctl --user enable --now stemwall-remind.timer\n"
        ),
        "{said}"
    );
    let text = std::fs::read_to_string(&service).unwrap();
    let words = format!("\"--ledger\" \"{}\" \"remind\" \"--if-time\" \"--config\"", world.ledger().display());
    assert!(text.contains(&words), "{text}");
    if Path::new("/usr/bin/systemd-analyze").exists() {
        let checked = std::process::Command::new("systemd-analyze")
            .args(["verify", "--user"])
            .args([&service, &timer])
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&checked.stderr);
        assert!(!said.contains("stemwall-remind"), "{said}");
    }
    // Written again over what is ours, and removed; what is somebody else's stays.
    world.run(&["remind", "install", "--yes"]).ok();
    let said = world.run(&["remind", "install", "--remove", "--yes"]).ok();
    assert!(said.contains("removed; next:\n"), "{said}");
    assert!(!service.exists() && !timer.exists());
    assert!(world.run(&["remind", "install", "--remove"]).fails(1).starts_with("error: there is no `DIR/.config/"));
    std::fs::write(&timer, "[Timer]\n").unwrap();
    for verb in [&["remind", "install", "--yes"][..], &["remind", "install", "--remove", "--yes"]] {
        let said = world.run(verb).fails(1);
        assert!(said.contains("was not written by `stemwall remind install`\n"), "{said}");
    }
    assert_eq!(std::fs::read_to_string(&timer).unwrap(), "[Timer]\n");
}

#[test]
fn a_configuration_that_others_can_write_is_not_read() {
    let world = house();
    set_up(&world, SCREEN);
    for mode in [0o620, 0o602, 0o666] {
        std::fs::set_permissions(world.path("remind.toml"), std::fs::Permissions::from_mode(mode)).unwrap();
        assert_eq!(
            world.run(&["remind"]).fails(1),
            format!(
                "error: `DIR/remind.toml` can be written by others (mode {mode:03o})\ngiven: DIR/remind.toml\n  \
                 try: whoever can write it has commands run as you: `chmod 600 DIR/remind.toml`\n"
            )
        );
    }
    // Only root can give a file away.
    if std::os::unix::fs::chown(world.path("remind.toml"), Some(65534), None).is_ok() {
        std::fs::set_permissions(world.path("remind.toml"), std::fs::Permissions::from_mode(0o600)).unwrap();
        let said = world.run(&["remind"]).fails(1);
        assert_eq!(
            said,
            "error: `DIR/remind.toml` belongs to another user\ngiven: DIR/remind.toml\n  try: copy it, read it, and use the copy that is yours\n"
        );
    }
}

/// Every refusal of a configuration, word for word.
#[test]
fn a_configuration_that_is_wrong() {
    let world = house();
    assert_eq!(
        world.run(&["remind"]).fails(1),
        "error: there is no configuration at `DIR/remind.toml`\ngiven: DIR/remind.toml\n  \
         try: `stemwall remind example > remind.toml` makes one to begin with, or name one with --config\n"
    );
    let example = "`stemwall remind example` shows what each kind has";
    let mail = "[[channel]]\nname = 'me'\nkind = 'mail'\n";
    let mail_of = |more: &str| {
        format!("{mail}server = 'mail.example.org'\nfrom = 'me@example.org'\nto = ['me@example.org']\n{more}")
    };
    let hook = |more: &str| format!("[[channel]]\nname = 'hook'\nkind = 'webhook'\n{more}");
    let cron = "minute, hour, day, month, day of the week, as in `0 7 * * *`, or one of @yearly, @annually, @monthly, @weekly, @daily, @midnight, @hourly";
    let secret = "secret = { env = 'K' }";
    for (text, what, given, attempt) in [
        (
            "when = '0 0 7 * * *'".to_owned() + "\n" + SCREEN,
            "`0 0 7 * * *` is not cron text: it has 6 fields, not five",
            "0 0 7 * * *",
            cron,
        ),
        (
            format!("when = '0 7 30 2 *'\n{SCREEN}"),
            "`0 7 30 2 *` never comes",
            "0 7 30 2 *",
            "no month has such a day; `0 7 1 * *` is the first of each month",
        ),
        (
            format!("{SCREEN}when = '0 7 * * mun'"),
            "`0 7 * * mun` is not cron text: `mun` is not a day of the week",
            "0 7 * * mun",
            cron,
        ),
        (
            format!("quiet = '08:00-08:00'\n{SCREEN}"),
            "`08:00-08:00` is the whole day: nothing would ever be sent",
            "08:00-08:00",
            "write from when to when it is quiet, as in `quiet = \"21:00-06:30\"`",
        ),
        (
            format!("quiet = 'at night'\n{SCREEN}"),
            "`at night` is not two times of day",
            "at night",
            "write from when to when it is quiet, as in `quiet = \"21:00-06:30\"`",
        ),
        (
            format!("lead = ['a week']\n{SCREEN}"),
            "`a week` is not a number of days",
            "lead = a week",
            "write days or weeks, as in `7d` or `2w`",
        ),
        (
            format!("repeat = '0d'\n{SCREEN}"),
            "`0d` is not a number of days",
            "repeat = 0d",
            "write days or weeks, as in `7d` or `2w`, or `never`",
        ),
        ("".into(), "no channel is set up", "remind", "add one: `[[channel]]`, `name = \"here\"`, `kind = \"screen\"`"),
        (
            format!("{SCREEN}{SCREEN}"),
            "there are two channels `here`",
            "here",
            "what was sent is kept by the name: give each its own",
        ),
        (
            SCREEN.replace("here", "by mail"),
            "`by mail` is not a name for a channel",
            "by mail",
            "at most 40 letters, digits, hyphens, underscores, full stops",
        ),
        (mail.into(), "channel `me`: a channel of kind mail needs `server`", "server", example),
        (mail_of("user = 'me'"), "channel `me`: a channel of kind mail needs `password`", "password", example),
        (
            format!("{SCREEN}url = 'https://example.org/'"),
            "channel `here`: a channel of kind screen has no `url`",
            "url",
            example,
        ),
        (
            format!("{SCREEN}lead = ['1d']\noverdue_by = '1d'"),
            "channel `here`: `lead` and `overdue_by` do not go together",
            "here",
            "a channel that hears only of what is overdue has no lead: leave one out",
        ),
        (
            mail_of("").replace("'me@example.org'\nto", "\"me@example.org\\r\\nBcc: you@example.org\"\nto"),
            "channel `me`: `me@example.org\\u{d} Bcc: you@example.org` is not a mail address",
            "me@example.org\\u{d} Bcc: you@example.org",
            "write it as in `me@example.org` or `Houses <me@example.org>`",
        ),
        (
            mail_of("security = 'none'"),
            "channel `me`: what goes to `mail.example.org` would not be encrypted",
            "mail.example.org",
            "encrypt it (`security = \"starttls\"` or \"tls\", `https`); only this machine is spoken to without",
        ),
        (
            mail_of("security = 'ssl'"),
            "channel `me`: `ssl` is not how a mail server is spoken to",
            "ssl",
            "`starttls`, `tls`, or, on this machine, `none`",
        ),
        (
            hook(&format!("url = 'http://hooks.example.org/'\n{secret}")),
            "channel `hook`: what goes to `hooks.example.org` would not be encrypted",
            "hooks.example.org",
            "encrypt it (`security = \"starttls\"` or \"tls\", `https`); only this machine is spoken to without",
        ),
        (
            hook(&format!("url = 'hooks'\n{secret}")),
            "channel `hook`: `hooks` is not an address of the web",
            "hooks",
            "write it as in `https://hooks.example.org/stemwall`",
        ),
        (
            hook("url = 'https://example.org/'\nsecret = 'hush'"),
            "line 6: a secret is `{ env = \"NAME\" }` or `{ command = [\"program\", \"word\"] }`, it does not stand here",
            "DIR/remind.toml",
            "`stemwall remind example` shows what can stand there",
        ),
        (
            format!("wen = 'x'\n{SCREEN}"),
            "line 2: unknown field `wen`, expected one of `zone`, `when`, `lead`, `repeat`, `quiet`, `digest`, `why`, `names`, `channel`",
            "DIR/remind.toml",
            "`stemwall remind example` shows what can stand there",
        ),
    ] {
        set_up(&world, &text);
        let said = world.run(&["remind"]).fails(if what.starts_with("there is no") { 1 } else { 2 });
        assert_eq!(said, format!("error: {what}\ngiven: {given}\n  try: {attempt}\n"), "{text}");
    }
    let path = world.file("remind.toml", format!("zone = 'America/Chicgo'\n{SCREEN}"));
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o600)).unwrap();
    assert_eq!(
        world.run(&["remind"]).fails(2),
        "error: zone `America/Chicgo` is not known\ngiven: America/Chicgo\n  \
         try: did you mean `America/Chicago`? a zone is named as in `America/Chicago`\n"
    );
}

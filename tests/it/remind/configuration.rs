//! What keeps reminders from being set up, word for word.

use std::os::unix::fs::PermissionsExt;

use super::{SCREEN, house, set_up};

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
            "channel `here`: `0 7 * * mun` is not cron text: `mun` is not a day of the week",
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
            mail_of("").replace("'mail.example.org'", "'localhost:2525'"),
            "channel `me`: `localhost:2525` is not the name of a server",
            "localhost:2525",
            "write the name alone, as in `server = \"mail.example.org\"`; `port` says which port",
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

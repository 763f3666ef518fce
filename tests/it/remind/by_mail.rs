//! By mail, to a server that is not ours: whatever becomes of it in between, one message under one name.

use super::server::{Server, certificates, channel};
use super::{code, house, rows, set_up};
use crate::world::{World, finish};

const PLAIN: &str = "security = 'none'";

#[test]
fn receivers_python_take_a_mail_as_it_was_meant() {
    let world = house().on("2026-03-05");
    let server = Server::mail(&world, &[]);
    set_up(&world, &channel(server.port, PLAIN));
    assert_eq!(world.run(&["remind"]).ok(), "me: sent 1 message of 1 thing\n");
    let [mail] = &server.received()[..] else { panic!() };
    assert_eq!(mail["subject"], "elm/pump: test the sump pump, by 11 Mar 2026");
    assert_eq!(mail["to"], serde_json::json!(["me@example.org", "you@example.org"]));
    assert!(
        mail["text"].as_str().unwrap().contains(&format!("stemwall done {}", code(&world, "pump-test-spring"))),
        "{mail}"
    );
    let [id] = &rows(&world, "SELECT id FROM reminder_messages")[..] else { panic!() };
    assert_eq!(mail["id"], format!("<{id}@example.org>"));
    assert_eq!(
        mail["headers"],
        serde_json::json!([
            "Auto-Submitted",
            "Content-Transfer-Encoding",
            "Content-Type",
            "Date",
            "From",
            "MIME-Version",
            "Message-ID",
            "Subject",
            "To"
        ])
    );
}

#[test]
fn receivers_python_killed_in_the_middle_get_the_same_mail_again() {
    // At each stage: whether the message arrived before the server was killed.
    for (stage, arrived) in [("mail", 0), ("data", 0), ("noted", 1)] {
        let world = house().on("2026-03-05");
        let mut server = Server::mail(&world, &["--hang", stage]);
        let port = server.port.to_string();
        set_up(&world, &channel(server.port, PLAIN));
        let mut command = world.command();
        let child = command
            .arg("remind")
            .stdout(std::process::Stdio::piped())
            .stderr(std::process::Stdio::piped())
            .spawn()
            .unwrap();
        server.hangs();
        server.kill();
        let output = child.wait_with_output().unwrap();
        assert_eq!(output.status.code(), Some(1));
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.starts_with("error: channel `me`: `localhost`: "), "{said}");
        assert_eq!(server.received().len(), arrived);
        // What may have arrived is kept as it is, though a day goes by.
        let begun = rows(&world, "SELECT id FROM reminder_messages WHERE state = 'begun'");
        assert_eq!(begun.len(), 1, "{stage}");
        let world = world.on("2026-03-06");
        let server = Server::mail(&world, &["--port", &port]);
        assert_eq!(world.run(&["remind"]).ok(), "me: 1 message sent again, which may have gone out before\n");
        let ids: Vec<String> = server.received().iter().map(|mail| mail["id"].as_str().unwrap().to_owned()).collect();
        assert_eq!(ids, vec![format!("<{}@example.org>", begun[0]); arrived + 1], "{stage}");
        let texts: Vec<String> = server.received().iter().map(|mail| mail["text"].to_string()).collect();
        assert!(texts.iter().all(|text| *text == texts[0]));
        assert_eq!(world.run(&["remind"]).ok(), "me: nothing new\n");
    }
}

/// Runs `remind` with a password in its environment; gives what it said, and asserts that the password is nowhere in it.
fn with_password(world: &World, password: &str) -> (i32, String) {
    let mut command = world.command();
    command.env("MAIL_PASSWORD", password);
    let outcome = finish(command, &["remind"], &world.path("").canonicalize().unwrap());
    let said = format!("{}{}", outcome.stdout, outcome.stderr);
    assert!(!said.contains(password), "{said}");
    (outcome.code, said)
}

#[test]
fn receivers_python_behind_tls_want_the_right_name_and_the_right_password() {
    let world = house().on("2026-03-05");
    let pem = certificates(&world, "localhost");
    let login = "user = 'me'\npassword = { env = 'MAIL_PASSWORD' }\nca = 'ca.pem'\n";
    for (words, security) in [(&["--certificate", &pem][..], "starttls"), (&["--certificate", &pem, "--tls"], "tls")] {
        let server = Server::mail(&world, &[words, &["--password", "open sesame"]].concat());
        let name = format!("by-{security}");
        let text = channel(server.port, &format!("{login}security = '{security}'"))
            .replace("'me'\nkind", &format!("'{name}'\nkind"));
        set_up(&world, &text);
        let (code, said) = with_password(&world, "wrong sesame");
        assert_eq!(code, 1);
        let expected = format!(
            "error: channel `{name}`: `localhost`: permanent error (535): 5.7.8 Authentication credentials invalid\ngiven: {name}\n  try: the next try is at "
        );
        assert!(said.contains(&expected), "{said}");
        // Nothing went out, so that nothing is in doubt.
        assert!(rows(&world, "SELECT id FROM reminder_messages WHERE state = 'begun'").is_empty());
        assert_eq!(with_password(&world, "open sesame"), (0, format!("{name}: sent 1 message of 1 thing\n")));
        assert_eq!(server.received().last().unwrap()["encrypted"], true);
    }
    assert_eq!(rows(&world, "SELECT state FROM reminder_messages"), ["sent", "sent"]);
    // Neither the password nor anything of it is in the ledger.
    let bytes: Vec<u8> = ["", "-wal"]
        .iter()
        .flat_map(|end| std::fs::read(format!("{}{end}", world.ledger().display())).unwrap_or_default())
        .collect();
    assert!(!bytes.windows(6).any(|window| window == b"sesame"));
}

#[test]
fn receivers_python_with_a_certificate_for_another_name_or_by_nobody_known_get_nothing() {
    let world = house().on("2026-03-05");
    let pem = certificates(&world, "other.example.org");
    for (words, security) in [(&["--certificate", &pem][..], "starttls"), (&["--certificate", &pem, "--tls"], "tls")] {
        let server = Server::mail(&world, words);
        set_up(&world, &channel(server.port, &format!("security = '{security}'\nca = 'ca.pem'")));
        let outcome = world.run(&["remind"]);
        assert_eq!(outcome.code, 1);
        assert!(outcome.stderr.contains("certificate not valid for name \"localhost\""), "{}", outcome.stderr);
        set_up(&world, &channel(server.port, &format!("security = '{security}'")));
        let outcome = world.run(&["remind"]);
        assert!(outcome.stderr.contains("invalid peer certificate: UnknownIssuer"), "{}", outcome.stderr);
        assert!(server.received().is_empty());
    }
    // One that does not encrypt is not spoken to either.
    let server = Server::mail(&world, &[]);
    set_up(&world, &channel(server.port, ""));
    let outcome = world.run(&["remind"]);
    assert!(
        outcome.stderr.contains("channel `me`: `localhost` does not encrypt (it has no STARTTLS)\n"),
        "{}",
        outcome.stderr
    );
    assert!(rows(&world, "SELECT id FROM reminder_messages").is_empty());
}

#[test]
fn a_server_that_is_not_there_and_a_password_that_is_not() {
    let world = house().on("2026-03-05");
    // A port that was free a moment ago.
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    set_up(&world, &channel(port, PLAIN));
    let outcome = world.run(&["remind"]);
    let refused = "error: channel `me`: `localhost`: Connection error: Connection refused (os error 111)\n";
    assert!(outcome.stderr.starts_with(refused), "{}", outcome.stderr);
    assert!(rows(&world, "SELECT id FROM reminder_messages").is_empty());
    set_up(&world, &channel(port, "user = 'me'\npassword = { env = 'MAIL_PASSWORD' }"));
    let outcome = world.run(&["remind"]);
    assert!(
        outcome.stderr.starts_with("error: channel `me`: the environment has no `MAIL_PASSWORD`\n"),
        "{}",
        outcome.stderr
    );
    set_up(&world, &channel(port, "user = 'me'\npassword = { command = ['no-such-program'] }"));
    let outcome = world.run(&["remind"]);
    assert!(
        outcome.stderr.starts_with("error: channel `me`: `no-such-program` cannot be run: there is no such program\n"),
        "{}",
        outcome.stderr
    );
}

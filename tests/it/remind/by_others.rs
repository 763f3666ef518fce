//! By a webhook, a command, a notice of the desktop.

use std::os::unix::fs::PermissionsExt;

use serde_json::Value;

use super::server::{Server, certificates};
use super::{code, house, rows, set_up};
use crate::world::{World, finish};

fn hook(url: &str) -> String {
    format!(
        "[[channel]]\nname = 'hook'\nkind = 'webhook'\nurl = '{url}'\nsecret = {{ command = ['cat', 'hook.key'] }}\n"
    )
}

fn with_key() -> World {
    let world = house().on("2026-03-05");
    world.file("hook.key", "s3cret key of a hook\n");
    world
}

#[test]
fn receivers_python_of_a_webhook_check_its_signature() {
    let world = with_key();
    let server = Server::start(&world, "hook.py", &["s3cret key of a hook"]);
    set_up(&world, &hook(&format!("http://127.0.0.1:{}/in?x=1", server.port)));
    assert_eq!(world.run(&["remind"]).ok(), "hook: sent 1 message of 1 thing\n");
    let [got] = &server.received()[..] else { panic!() };
    assert_eq!(
        (&got["holds"], &got["fresh"], &got["type"], &got["path"]),
        (&true.into(), &true.into(), &"application/json".into(), &"/in?x=1".into())
    );
    let body: Value = serde_json::from_str(got["body"].as_str().unwrap()).unwrap();
    assert_eq!((&body["v"], &body["id"], &body["day"]), (&1.into(), &got["key"], &"2026-03-05".into()));
    let thing = &body["things"][0];
    assert_eq!(thing["code"], code(&world, "pump-test-spring"));
    assert_eq!(
        (&thing["subject"], &thing["due_on"], &thing["number"]),
        (&"elm/pump".into(), &"2026-03-11".into(), &0.into())
    );
    for private in ["why", "tell"] {
        assert_eq!(thing.get(private), None);
    }
    // With another key the receiver would have refused it.
    world.file("hook.key", "another key of a hook\n");
    let world = world.on("2026-03-18");
    assert!(world.run(&["remind"]).ok().starts_with("hook: sent"));
    assert_eq!(server.received()[1]["holds"], false);
    // A key of 15 characters can be found by trying (RFC 2104 3); nothing is signed with it.
    world.file("hook.key", "fifteen letters\n");
    let world = world.on("2026-03-25");
    let said = world.run(&["remind"]).fails_saying(1);
    assert!(said.contains("error: channel `hook`: its secret has fewer than 16 characters\n"), "{said}");
    assert_eq!(server.received().len(), 2);
}

#[test]
fn receivers_python_that_fail_get_the_same_message_under_the_same_key() {
    let world = with_key();
    // Hangs up, has trouble of its own, refuses, points elsewhere, takes it.
    let server = Server::start(&world, "hook.py", &["s3cret key of a hook", "--answers", "0,503,403,307,200"]);
    set_up(&world, &hook(&format!("http://localhost:{}/", server.port)));
    let states = || rows(&world, "SELECT state FROM reminder_messages");
    for (says, state) in [("`localhost`: ", "begun"), ("`localhost` answered 503\n", "begun")] {
        let outcome = world.run(&["remind"]);
        assert!(outcome.stderr.starts_with(&format!("error: channel `hook`: {says}")), "{}", outcome.stderr);
        assert_eq!(states(), [state]);
    }
    // What was in doubt stays so: it may have been taken before it was refused.
    for says in ["answered 403\n", "answered 307\n"] {
        let outcome = world.run(&["remind"]);
        assert!(outcome.stderr.contains(says), "{}", outcome.stderr);
    }
    assert_eq!(world.run(&["remind"]).ok(), "hook: 1 message sent again, which may have gone out before\n");
    assert_eq!(states(), ["sent"]);
    let got = server.received();
    assert_eq!(got.len(), 5);
    assert!(got.iter().all(|one| one["key"] == got[0]["key"] && one["body"] == got[0]["body"] && one["holds"] == true));
    assert!(got.iter().all(|one| one["path"] == "/"));
}

#[test]
fn receivers_python_of_a_webhook_behind_tls_want_the_right_name() {
    let world = with_key();
    for (name, ca, says) in [
        ("localhost", "ca = 'ca.pem'\n", None),
        ("localhost", "", Some("UnknownIssuer")),
        ("other.example.org", "ca = 'ca.pem'\n", Some("certificate not valid for name \"localhost\"")),
    ] {
        let pem = certificates(&world, name);
        let server = Server::start(&world, "hook.py", &["s3cret key of a hook", "--certificate", &pem]);
        let before = server.received().len();
        let channel = format!("{}{ca}", hook(&format!("https://localhost:{}/", server.port)));
        set_up(&world, &channel.replace("'hook'", &format!("'hook-{name}{}'", ca.len())));
        let outcome = world.run(&["remind"]);
        match says {
            None => assert!(outcome.ok().ends_with("sent 1 message of 1 thing\n")),
            Some(says) => assert!(outcome.stderr.contains(says), "{}", outcome.stderr),
        }
        assert_eq!(server.received().len() - before, usize::from(says.is_none()));
    }
    assert_eq!(rows(&world, "SELECT state FROM reminder_messages WHERE state = 'sent'"), ["sent"]);
}

#[test]
fn an_address_that_is_a_secret_is_not_shown() {
    let world = with_key();
    let text = hook("-").replace("'-'", "{ env = 'HOOK' }");
    set_up(&world, &text);
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    for (url, says) in [
        (format!("http://localhost:{port}/hush-hush"), "`localhost`: "),
        ("http://hooks.example.org/hush-hush".into(), "what goes to `hooks.example.org` would not be encrypted"),
        ("hush-hush".into(), "its secret address is not one of the web"),
    ] {
        let mut command = world.command();
        command.env("HOOK", url);
        let outcome = finish(command, &["remind"], &world.path(""));
        assert!(outcome.stderr.starts_with(&format!("error: channel `hook`: {says}")), "{}", outcome.stderr);
        assert!(
            !outcome.stderr.contains("hush") && !world.run(&["status"]).ok().contains("hush"),
            "{}",
            outcome.stderr
        );
    }
}

#[test]
fn a_command_gets_json_on_its_input_no_shell_and_no_secrets() {
    let world = with_key();
    let own = "[[channel]]\nname = 'own'\nkind = 'command'\nrun = ['sh', '-c', 'cat > got; echo \"${HOOK-unset} $1\" > said', 'sh', '$(touch shell)']\n";
    set_up(&world, &format!("{own}{}", hook("-").replace("'-'", "{ env = 'HOOK' }")));
    let mut command = world.command();
    command.env("HOOK", "https://localhost:1/").env("PATH", std::env::var("PATH").unwrap());
    let outcome = finish(command, &["remind"], &world.path(""));
    assert!(outcome.stdout.starts_with("own: sent 1 message of 1 thing\n"), "{}", outcome.stdout);
    assert_eq!(std::fs::read_to_string(world.path("said")).unwrap(), "unset $(touch shell)\n");
    let got: Value = serde_json::from_str(&std::fs::read_to_string(world.path("got")).unwrap()).unwrap();
    assert_eq!(got["things"][0]["duty"], "pump-test-spring");
    // One that takes too long is stopped, and tried again later.
    set_up(&world, "[[channel]]\nname = 'slow'\nkind = 'command'\nrun = ['sleep', '60']\ntime_limit = 1\n");
    let outcome = world.run(&["remind"]);
    assert!(
        outcome.stderr.starts_with("error: channel `slow`: `sleep` took longer than 1 seconds\n"),
        "{}",
        outcome.stderr
    );
}

#[test]
fn a_notice_of_the_desktop_by_the_desktops_own_program() {
    let world = with_key();
    set_up(&world, "[[channel]]\nname = 'desk'\nkind = 'desktop'\n");
    let run = |path: &str| {
        let mut command = world.command();
        command.env("PATH", path);
        finish(command, &["remind"], &world.path(""))
    };
    let outcome = run("/nowhere");
    let missing = "error: channel `desk`: `notify-send` cannot be run: there is no such program\n";
    assert!(outcome.stderr.starts_with(missing), "{}", outcome.stderr);
    world.run(&["duty", "set", "a-b", "--at", "elm", "--once", "2026-03-08", "--title", "<b>turn & look</b>"]).ok();
    std::fs::create_dir(world.path("bin")).unwrap();
    let script = world.file("bin/notify-send", "#!/bin/sh\nprintf '%s\\n' \"$@\" > told\n");
    std::fs::set_permissions(&script, std::fs::Permissions::from_mode(0o700)).unwrap();
    assert_eq!(run(world.path("bin").to_str().unwrap()).ok(), "desk: sent 1 message of 2 things\n");
    let told = std::fs::read_to_string(world.path("told")).unwrap();
    let [own, pump] = ["a-b", "pump-test-spring"].map(|duty| code(&world, duty));
    assert_eq!(
        told,
        format!(
            "--app-name=stemwall\n--\nelm: 2 things to do\nelm: &lt;b&gt;turn &amp; look&lt;/b&gt; ({own})\nelm/pump: test the sump pump ({pump})\n"
        )
    );
}

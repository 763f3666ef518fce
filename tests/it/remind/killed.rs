//! `remind --stay` killed at any moment, again and again: every reminder arrives, and each under one name.

use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

use super::server::{Server, channel};
use super::stay::{Stays, slept_through};
use super::{rows, set_up};
use crate::world::{World, finish};

/// How often it is killed.
const KILLS: u32 = 200;

/// Houses with a pump, a tree and a gutter each: enough that there is something left to send when it is killed the last time.
fn houses() -> World {
    let world = World::new();
    for n in 0..14 {
        let key = format!("house-{n}");
        let add = ["property", "add", &key, "--name", "A house", "--on", "2024-02-20", "--last-freeze", "04-25"];
        world.run(&[&add[..], &["--first-freeze", "10-12"]].concat()).ok();
        world.run(&["section", "add", &format!("{key}/main"), "--foundation", "basement", "--on", "2024-02-20"]).ok();
        for kind in ["sump-pump", "gutter"] {
            world.run(&["fixture", "add", &format!("{key}/{kind}"), "--kind", kind, "--on", "2024-02-20"]).ok();
        }
    }
    world
}

/// The codes of everything that a channel has to tell of today: what is due within the week of its lead.
fn to_be_told(world: &World) -> BTreeSet<String> {
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_stemwall"));
    command.env_clear().env("HOME", world.path("")).arg("--ledger").arg(world.ledger());
    let due = finish(command, &["--json", "due", "--within", "7d"], &world.path("")).json();
    due.as_array().unwrap().iter().map(|row| row["code"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn receivers_python_get_every_mail_under_one_name_however_often_the_sender_is_killed() {
    let world = houses();
    let server = Server::mail(&world, &[]);
    let day = chrono::Utc::now().date_naive();
    let expected = to_be_told(&world);
    // Once everything is sent, it is sent to a channel of another name, so that there is always something to be killed in.
    let mut channels = 0;
    let next = |channels: &mut u32| {
        *channels += 1;
        let name = format!("to-{channels}");
        let text = channel(server.port, "security = 'none'").replace("'me'\nkind", &format!("'{name}'\nkind"));
        set_up(&world, &format!("digest = 'each'\n{text}"));
        slept_through(&world, &[&name]);
    };
    let is_done = || rows(&world, "SELECT name FROM reminder_channels WHERE handled_until < '2026-01-02'").is_empty();
    next(&mut channels);
    let mut while_sending = 0;
    for round in 0..KILLS {
        if is_done() {
            next(&mut channels);
        }
        let before = server.received().len();
        let mut stays = Stays::start(&world);
        // Spread over the start of the program and its first messages.
        std::thread::sleep(Duration::from_micros(u64::from(round * 7919 % 1000) * 80));
        stays.kill();
        while_sending += usize::from(server.received().len() > before);
    }
    let in_doubt = rows(&world, "SELECT id FROM reminder_messages WHERE state = 'begun'").len();
    let mut stays = Stays::start(&world);
    stays.until("waiting until ");
    stays.kill();
    assert!(is_done());

    // By name: the texts that arrived under it.
    let mut by_id: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let all = server.received();
    for mail in &all {
        let text = mail["text"].as_str().unwrap().to_owned();
        by_id.entry(mail["id"].as_str().unwrap().to_owned()).or_default().insert(text);
    }
    // What came again under a name is the same word for word.
    assert!(by_id.values().all(|texts| texts.len() == 1));
    let codes: Vec<String> = by_id.values().flatten().map(|text| code_in(text)).collect();
    let doubled = all.len() - by_id.len();
    let told = "mails under names of their own";
    eprintln!(
        "{KILLS} kills, {while_sending} of them while it sent: {} {told}, {doubled} came again, {in_doubt} in doubt at the end",
        by_id.len()
    );
    assert!(while_sending > 0, "no kill while it sent shows nothing");
    // Over midnight another day's list is due.
    if chrono::Utc::now().date_naive() == day {
        assert_eq!(codes.len(), expected.len() * channels as usize, "one name a thing and channel");
        assert_eq!(codes.into_iter().collect::<BTreeSet<_>>(), expected);
    }
    world.run(&["verify"]).ok();
}

fn code_in(text: &str) -> String {
    let after = text.split(" · code ").nth(1).unwrap_or_else(|| panic!("no code in {text}"));
    after.split_whitespace().next().unwrap().to_owned()
}

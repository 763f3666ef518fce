//! `remind --stay` killed at any moment, again and again: every reminder arrives, and each under one name.
//!
//! The moments are random: while it starts and sends, while it is asleep, and while its channel is down and it waits for the
//! next try. The seed is printed; `STEMWALL_TEST_SEED` gives it again.

use std::collections::{BTreeMap, BTreeSet};
use std::hash::{BuildHasher, RandomState};
use std::time::{Duration, Instant};

use super::server::{Server, channel};
use super::stay::{Stays, slept_through};
use super::{rows, set_up};
use crate::world::{World, finish};

/// How often it is killed.
const KILLS: u32 = 200;

/// Houses with a pump and a gutter each: enough that there is something left to send when it is killed in the midst.
fn houses() -> World {
    let world = World::new();
    for n in 0..6 {
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
        set_up(&world, &of_name(server.port, &name));
        slept_through(&world, &[&name]);
    };
    let is_done = || rows(&world, "SELECT name FROM reminder_channels WHERE handled_until < '2026-01-02'").is_empty();
    next(&mut channels);
    let mut random = Random::new();
    // How long it takes from its start to its first message, on this machine and under this load.
    let begun = Instant::now();
    let mut stays = Stays::start(&world);
    while server.received().is_empty() {
        std::thread::sleep(Duration::from_millis(2));
    }
    let spread = u64::try_from(begun.elapsed().as_micros() * 2).unwrap().max(1);
    stays.kill();
    let (mut while_sending, mut asleep, mut down) = (0, 0, 0);
    for _ in 0..KILLS {
        if is_done() {
            next(&mut channels);
        }
        let before = server.received().len();
        let mut is_down = false;
        let mut stays;
        match random.below(10) {
            // Asleep, with nothing left to send.
            0 => {
                stays = Stays::start(&world);
                stays.until("waiting until ");
                std::thread::sleep(Duration::from_millis(random.below(60)));
                asleep += 1;
            }
            // Its server is away, and it waits until it tries again.
            1 => {
                let name = format!("to-{channels}");
                set_up(&world, &of_name(1, &name));
                stays = Stays::start(&world);
                stays.until("waiting until ");
                std::thread::sleep(Duration::from_millis(random.below(60)));
                assert!(rows(&world, "SELECT name FROM reminder_channels WHERE problem IS NOT NULL").contains(&name));
                set_up(&world, &of_name(server.port, &name));
                (is_down, down) = (true, down + 1);
            }
            _ => {
                stays = Stays::start(&world);
                std::thread::sleep(Duration::from_micros(random.below(spread)));
            }
        }
        stays.kill();
        if is_down {
            // It would be left alone for a minute.
            slept_through(&world, &[&format!("to-{channels}")]);
        }
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
        "{KILLS} kills, {while_sending} of them while it sent, {asleep} asleep, {down} while its server was away: {} {told}, {doubled} came again, {in_doubt} in doubt at the end",
        by_id.len()
    );
    assert!(while_sending > 0, "no kill while it sent shows nothing");
    assert!(asleep > 0 && down > 0);
    // Over midnight another day's list is due.
    if chrono::Utc::now().date_naive() == day {
        assert_eq!(codes.len(), expected.len() * channels as usize, "one name a thing and channel");
        assert_eq!(codes.into_iter().collect::<BTreeSet<_>>(), expected);
    }
    world.run(&["verify"]).ok();
}

/// A configuration of one channel to a server on this machine.
fn of_name(port: u16, name: &str) -> String {
    let text = channel(port, "security = 'none'").replace("'me'\nkind", &format!("'{name}'\nkind"));
    format!("digest = 'each'\n{text}")
}

/// Random numbers by their seed (xorshift).
struct Random(u64);

impl Random {
    fn new() -> Random {
        let given = std::env::var("STEMWALL_TEST_SEED").ok().and_then(|seed| seed.parse().ok());
        let seed = given.unwrap_or_else(|| RandomState::new().hash_one(0)).max(1);
        eprintln!("STEMWALL_TEST_SEED={seed}");
        Random(seed)
    }

    fn below(&mut self, end: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % end
    }
}

fn code_in(text: &str) -> String {
    let after = text.split(" · code ").nth(1).unwrap_or_else(|| panic!("no code in {text}"));
    after.split_whitespace().next().unwrap().to_owned()
}

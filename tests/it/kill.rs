//! What was acknowledged is there after `kill -9`, at whatever moment it comes; what was not leaves nothing behind.

use std::process::Stdio;
use std::time::Duration;

use crate::world::World;

/// Spreads the kills over the run of a command, however long a busy machine makes it.
struct Moments {
    round: u64,
    upto: Duration,
}

impl Moments {
    fn new() -> Moments {
        Moments { round: 0, upto: Duration::from_millis(10) }
    }

    fn next(&mut self) -> Duration {
        self.round += 1;
        self.upto * u32::try_from(self.round * 7919 % 1000).expect("below a thousand") / 1000
    }

    /// A command that ended by itself shortens the span of moments, one that was killed makes it longer.
    fn learn(&mut self, ended: bool) {
        self.upto =
            (self.upto * if ended { 8 } else { 12 } / 10).clamp(Duration::from_millis(1), Duration::from_secs(5));
    }
}

/// Runs `args`, kills it after a moment, and gives what it had acknowledged by then.
fn killed(world: &World, args: &[&str], moments: &mut Moments) -> String {
    let mut command = world.command();
    let mut child = command.args(args).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("it starts");
    std::thread::sleep(moments.next());
    let _ = child.kill();
    let output = child.wait_with_output().expect("it ends");
    moments.learn(output.status.success());
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Numbers of the entries that an output acknowledges.
fn acknowledged(output: &str) -> Vec<i64> {
    let numbers = output.lines().filter_map(|line| line.strip_prefix("recorded elm#"));
    numbers.filter_map(|rest| rest.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()).collect()
}

fn seqs(world: &World) -> Vec<i64> {
    world.entries().into_iter().filter(|(chain, ..)| *chain != 0).map(|(_, seq, _)| seq).collect()
}

#[test]
fn readings_corrections_and_attachments_survive_being_killed() {
    let world = World::with_crack();
    let photo = world.file("photo.png", vec![7u8; 200_000]);
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2024-02-01"]).ok();
    let mut promised = Vec::new();
    let mut moments = Moments::new();
    for i in 0..120 {
        let width = format!("0.{} mm", 8 + i % 2);
        let on = format!("2024-{:02}-{:02}", 3 + i % 9, 1 + i % 28);
        let correction = format!("1.{} mm", i % 10);
        let args: &[&str] = match i % 3 {
            0 => &["reading", "add", "elm/1", "--width", &width, "--on", &on],
            1 => &["correct", "elm#4", "--width", &correction, "--why", "misread"],
            _ => &["attach", "elm/1", &photo],
        };
        promised.extend(acknowledged(&killed(&world, args, &mut moments)));
        let there = seqs(&world);
        assert!(promised.iter().all(|seq| there.contains(seq)), "round {i}: {promised:?} not all in {there:?}");
    }
    // A loop that never lets a command finish, or never stops one, shows nothing.
    assert!(promised.len() > 5 && promised.len() < 119, "{} acknowledged", promised.len());
    world.run(&["verify"]).ok();
}

#[test]
fn a_ledger_being_made_is_there_whole_or_not_at_all() {
    let mut whole = 0;
    let mut moments = Moments::new();
    for _ in 0..40 {
        let world = World::empty();
        let _ = killed(&world, &["init"], &mut moments);
        if world.ledger().exists() {
            world.run(&["verify"]).ok();
            whole += 1;
        } else {
            world.run(&["init"]).ok();
        }
    }
    assert!(whole > 0 && whole < 40, "{whole} of 40 were whole");
}

#[test]
fn a_ledger_of_the_schema_before_is_brought_up_to_date_wholly_or_not_at_all() {
    let old = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/ledgers/schema-1.stemwall");
    let version = |world: &World| -> i64 {
        let connection = rusqlite::Connection::open(world.ledger()).unwrap();
        connection.query_row("SELECT max(version) FROM refinery_schema_history", [], |r| r.get(0)).unwrap()
    };
    let mut moments = Moments::new();
    let mut migrated = 0;
    for _ in 0..40 {
        let world = World::empty();
        std::fs::copy(&old, world.ledger()).unwrap();
        let before = world.entries();
        let _ = killed(&world, &["status"], &mut moments);
        assert_eq!(world.entries(), before);
        migrated += usize::from(version(&world) > 1);
        world.run(&["verify"]).ok();
        world.run(&["reading", "add", "elm/1", "--width", "0.9 mm"]).ok();
    }
    assert!(migrated > 0 && migrated < 40, "{migrated} of 40 were brought up to date");
}

#[test]
fn eight_writers_at_once_keep_every_entry() {
    const EACH: usize = 12;
    let world = World::with_crack();
    let before = seqs(&world).len();
    std::thread::scope(|scope| {
        for writer in 0..8 {
            let world = &world;
            scope.spawn(move || {
                for i in 0..EACH {
                    let width = format!("0.{} mm", 1 + i % 9);
                    let on = format!("2025-{:02}-{:02}", 1 + writer, 1 + i);
                    world.run(&["reading", "add", "elm/1", "--width", &width, "--on", &on, "--sure"]).ok();
                }
            });
        }
    });
    assert_eq!(seqs(&world).len() - before, 8 * EACH);
    world.run(&["verify"]).ok();
}

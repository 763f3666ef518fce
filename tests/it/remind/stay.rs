//! `remind --stay`: asleep until the next moment, awake when it has come, and over when it is told so.

use std::io::{BufRead, BufReader};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use super::{SCREEN, house, rows, set_up};
use crate::world::World;

/// A program that stays, on the clock of this machine.
pub struct Stays {
    child: Child,
    says: BufReader<ChildStdout>,
}

impl Stays {
    pub fn start(world: &World) -> Stays {
        let mut command = Command::new(env!("CARGO_BIN_EXE_stemwall"));
        command
            .env_clear()
            .env("HOME", world.path(""))
            .env("PATH", std::env::var("PATH").unwrap())
            .current_dir(world.path(""));
        command.arg("--ledger").arg(world.ledger()).args(["remind", "--stay"]);
        let mut child =
            command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("it starts");
        let says = BufReader::new(child.stdout.take().expect("its output is piped"));
        Stays { child, says }
    }

    pub fn line(&mut self) -> String {
        let mut line = String::new();
        self.says.read_line(&mut line).expect("it says something");
        line
    }

    /// Reads up to a line that begins so.
    pub fn until(&mut self, begins: &str) -> String {
        loop {
            let line = self.line();
            assert!(!line.is_empty(), "it ended before it said `{begins}`");
            if line.starts_with(begins) {
                return line;
            }
        }
    }

    fn signal(&self, name: &str) {
        let pid = self.child.id().to_string();
        assert!(Command::new("kill").args([name, &pid]).status().unwrap().success());
    }

    /// What it complained of, once it has ended.
    fn complaints(&mut self) -> String {
        let mut text = String::new();
        let from = self.child.stderr.as_mut().expect("its complaints are piped");
        std::io::Read::read_to_string(from, &mut text).expect("text");
        text
    }

    pub fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// A figure of what the kernel says of it.
    fn status(&self, name: &str) -> u64 {
        let text = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).unwrap();
        let line = text.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(':')).unwrap().trim();
        line.split_whitespace().next().unwrap().parse().unwrap()
    }
}

impl Drop for Stays {
    fn drop(&mut self) {
        self.kill();
    }
}

/// As if it had been started two days ago and had not run since.
pub fn slept_through(world: &World, channels: &[&str]) {
    for name in channels {
        let row = format!(
            "INSERT OR REPLACE INTO reminder_channels VALUES ('{name}', '2026-01-01T00:00:00Z', NULL, 0, NULL, NULL)"
        );
        world.sql(&row).unwrap();
    }
}

#[test]
fn a_moment_that_was_slept_through_is_made_up_for_and_the_next_is_waited_for() {
    let world = house();
    set_up(&world, &format!("when = '0 0 1 1 *'\n{SCREEN}"));
    // Met for the first time, a channel has its first moment ahead.
    let mut stays = Stays::start(&world);
    assert!(stays.line().starts_with("waiting until 20"));
    stays.kill();
    assert!(rows(&world, "SELECT id FROM reminder_messages").is_empty());
    slept_through(&world, &["here"]);
    set_up(&world, &format!("when = '* * * * *'\n{SCREEN}"));
    let mut stays = Stays::start(&world);
    assert!(stays.until("here: ").starts_with("here: sent "));
    stays.until("waiting until ");
    // It ends when it is told so, at once, and says that it does.
    let begun = Instant::now();
    stays.signal("-TERM");
    stays.until("ended");
    assert!(stays.child.wait().unwrap().success());
    assert!(begun.elapsed() < Duration::from_secs(5));
}

#[test]
fn asleep_it_does_not_wake_and_is_small_and_reads_its_configuration_again_when_told() {
    let world = house();
    set_up(&world, &format!("when = '0 0 1 1 *'\n{SCREEN}"));
    slept_through(&world, &["here"]);
    let mut stays = Stays::start(&world);
    stays.until("waiting until ");
    std::thread::sleep(Duration::from_millis(300));
    let wakes = |stays: &Stays| stays.status("voluntary_ctxt_switches") + stays.status("nonvoluntary_ctxt_switches");
    let before = wakes(&stays);
    std::thread::sleep(Duration::from_secs(3));
    assert_eq!(wakes(&stays), before);
    assert_eq!(stays.status("Threads"), 1);
    let resident = stays.status("VmRSS");
    assert!(resident < 30 * 1024, "{resident} KiB");
    set_up(&world, &format!("when = '0 0 29 2 *'\n{SCREEN}"));
    stays.signal("-HUP");
    let next = stays.until("waiting until ");
    assert!(next.contains("-02-29 00:00 UTC"), "{next}");
    // A configuration that does not read is said, and the one before stays in force.
    set_up(&world, "quiet = 'x'");
    stays.signal("-HUP");
    std::thread::sleep(Duration::from_millis(300));
    stays.signal("-INT");
    stays.until("ended");
    assert!(stays.child.wait().unwrap().success());
    let wrong = "error: no channel is set up\ngiven: remind --stay\n  try: add one: `[[channel]]`, `name = \"here\"`, `kind = \"screen\"`\n";
    assert_eq!(stays.complaints(), wrong);
}

/// How far the clock on the wall is into its minute.
fn into_the_minute() -> Duration {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).expect("after 1970");
    Duration::from_secs(since.as_secs() % 60) + Duration::from_nanos(since.subsec_nanos().into())
}

/// A machine that is suspended runs no program, and its clock goes on: so it is with one that is stopped.
#[test]
fn a_moment_in_which_the_machine_was_suspended_is_made_up_for_once() {
    let world = house();
    set_up(&world, &format!("when = '* * * * *'\n{SCREEN}"));
    if into_the_minute() > Duration::from_secs(50) {
        std::thread::sleep(Duration::from_secs(61) - into_the_minute());
    }
    let mut stays = Stays::start(&world);
    assert!(stays.until("waiting until ").starts_with("waiting until 20"));
    stays.signal("-STOP");
    std::thread::sleep(Duration::from_secs(61) - into_the_minute());
    assert!(rows(&world, "SELECT id FROM reminder_messages").is_empty());
    stays.signal("-CONT");
    assert!(stays.until("here: ").starts_with("here: sent "));
    stays.until("waiting until ");
    stays.kill();
    assert_eq!(rows(&world, "SELECT id FROM reminder_messages").len(), 1);
}

/// The clock is set to what it shows: the kernel tells that it was set, whatever to.
#[test]
fn when_the_clock_was_set_it_looks_at_it_again() {
    let world = house();
    set_up(&world, &format!("when = '0 0 1 1 *'\n{SCREEN}"));
    let mut stays = Stays::start(&world);
    stays.until("waiting until ");
    std::thread::sleep(Duration::from_millis(300));
    let wakes = |stays: &Stays| stays.status("voluntary_ctxt_switches");
    let before = wakes(&stays);
    let set = Command::new("sh").args(["-c", "date -s \"@$(date +%s.%N)\""]).output().unwrap();
    assert!(set.status.success(), "{}", String::from_utf8_lossy(&set.stderr));
    let begun = Instant::now();
    while wakes(&stays) == before {
        assert!(begun.elapsed() < Duration::from_secs(10), "it slept on");
        std::thread::sleep(Duration::from_millis(20));
    }
    stays.signal("-TERM");
    stays.until("ended");
    assert!(stays.child.wait().unwrap().success());
}

#[test]
fn two_at_once_send_one_message() {
    let world = house().on("2026-03-05");
    set_up(
        &world,
        "[[channel]]\nname = 'own'\nkind = 'command'\nrun = ['sh', '-c', 'cat >> got; echo >> got; sleep 0.2']\n",
    );
    let runs: Vec<_> = (0..4)
        .map(|_| {
            world
                .command()
                .arg("remind")
                .env("PATH", std::env::var("PATH").unwrap())
                .stdout(Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    for mut run in runs {
        assert!(run.wait().unwrap().success());
    }
    let got = std::fs::read_to_string(world.path("got")).unwrap_or_default();
    assert_eq!(got.lines().count(), 1, "{got}");
    assert_eq!(got.lines().count(), rows(&world, "SELECT id FROM reminder_messages").len(), "{got}");
}

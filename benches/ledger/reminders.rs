//! What `remind --stay` takes while it has nothing to do: memory, and how often it wakes.

use std::io::{BufRead, BufReader};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

use crate::measure::Figure;
use crate::{shell, stemwall};

/// How long it is watched.
const WATCHED: Duration = Duration::from_secs(30);
/// A moment that does not come meanwhile, unless the bench runs at the turn of a year.
const CONFIGURATION: &str = "zone = 'UTC'\nwhen = '0 0 1 1 *'\n[[channel]]\nname = 'here'\nkind = 'screen'\n";
const SLEPT_THROUGH: &str =
    "INSERT INTO reminder_channels VALUES ('here', '2020-01-01T00:00:00Z', NULL, 0, NULL, NULL)";

/// On the demo ledger, after a run that told of everything due in it.
pub fn idle(folder: &Path) -> Vec<Figure> {
    let demo = folder.join("reminded");
    let made = stemwall(Path::new("unused")).arg("demo").arg("--into").arg(&demo).output().expect("it runs");
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let (ledger, configuration) = (demo.join("houses.stemwall"), demo.join("remind.toml"));
    std::fs::write(&configuration, CONFIGURATION).expect("a file");
    std::fs::set_permissions(&configuration, std::fs::Permissions::from_mode(0o600)).expect("its mode");
    assert!(shell(&ledger, SLEPT_THROUGH).status().expect("it runs").success());
    // On the clock of this machine.
    let mut command = Command::new(stemwall(&ledger).get_program());
    let mut child = command
        .arg("--ledger")
        .arg(&ledger)
        .args(["remind", "--stay"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("it starts");
    let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines().map_while(Result::ok);
    assert!(lines.by_ref().any(|line| line.starts_with("here: sent ")), "something of the demo is due");
    assert!(lines.by_ref().any(|line| line.starts_with("waiting until ")), "it waits");
    std::thread::sleep(Duration::from_secs(1));
    let status = |name: &str| -> f64 {
        let text = std::fs::read_to_string(format!("/proc/{}/status", child.id())).expect("it runs");
        let line =
            text.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix(':')).expect("the kernel says so");
        line.split_whitespace().next().and_then(|figure| figure.parse().ok()).expect("a figure")
    };
    let wakes = || status("voluntary_ctxt_switches") + status("nonvoluntary_ctxt_switches");
    let before = wakes();
    std::thread::sleep(WATCHED);
    let (woken, resident) = (wakes() - before, status("VmRSS") / 1024.0);
    let stopped = Command::new("kill").arg(child.id().to_string()).status().expect("it runs");
    assert!(stopped.success() && child.wait().expect("it ends").success());
    let watched = format!("{} s", WATCHED.as_secs());
    vec![
        Figure::at_most("remind --stay, idle: wake-ups", woken, 0.0).beside(format!("{woken}"), watched),
        Figure::at_most("remind --stay, idle: MiB resident", resident, 30.0)
            .beside(format!("{resident:.1}"), "the demo ledger, after a run".into()),
    ]
}

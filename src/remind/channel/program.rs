//! A command of the user's: a list of words, no shell; what it needs on its standard input; a limit of time.

use std::io::{ErrorKind, Read, Write};
use std::os::unix::process::{CommandExt, ExitStatusExt};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use super::Failed;
use crate::remind::notice::one_line;

/// The most that is kept of what a command writes.
const KEPT: u64 = 64 << 10;
/// How long the rest of what it wrote is waited for, once it has ended.
const REST: Duration = Duration::from_secs(1);
/// The longest between two looks whether it has ended.
const LOOK: Duration = Duration::from_millis(50);

/// What a command left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ran {
    pub output: String,
}

/// Runs a command with `input` on its standard input.
///
/// Errors: it cannot be run, it fails, or it takes too long; then it is killed with everything it started.
pub fn run(words: &[String], input: &str, limit: Duration) -> Result<Ran, Failed> {
    run_without(words, input, limit, &[])
}

/// The same, without some variables of the environment.
pub fn run_without(words: &[String], input: &str, limit: Duration, hidden: &[String]) -> Result<Ran, Failed> {
    let (name, rest) = words.split_first().ok_or_else(|| Failed::certain("no command is given"))?;
    let mut command = Command::new(name);
    for variable in hidden {
        command.env_remove(variable);
    }
    let piped = command.args(rest).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = piped.process_group(0).spawn().map_err(|error| {
        let why = match error.kind() {
            ErrorKind::NotFound => "there is no such program".to_owned(),
            _ => error.to_string(),
        };
        Failed::certain(format!("`{name}` cannot be run: {why}"))
    })?;
    if let Some(mut to) = child.stdin.take() {
        let input = input.to_owned();
        // A command need not read it.
        std::thread::spawn(move || drop(to.write_all(input.as_bytes())));
    }
    let output = child.stdout.take().map(read_on);
    let complaints = child.stderr.take().map(read_on);
    let ended = wait(&mut child, limit).map_err(|error| Failed::unknown(format!("`{name}`: {error}")))?;
    let text =
        |from: Option<mpsc::Receiver<String>>| from.and_then(|from| from.recv_timeout(REST).ok()).unwrap_or_default();
    let said = || {
        let complaints = text(complaints);
        complaints.lines().map(one_line).find(|line| !line.is_empty()).map_or(String::new(), |line| format!(": {line}"))
    };
    match ended {
        None => Err(Failed::unknown(format!("`{name}` took longer than {} seconds", limit.as_secs()))),
        Some(status) if status.success() => Ok(Ran { output: text(output) }),
        Some(status) => match (status.code(), status.signal()) {
            (Some(code), _) => Err(Failed::certain(format!("`{name}` ended with {code}{}", said()))),
            (None, signal) => {
                let signal = signal.map_or(String::new(), |n| format!(" by signal {n}"));
                Err(Failed::unknown(format!("`{name}` was stopped{signal}")))
            }
        },
    }
}

/// Waits for its end; `None` where it took too long and was killed.
fn wait(child: &mut Child, limit: Duration) -> std::io::Result<Option<ExitStatus>> {
    let begun = Instant::now();
    let mut pause = Duration::from_millis(1);
    loop {
        if let Some(status) = child.try_wait()? {
            return Ok(Some(status));
        }
        let left = limit.saturating_sub(begun.elapsed());
        if left.is_zero() {
            // Not yet waited for, so that its number is still its own.
            let group = i32::try_from(child.id()).ok().and_then(rustix::process::Pid::from_raw);
            if let Some(group) = group {
                let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
            }
            child.wait()?;
            return Ok(None);
        }
        std::thread::sleep(pause.min(left));
        pause = (pause * 2).min(LOOK);
    }
}

/// Reads to the end beside everything else, so that the command never waits for a reader.
fn read_on(mut from: impl Read + Send + 'static) -> mpsc::Receiver<String> {
    let (give, take) = mpsc::channel();
    std::thread::spawn(move || {
        let mut bytes = Vec::new();
        let _ = from.by_ref().take(KEPT).read_to_end(&mut bytes);
        let _ = give.send(String::from_utf8_lossy(&bytes).into_owned());
        let _ = std::io::copy(&mut from, &mut std::io::sink());
    });
    take
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use super::{run, run_without};

    fn words(all: &[&str]) -> Vec<String> {
        all.iter().map(|word| (*word).to_owned()).collect()
    }

    #[test]
    fn what_it_reads_writes_and_ends_with() {
        let limit = Duration::from_secs(20);
        assert_eq!(run(&words(&["cat"]), "given\n", limit).unwrap().output, "given\n");
        // More than a pipe holds, read by nobody, and words that a shell would take apart.
        assert_eq!(run(&words(&["echo", "$HOME; true"]), &"x".repeat(1 << 20), limit).unwrap().output, "$HOME; true\n");
        let failed = run(&words(&["sh", "-c", "echo 'no room' >&2; exit 3"]), "", limit).unwrap_err();
        assert_eq!((failed.problem.as_str(), failed.certain), ("`sh` ended with 3: no room", true));
        let stopped = run(&words(&["sh", "-c", "kill -9 $$"]), "", limit).unwrap_err();
        assert_eq!((stopped.problem.as_str(), stopped.certain), ("`sh` was stopped by signal 9", false));
        assert!(run(&[], "", limit).is_err());
    }

    #[test]
    fn what_takes_too_long_is_killed_with_all_it_started() {
        let begun = Instant::now();
        let failed = run(&words(&["sh", "-c", "sleep 60 & sleep 60"]), "", Duration::from_secs(1)).unwrap_err();
        assert_eq!((failed.problem.as_str(), failed.certain), ("`sh` took longer than 1 seconds", false));
        assert!(begun.elapsed() < Duration::from_secs(20));
    }

    #[test]
    fn it_does_not_see_what_is_hidden() {
        let path = words(&["sh", "-c", "echo ${PATH:-nothing}"]);
        let run = |hidden: &[String]| run_without(&path, "", Duration::from_secs(20), hidden);
        assert_ne!(run(&[]).unwrap().output, "nothing\n");
        // A shell has a path of its own where it is given none, but not the one from here.
        let given = std::env::var("PATH").unwrap();
        assert_ne!(run(&words(&["PATH"])).unwrap().output.trim(), given);
    }
}

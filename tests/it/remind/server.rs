//! Receivers that are not ours, each a process of its own on this machine.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};

use serde_json::Value;

use crate::world::{World, python};

pub struct Server {
    child: Child,
    says: BufReader<ChildStdout>,
    pub port: u16,
    log: PathBuf,
}

fn script(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/receivers").join(name)
}

impl Server {
    /// Starts a receiver that notes what it takes in a file of the world's folder.
    pub fn start(world: &World, name: &str, words: &[&str]) -> Server {
        let log = world.path("received.jsonl");
        let mut command = Command::new(python());
        command.arg(script(name)).arg(&log).args(words).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut child = command.spawn().expect("python runs");
        let mut says = BufReader::new(child.stdout.take().expect("its output is piped"));
        let mut line = String::new();
        says.read_line(&mut line).expect("it says its port");
        let port = line.trim().parse().expect("a port");
        Server { child, says, port, log }
    }

    /// A mail server.
    pub fn mail(world: &World, words: &[&str]) -> Server {
        Server::start(world, "mail.py", words)
    }

    /// Waits until it stands still.
    pub fn hangs(&mut self) {
        let mut line = String::new();
        self.says.read_line(&mut line).expect("it says when it hangs");
        assert_eq!(line, "hanging\n");
    }

    pub fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// What was taken so far.
    pub fn received(&self) -> Vec<Value> {
        let text = std::fs::read_to_string(&self.log).unwrap_or_default();
        text.lines().map(|line| serde_json::from_str(line).expect("a line of JSON")).collect()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        self.kill();
    }
}

/// Makes `ca.pem` and `server.pem`, for a name, in the world's folder.
pub fn certificates(world: &World, name: &str) -> String {
    let made = Command::new(python()).arg(script("certificates.py")).arg(world.path("")).arg(name).status();
    assert!(made.expect("python runs").success());
    world.path("server.pem").display().to_string()
}

/// A channel of kind mail to a server on this machine.
pub fn channel(port: u16, more: &str) -> String {
    format!(
        "[[channel]]\nname = 'me'\nkind = 'mail'\nserver = 'localhost'\nport = {port}\nfrom = 'Houses <me@example.org>'\n\
         to = ['me@example.org', 'you@example.org']\n{more}\n"
    )
}

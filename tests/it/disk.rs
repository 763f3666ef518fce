//! A full disk: refused in words, and nothing of the refused entry is left. Needs the right to mount a small file system;
//! `tests/run` says so where it has to leave this out.

use std::path::Path;
use std::process::Command;

use crate::world::World;

/// A file system of 600 KiB, unmounted when the test ends, however it ends.
struct Small<'a>(&'a Path);

impl Small<'_> {
    fn mounted(at: &Path) -> Small<'_> {
        std::fs::create_dir(at).unwrap();
        let mount = Command::new("mount").args(["-t", "tmpfs", "-o", "size=600k", "tmpfs"]).arg(at).status().unwrap();
        assert!(mount.success(), "a small file system cannot be mounted here");
        Small(at)
    }
}

impl Drop for Small<'_> {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg(self.0).status();
    }
}

#[test]
fn a_full_disk_refuses_and_keeps_what_was_acknowledged() {
    let world = World::empty();
    let folder = world.path("small");
    let _small = Small::mounted(&folder);
    let run = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_stemwall"));
        command
            .env_clear()
            .env("HOME", &folder)
            .args(["--ledger", "small/houses.stemwall"])
            .current_dir(world.path(""));
        crate::world::finish(command, args, &world.path(""))
    };
    run(&["init"]).ok();
    let name = "x".repeat(6000);
    let mut acknowledged = 0;
    let said = loop {
        let outcome = run(&["property", "add", &format!("house-{acknowledged}"), "--name", &name]);
        if outcome.code != 0 {
            break outcome.fails(1);
        }
        acknowledged += 1;
        assert!(acknowledged < 200, "600 KiB never filled up");
    };
    assert_eq!(
        said,
        "error: the disk of `small/houses.stemwall` is full\n\
         given: small/houses.stemwall\n  \
           try: make room and try again; nothing was written\n"
    );
    let report = run(&["verify", "--json"]).json();
    assert_eq!(report["properties"], acknowledged);
    assert_eq!(report["bad"], serde_json::json!([]));
    // A file that does not fit is refused too, and leaves no part of itself.
    std::fs::write(world.path("photo.png"), vec![7u8; 900_000]).unwrap();
    let said = run(&["attach", "house-0", "photo.png"]).fails(1);
    assert!(said.starts_with("error: the disk of `small/houses.stemwall.files` is full\n"), "{said}");
    let left = std::fs::read_dir(folder.join("houses.stemwall.files")).map(|d| d.count()).unwrap_or(0);
    assert_eq!(left, 0);
}

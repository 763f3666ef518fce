//! What is said of a file that is no ledger, a ledger that is damaged, in use, or may only be read.

use super::world;
use crate::world::World;

#[test]
fn what_is_no_ledger_is_not_opened() {
    let world = World::empty();
    let missing = world.run(&["status"]).fails(1);
    assert_eq!(
        missing,
        "error: there is no ledger at `DIR/houses.stemwall`\ngiven: DIR/houses.stemwall\n  \
           try: `stemwall init` makes one; `--ledger PATH` names another\n"
    );
    world.file("houses.stemwall", "a letter, and longer than the header of a database file would be: ".repeat(4));
    assert_eq!(
        world.run(&["status"]).fails(1),
        "error: `DIR/houses.stemwall` is not a stemwall ledger\ngiven: DIR/houses.stemwall\n  \
           try: look at the path; `stemwall init` makes a ledger\n"
    );
}

#[test]
fn a_foreign_trigger_is_named_and_a_newer_schema_ends_with_three() {
    let world = World::with_crack();
    world.sql("CREATE TRIGGER evil AFTER INSERT ON note_rows BEGIN SELECT 1; END").unwrap();
    let said = world.run(&["status"]).fails(1);
    assert_eq!(
        said,
        "error: `DIR/houses.stemwall` is not as a ledger is made: trigger `evil` is not ours\n\
         given: DIR/houses.stemwall\n  \
           try: open only ledgers you trust; `stemwall restore` brings back your own from a backup\n"
    );
    // A newer program may have changed what rows mean and no table at all.
    for made in ["CREATE TABLE later (a); ", ""] {
        let world = World::with_crack();
        let noted = "INSERT INTO refinery_schema_history \
                     SELECT 99, 'later', applied_on, checksum FROM refinery_schema_history LIMIT 1";
        world.sql(&format!("{made}{noted}")).unwrap();
        for command in [&["status"][..], &["verify"], &["note", "add", "elm", "x"]] {
            assert_eq!(
                world.refused(3, command),
                "error: `DIR/houses.stemwall` was written by a newer stemwall (schema 99, this one knows 7)\n\
                 given: DIR/houses.stemwall\n  \
                   try: use the newer stemwall; this one would not understand what it writes\n"
            );
        }
    }
}

#[test]
fn a_ledger_cut_short_or_changed_is_said_to_be_damaged() {
    let world = world();
    let whole = std::fs::read(world.ledger()).unwrap();
    std::fs::write(world.ledger(), &whole[..whole.len() / 2]).unwrap();
    // The middle of the second line is SQLite's own.
    let damaged = "error: `DIR/houses.stemwall` is damaged: database disk image is malformed
given: DIR/houses.stemwall
  try: keep this file as it is, and restore the last backup beside it: `stemwall --ledger NEW restore FILE`
";
    for command in ["verify", "status"] {
        assert_eq!(world.run(&[command]).fails(3), damaged, "{command}");
    }
    // Cut anywhere, it is refused or read; nothing of it is taken for whole, and nothing panics.
    for tenth in 0..10 {
        std::fs::write(world.ledger(), &whole[..whole.len() * tenth / 10]).unwrap();
        let outcome = world.run(&["verify"]);
        assert!(matches!(outcome.code, 1 | 3), "{tenth} tenths: {}{}", outcome.stdout, outcome.stderr);
        assert!(outcome.stderr.starts_with("error: "), "{tenth} tenths: {}", outcome.stderr);
    }

    // One letter of a place, where it stands in a body of the file.
    let at = whole.windows(10).position(|w| w == b"south wall").unwrap();
    let mut changed = whole;
    changed[at] = b'm';
    std::fs::write(world.ledger(), &changed).unwrap();
    let outcome = world.run(&["verify"]);
    assert_eq!(outcome.code, 3, "{}{}", outcome.stdout, outcome.stderr);
    assert!(outcome.stdout.starts_with("elm#3: its body is not the one its envelope names\n"), "{}", outcome.stdout);
    assert_eq!(
        outcome.stderr,
        "error: 1 thing is wrong with this ledger\ngiven: DIR/houses.stemwall\n  \
           try: keep this file as it is, and restore the last backup beside it: \
         `stemwall --ledger NEW restore FILE`\n"
    );
}

#[test]
fn a_ledger_in_use_is_waited_for_and_then_said_to_be() {
    let world = World::with_crack();
    let other = rusqlite::Connection::open(world.ledger()).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let said = world.run(&["note", "add", "elm", "x"]).fails(1);
    assert_eq!(
        said,
        "error: `DIR/houses.stemwall` has been in use by another program for 10 seconds\n\
         given: DIR/houses.stemwall\n  \
           try: wait until the other program is done, then try again; nothing was written\n"
    );
    // Reading does not wait for a writer.
    world.run(&["status"]).ok();
}

#[test]
fn a_file_that_is_no_backup_restores_nothing() {
    let world = World::empty();
    let archive = world.file("other.tar", "not an archive");
    let said = world.run(&["restore", &archive]).fails(1);
    assert!(said.starts_with("error: `DIR/other.tar` is not a backup of a ledger: "), "{said}");
    assert!(!world.ledger().exists());
    assert_eq!(
        world.run(&["restore", "none.tar"]).fails(1),
        "error: the file `none.tar` cannot be read: there is no such file\ngiven: none.tar\n  try: look at the path\n"
    );
}

/// Root may write everywhere, so for root a copy of the program runs as somebody who owns nothing.
#[test]
fn a_ledger_that_may_only_be_read_is_read_and_not_written() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let world = world();
    let folder = world.path("");
    let allow = |name: &str, mode| {
        std::fs::set_permissions(world.path(name), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    std::fs::copy(env!("CARGO_BIN_EXE_stemwall"), world.path("program")).unwrap();
    for (name, mode) in [("program", 0o555), ("houses.stemwall", 0o444), ("", 0o555)] {
        allow(name, mode);
    }
    let run = |args: &[&str]| {
        let mut command = std::process::Command::new(world.path("program"));
        command.env_clear().current_dir(&folder).args(["--ledger", "houses.stemwall"]);
        if std::fs::metadata(&folder).unwrap().uid() == 0 {
            command.uid(65_534).gid(65_534);
        }
        crate::world::finish(command, args, &folder)
    };
    let read = run(&["status"]);
    let refused = [run(&["note", "add", "elm", "x"]), run(&["rebuild"]), run(&["backup", "b.tar"])];
    allow("", 0o755);
    assert!(read.ok().contains("elm"));
    for (outcome, path) in refused.into_iter().zip(["houses.stemwall", "houses.stemwall", "b.tar"]) {
        let expected = format!(
            "error: `{path}` cannot be written\ngiven: {path}\n  \
               try: look at who owns the file and its folder, and who may write\n"
        );
        assert_eq!(outcome.fails(1), expected);
    }
}

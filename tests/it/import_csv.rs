//! Lines of a file become entries, read as the commands read their flags; each goes in or says why not.

use crate::world::World;

fn import(world: &World, kind: &str, columns: &str, more: &[&str]) -> crate::world::Outcome {
    world.run(&[&["import", "csv", "lines.csv", "--kind", kind, "--columns", columns], more].concat())
}

#[test]
fn readings_come_in_once_however_often_the_file_does() {
    let world = World::with_crack();
    world.file("lines.csv", "\u{feff}no,when,w,gauge,moved\r\n1,01.02.2024,\"0,8\",card,no\r\n1,03.05.2024,0.9,card,yes\r\n1,03.05.2024,0.9,card,yes\r\n");
    let columns = "finding=no,on=when,width=w,with=gauge,moved=moved";
    let more = ["--dates", "%d.%m.%Y", "--units", "width=mm", "--property", "elm"];
    let dry = import(&world, "readings", columns, &[&more[..], &["--dry-run"]].concat());
    let refused = "error: line 2: `--width` is not a length\ngiven: 1,01.02.2024,0,8,card,no\n  try: there is a comma in the number; write `0.8`\n";
    assert_eq!((dry.code, dry.stdout.as_str()), (1, "3 rows: 2 entries would go in, 1 refused\n"));
    assert!(dry.stderr.starts_with(refused), "{}", dry.stderr);
    assert_eq!(world.entries().len(), 4, "nothing was written");
    world.file(
        "lines.csv",
        "no,when,w,gauge,moved\n1,01.02.2024,0.8,card,no\n1,03.05.2024,0.9,card,yes\n1,03.05.2024,0.9,card,yes\n",
    );
    assert_eq!(import(&world, "readings", columns, &more).ok(), "3 rows: 3 entries went in\n");
    assert_eq!(import(&world, "readings", columns, &more).ok(), "3 rows: 0 entries went in, 3 were here already\n");
    let shown = world.run(&["finding", "show", "elm/1", "--json"]).json();
    assert_eq!(shown["readings"].as_array().map(Vec::len), Some(3));
    let history = world.run(&["history", "elm/1"]).ok();
    assert!(history.contains("width 0.8 mm with card") && history.contains("2024-05-03"), "{history}");
    world.run(&["verify"]).ok();
}

#[test]
fn houses_and_findings_and_pump_tests_come_in_the_same_way() {
    let world = World::new();
    world.file("lines.csv", "key,street,year\nash,\"Ash Street, 5\",1931\noak,Oak Street,1950\nAsh!,Nowhere,1900\n");
    let said = import(&world, "properties", "property=key,name=street,built=year", &[]);
    assert_eq!((said.code, said.stdout.as_str()), (1, "3 rows: 2 entries went in, 1 refused\n"));
    assert!(said.stderr.starts_with("error: line 4: `Ash!` is not a name"), "{}", said.stderr);
    assert!(said.stderr.ends_with(
        "error: 1 of 3 rows was refused\n  try: set them right and import the file again: rows that went in are known\n"
    ));
    world.file("lines.csv", "house,what,where,seen,note\nash,crack,north wall,2024-01-05,=danger\nelm,crack,wall,2024-01-05,\nash,crevice,wall,2024-01-05,\n");
    let said = import(&world, "findings", "property=house,kind=what,place=where,on=seen,note=note", &[]);
    assert_eq!(said.stdout, "3 rows: 1 entry went in, 2 refused\n");
    assert!(
        said.stderr.contains("error: line 3: property `elm` is not in this ledger\ngiven: house elm\n"),
        "{}",
        said.stderr
    );
    assert!(said.stderr.contains("error: line 4: `crevice` is not a kind of finding\n"), "{}", said.stderr);
    assert!(world.run(&["history", "ash/1"]).ok().contains("=danger"));
    world.run(&["section", "add", "ash/main", "--foundation", "basement"]).ok();
    world.run(&["fixture", "add", "ash/pump", "--kind", "sump-pump", "--in", "main", "--pit", "18 in"]).ok();
    world.file("lines.csv", "pump,day,fall,ft,rise,rt\npump,2025-03-09,8 in,15 s,2 in,60 s\npump,2025-04-09,,,,\n");
    let columns = "fixture=pump,on=day,fall=fall,fall-time=ft,rise=rise,rise-time=rt";
    let said = import(&world, "sump-tests", columns, &["--property", "ash"]);
    assert_eq!(said.stdout, "2 rows: 1 entry went in, 1 refused\n");
    assert!(
        said.stderr.starts_with("error: line 3: --started-times, --failed or a timed drawdown is missing\n"),
        "{}",
        said.stderr
    );
    world.run(&["verify"]).ok();
}

#[test]
fn all_or_nothing_writes_nothing_where_one_line_is_refused() {
    let world = World::with_crack();
    world.file("lines.csv", "no,day,w\n1,2024-02-01,0.8 mm\n7,2024-02-01,0.8 mm\n");
    let before = world.entries();
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm", "--all-or-nothing"]);
    assert_eq!(said.code, 1);
    assert!(
        said.stderr.starts_with("error: line 3: there is no finding 7 at this property on 2024-02-01\n"),
        "{}",
        said.stderr
    );
    assert_eq!(world.entries(), before);
}

#[test]
fn columns_that_are_not_there_and_fields_that_nothing_takes_are_named() {
    let world = World::with_crack();
    world.file("lines.csv", "no,day,w\n1,2024-02-01,0.8 mm\n");
    let said = import(&world, "readings", "finding=nr,on=day,breadth=w", &["--dates", "%!"]).fails(2);
    for line in [
        "error: there is no column `nr` in `lines.csv`\n",
        "error: `breadth` is not a field of a reading\n",
        "error: no column is given for `property`\n",
        "  try: the fields are property, finding, on, by, note, photo, width, offset, ",
        "error: `%!` is not a way to write dates\n",
    ] {
        assert!(said.contains(line), "{line}\n{said}");
    }
    let said = import(&world, "walks", "on=day", &[]).fails(2);
    assert_eq!(
        said,
        "error: `walks` is not a kind of line\ngiven: --kind walks\n  try: one of readings, sump-tests, findings, properties\n"
    );
    for (text, says) in [
        (
            "no,day,w,m\nx,2024-02-01,0.8 mm,no\n",
            "error: line 2: `x` is not the number of a finding\ngiven: no x\n  try: findings are numbered from 1\n",
        ),
        (
            "no,day,w,m\n1,1 May,0.8 mm,no\n",
            "error: line 2: `1 May` is not a date\ngiven: day 1 May\n  try: `--dates %Y-%m-%d` says how they are written\n",
        ),
        (
            "no,day,w,m\n1,2024-02-01,0.8 mm,maybe\n",
            "error: line 2: `maybe` is neither yes nor no\ngiven: m maybe\n  try: write yes or no, or leave the cell empty\n",
        ),
        (
            "no,day,w,m\n1,2024-02-01,,no\n",
            "error: line 2: there is nothing to record in it\ngiven: 1,2024-02-01,,no\n  try: look at the cells of this line\n",
        ),
        (
            "no,day,w,m\n,2024-02-01,1 mm,no\n",
            "error: line 2: column `no` is empty\ngiven: ,2024-02-01,1 mm,no\n  try: every row needs its finding\n",
        ),
        ("no,day,w,m\n1,2024-02-01\n", "error: line 2: it has 2 fields, the header has 4\n"),
    ] {
        world.file("lines.csv", text);
        let said = import(&world, "readings", "finding=no,on=day,width=w,moved=m", &["--property", "elm"]);
        assert!(said.code == 1 && said.stderr.starts_with(says), "{text}\n{}", said.stderr);
    }
    world.file("lines.csv", b"no\0day\n1\0a\n");
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm"]);
    assert_ne!(said.code, 0);
}

/// A JPEG's start and end around an APP1 segment: big-endian TIFF, one directory that points to the EXIF directory, which
/// has `DateTimeOriginal` (0x9003, 20 characters at offset 44).
fn photograph(taken: &str) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x87\x69\0\x04\0\0\0\x01\0\0\0\x1a\0\0\0\0".to_vec();
    exif.extend(b"\0\x01\x90\x03\0\x02\0\0\0\x14\0\0\0\x2c\0\0\0\0");
    exif.extend(taken.bytes().chain([0]));
    let length = (exif.len() as u16 + 2).to_be_bytes();
    [&[0xff, 0xd8, 0xff, 0xe1], &length[..], &exif, &[0xff, 0xd9]].concat()
}

#[test]
fn a_photograph_gives_the_day_where_no_column_does() {
    let world = World::with_crack();
    world.file("a.jpg", photograph("2025:05:03 10:11:12"));
    world.file("b.jpg", photograph("0000:00:00 00:00:00"));
    world.file("lines.csv", "w,no,pic\n0.8 mm,1,a.jpg\n0.9 mm,1,b.jpg\n1 mm,1,c.jpg\n1 mm,1,../a.jpg\n");
    let columns = "width=w,finding=no,photo=pic";
    let said = import(&world, "readings", columns, &["--property", "elm"]);
    assert_eq!(said.stdout, "4 rows: 1 entry went in, 3 refused\n");
    for line in [
        "error: line 3: no column gives its day, and the photograph `b.jpg` does not say when it was taken\ngiven: pic b.jpg\n  try: give the day in a column: `on=COLUMN`\n",
        "error: line 4: the photograph `c.jpg` cannot be taken: there is no such file\ngiven: pic c.jpg\n  try: put it into the folder of the file, under that name\n",
        "error: line 5: the photograph `../a.jpg` cannot be taken: it has to lie beside the file\n",
    ] {
        assert!(said.stderr.contains(line), "{line}\n{}", said.stderr);
    }
    let history = world.run(&["history", "elm/1"]).ok();
    assert!(history.contains("2025-05-03        elm#4") && history.contains("with a.jpg"), "{history}");
    let shown = world.run(&["entry", "show", "elm#4"]).ok();
    assert!(shown.contains("          taken 2025-05-03T10:11, by its camera\n"), "{shown}");
    assert!(world.run(&["verify"]).ok().contains("1 file: every hash"), "the files of refused lines are not kept");
}

/// What went out as tables comes in as lines: the readings of one ledger, in another.
#[test]
fn a_table_that_was_exported_can_be_imported() {
    let (world, other) = (World::with_crack(), World::with_crack());
    for (on, width, at) in [
        ("2024-02-01", "0.8 mm", "=mark"),
        ("2024-05-01", "1/32 in", "mark, \"A\""),
        ("2024-08-01", "0.9 mm", "-🧱 שלום"),
    ] {
        world.run(&["reading", "add", "elm/1", "--width", width, "--on", on, &format!("--at={at}")]).ok();
    }
    world.run(&["export", "csv", "--out", "tables"]).ok();
    std::fs::copy(world.path("tables/readings.csv"), other.path("lines.csv")).unwrap();
    let columns = "property=property,finding=finding,on=on_day,width=typed,at=point";
    assert_eq!(import(&other, "readings", columns, &[]).ok(), "3 rows: 3 entries went in\n");
    other.run(&["export", "csv", "--out", "tables"]).ok();
    let text = |world: &World| std::fs::read_to_string(world.path("tables/readings.csv")).unwrap();
    assert_eq!(text(&world), text(&other));
}

#[test]
fn a_table_that_goes_in_whole_may_only_be_so_large_and_a_line_only_so_long() {
    let world = World::with_crack();
    // A file with a hole in it: it has a length, and takes no room.
    std::fs::File::create(world.path("lines.csv")).unwrap().set_len((64 << 20) + 1).unwrap();
    let columns = "finding=no,on=day,width=w";
    let said = import(&world, "readings", columns, &["--property", "elm", "--all-or-nothing"]).fails(1);
    assert_eq!(
        said,
        "error: `lines.csv` is larger than 64 MiB, which is the most that goes in whole or not at all\ngiven: lines.csv\n  try: \
         leave --all-or-nothing away: rows that went in are known when the file comes again; `--dry-run` says before what would \
         be refused\n"
    );
    let said = import(&world, "readings", columns, &["--property", "elm"]).fails(1);
    assert_eq!(
        said,
        "error: line 1 is longer than 16 MiB, which no line of a table is\ngiven: lines.csv\n  try: give a table: a header with the \
         names of the columns, then a line a row\n"
    );
}

/// Two hundred houses by turns, a table larger than what waits in memory; one row in it has no finding, one comes before its
/// finding was opened.
#[test]
fn a_table_larger_than_memory_goes_in_house_by_house() {
    const ROWS: usize = 20_000;
    let world = World::new();
    let mut houses = "key,name\n".to_owned();
    let mut findings = "house,what,where,day\n".to_owned();
    for house in 0..200 {
        houses.push_str(&format!("house-{house},House {house}\n"));
        findings.push_str(&format!("house-{house},crack,wall,2020-01-01\n"));
    }
    world.file("lines.csv", houses);
    import(&world, "properties", "property=key,name=name", &[]).ok();
    world.file("lines.csv", findings);
    import(&world, "findings", "property=house,kind=what,place=where,on=day", &[]).ok();
    let first = chrono::NaiveDate::from_ymd_opt(2020, 1, 1).unwrap();
    let note = "n".repeat(200);
    let mut text =
        format!("house,no,day,w,note\n\nhouse-7,2,2020-02-01,1 mm,{note}\nhouse-8,1,2019-12-31,1 mm,{note}\n");
    for row in 0..ROWS {
        let day = first + chrono::Days::new((row / 200) as u64);
        text.push_str(&format!("house-{},1,{day},1 mm,{note}\n", row % 200));
    }
    assert!(text.len() > 4 << 20);
    world.file("lines.csv", text);
    let columns = "property=house,finding=no,on=day,width=w,note=note";
    let before = world.entries().len();
    let says = |said: &crate::world::Outcome, stdout: &str| {
        assert_eq!((said.code, said.stdout.as_str()), (1, stdout), "{}", said.stderr);
        let lines: Vec<&str> = said.stderr.lines().filter(|line| line.starts_with("error: ")).collect();
        let [no_finding, before, all] = lines[..] else { panic!("{}", said.stderr) };
        assert_eq!(no_finding, "error: line 3: there is no finding 2 at this property on 2020-02-01");
        assert!(before.starts_with("error: line 4: ") && before.contains("2019-12-31"), "{before}");
        assert_eq!(all, "error: 2 of 20002 rows were refused");
    };
    says(&import(&world, "readings", columns, &["--dry-run"]), "20002 rows: 20000 entries would go in, 2 refused\n");
    assert_eq!(world.entries().len(), before);
    says(&import(&world, "readings", columns, &[]), "20002 rows: 20000 entries went in, 2 refused\n");
    says(
        &import(&world, "readings", columns, &[]),
        "20002 rows: 0 entries went in, 20000 were here already, 2 refused\n",
    );
    assert_eq!(world.entries().len(), before + ROWS);
    assert!(world.run(&["verify"]).ok().contains("every hash, link, file and computed row agrees"));
    let beside: Vec<_> = std::fs::read_dir(world.path("")).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert!(beside.len() < 8, "nothing is left beside the ledger: {beside:?}");
}

#[test]
fn a_quote_that_is_never_closed_is_refused_with_its_line() {
    let world = World::with_crack();
    world.file("lines.csv", "no,day,w,note\n1,2024-02-01,0.8 mm,\"fine\n1,2024-03-01,0.8 mm,\n1,2024-04-01,0.8 mm,\n");
    let before = world.entries();
    let columns = "finding=no,on=day,width=w,note=note";
    let said = import(&world, "readings", columns, &["--property", "elm"]).fails(1);
    assert_eq!(
        said,
        "error: a quote that is opened on line 2 is never closed, so all behind it would be one cell\ngiven: lines.csv\n  try: \
         close the quote, or take it away; a quote in a text is written twice\n"
    );
    assert_eq!(world.entries(), before);
    // Closed ones are none, however they look.
    world.file("lines.csv", "no,day,w,note\n1,2024-02-01,0.8 mm,\"a \"\"b\"\", c\nd\"\n1,2024-03-01,0.8 mm,5\" wide\n");
    assert_eq!(import(&world, "readings", columns, &["--property", "elm"]).ok(), "2 rows: 2 entries went in\n");
}

#[test]
fn a_reading_ten_times_the_last_is_refused_unless_it_is_sure() {
    let world = World::with_crack();
    // 90 mm is 150 times 0.6 mm; 5.9 mm is not ten times it.
    world.file("lines.csv", "no,day,w\n1,2024-02-01,0.6 mm\n1,2024-03-01,90 mm\n1,2024-04-01,5.9 mm\n");
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm"]);
    assert_eq!((said.code, said.stdout.as_str()), (1, "3 rows: 2 entries went in, 1 refused\n"));
    let refused = "error: line 3: `width 90 mm` is 150 times the last reading, `width 0.6 mm`\ngiven: 1,2024-03-01,90 mm\n  try: \
                   look at the unit and the decimal point; if it is right, add `--sure`\n";
    let measured = refused.replace("width 90", "90").replace("width 0.6", "0.6");
    assert!(said.stderr.starts_with(&measured), "{}", said.stderr);
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm", "--sure"]).ok();
    assert_eq!(said, "3 rows: 1 entry went in, 2 were here already\n");
}

#[test]
fn rows_before_a_later_reading_go_in_together_each_by_itself() {
    let world = World::with_crack();
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2025-12-01"]).ok();
    // Opened on 2024-01-05: the first row is too early, and finding 9 is not there.
    let mut text = "no,day,w\n1,2023-12-31,0.8 mm\n9,2024-02-01,0.8 mm\n".to_owned();
    let first = chrono::NaiveDate::from_ymd_opt(2024, 2, 1).unwrap();
    for n in 0..400 {
        text.push_str(&format!("1,{},0.8 mm\n", first + chrono::Days::new(n)));
    }
    world.file("lines.csv", text);
    let before = world.entries().len();
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm"]);
    assert_eq!(said.stdout, "402 rows: 400 entries went in, 2 refused\n");
    assert!(said.stderr.starts_with("error: line 2: ") && said.stderr.contains("error: line 3: there is no finding 9"));
    assert_eq!(world.entries().len(), before + 400);
    assert!(world.run(&["verify"]).ok().contains("every hash, link, file and computed row agrees"));
}

#[test]
fn what_reads_nowhere_is_said_once_and_other_separators_are_named() {
    let world = World::with_crack();
    world.file("lines.csv", "no,day,w\n1,01.02.2024,0.8 mm\n1,03.05.2024,0.9 mm\n");
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm"]).fails(2);
    assert_eq!(
        said,
        "error: no date of the 2 rows is written as in `%Y-%m-%d`; the first is `01.02.2024`\ngiven: --dates %Y-%m-%d\n  try: \
         write how days stand in the file, as in `%d.%m.%Y`\n"
    );
    // Something else is wrong, too: each is said.
    world.file("lines.csv", "no,day,w\n1,01.02.2024,0.8 mm\n1,03.05.2024,0.9 mm\n1,04.05.2024\n");
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm"]);
    assert_eq!((said.code, said.stdout.as_str()), (1, "3 rows: 0 entries went in, 3 refused\n"));
    assert!(said.stderr.contains("error: line 2: `01.02.2024` is not a date\n"), "{}", said.stderr);
    world.file("lines.csv", "no;day;w\n1;2024-02-01;0.8 mm\n");
    let said = import(&world, "readings", "finding=no,on=day,width=w", &["--property", "elm"]).fails(2);
    assert!(
        said.contains("  try: its columns stand between semicolons; save it with commas, as `CSV UTF-8`\n"),
        "{said}"
    );
    world.file("lines.csv", "no,day,w,note\n1,2024-02-01,0.8 mm,a\0b\n");
    let said = import(&world, "readings", "finding=no,on=day,width=w,note=note", &["--property", "elm"]);
    assert!(
        said.stderr.starts_with(
            "error: line 2: there is a NUL character in it, which no text has\ngiven: 1,2024-02-01,0.8 mm,aNULb\n"
        ),
        "{}",
        said.stderr
    );
    let said = import(&world, "radon", "on=day", &[]).fails(2);
    assert_eq!(
        said,
        "error: `radon` is not a kind of line\ngiven: --kind radon\n  try: `stemwall import radon FILE` takes radon tests; here one \
         of readings, sump-tests, findings, properties\n"
    );
}

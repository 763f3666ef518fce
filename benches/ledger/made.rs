//! Ledgers made for measuring, through the same doors as everything else.

use std::path::Path;
use std::time::{Duration, Instant};

use chrono::{DateTime, Days, NaiveDate, Utc};
use rusqlite::types::Value;
use rusqlite::{Connection, params_from_iter};
use stemwall::ledger::entry::Remarks;
use stemwall::ledger::fold::Draft;
use stemwall::ledger::kind::finding_opened::{FindingOpened, Particulars};
use stemwall::ledger::kind::fixture_added::{Fitted, FixtureAdded};
use stemwall::ledger::kind::ledger_started::LedgerStarted;
use stemwall::ledger::kind::property_added::PropertyAdded;
use stemwall::ledger::kind::radon_tested::RadonTested;
use stemwall::ledger::kind::reading_added::{Measured, ReadingAdded};
use stemwall::ledger::kind::section_added::SectionAdded;
use stemwall::ledger::subject::Name;
use stemwall::ledger::when::When;
use stemwall::quantity::{Currency, Typed, Units};
use stemwall::store::{Addressed, Store, Target};
use stemwall::trade::words::{Answer, Device, FindingKind, FixtureKind, Foundation, Runs, Walls, Water};
use uuid::Uuid;

use crate::measure::{Figure, median};

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).expect("a date")
}

fn recorded() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_366_400, 0).expect("a moment")
}

fn day(offset: u64) -> When {
    let first = NaiveDate::from_ymd_opt(2010, 1, 1).expect("a date");
    When::day(first.checked_add_days(Days::new(offset)).expect("a date"))
}

fn name(text: &str) -> Name {
    Name::parse(text).expect("a name")
}

fn fresh(path: &Path) -> Store {
    let started = LedgerStarted { units: Units::Us, currency: Currency::USD };
    Store::create(path, started, Remarks::default(), recorded()).expect("a fresh ledger")
}

fn remarks() -> Remarks {
    Remarks { by: Some("bench".into()), ..Remarks::default() }
}

fn house(number: u64, id: Uuid) -> [Addressed; 2] {
    let added = PropertyAdded {
        key: name(&format!("house-{number}")),
        name: format!("House {number}"),
        zone: "America/Chicago".into(),
        built: Some(1950),
        last_freeze: None,
        first_freeze: None,
        climate_zone: None,
        wet_season: None,
        value: None,
    };
    let section = SectionAdded {
        name: name("main"),
        foundation: Foundation::Basement,
        walls: Some(Walls::Block),
        area: None,
        place: None,
        clay: None,
        retarder: None,
    };
    [
        Addressed { property: Target::New(id), draft: Draft::new(day(0), remarks(), added) },
        Addressed { property: Target::Known(id), draft: Draft::new(day(0), remarks(), section) },
    ]
}

/// A fixture of a kind, there since the house is.
fn fixture(id: Uuid, kind: FixtureKind) -> Addressed {
    let fact = FixtureAdded { name: name(kind.word()), kind, section: None, fitted: Fitted::default() };
    Addressed { property: Target::Known(id), draft: Draft::new(day(0), remarks(), fact) }
}

fn crack(id: Uuid, number: u64) -> Addressed {
    let fact = FindingOpened {
        number: 0,
        kind: FindingKind::Crack,
        place: format!("wall {number}"),
        section: Some(name("main")),
        particulars: Particulars {
            runs: Some(Runs::Vertical),
            water: Some(Water::Dry),
            retains: Some(Answer::Yes),
            ..Particulars::default()
        },
    };
    Addressed { property: Target::Known(id), draft: Draft::new(day(number % 7), remarks(), fact) }
}

/// The `round`th reading of a finding, five days after the one before, breathing by a few tenths.
fn reading(id: Uuid, finding: u32, round: u64) -> Addressed {
    let tenths = 5 + (round * 7 + u64::from(finding)) % 4;
    let fact = ReadingAdded {
        finding,
        measured: Measured::Width(Typed::parse(&format!("0.{tenths} mm")).expect("a length")),
        over: None,
        resolution: Some(Typed::parse("0.1 mm").expect("a length")),
        with: None,
        at: None,
        moved: false,
    };
    Addressed { property: Target::Known(id), draft: Draft::new(day(8 + round * 5 % 5800), remarks(), fact) }
}

fn radon(id: Uuid, number: u64) -> Addressed {
    let started = When::parse("2024-01-12T10:00").expect("a date");
    let tenths = number * 37 % 120;
    let fact = RadonTested {
        section: name("main"),
        device: Device::Charcoal,
        result: Typed::parse(&format!("{}.{} pCi/L", tenths / 10, tenths % 10)).expect("an activity"),
        below: false,
        started,
        ended: Some(When::parse("2024-01-14T10:00").expect("a date")),
        lasted: None,
        closed: Some(Answer::Yes),
        room: None,
        level: None,
        placed_by: None,
        lab: None,
        beside: None,
        missing_hours: None,
        observed: Vec::new(),
        origin: None,
        stood: None,
        left_out: None,
    };
    Addressed { property: Target::Known(id), draft: Draft::new(started, remarks(), fact) }
}

fn append(store: &mut Store, drafts: Vec<Addressed>) {
    store.append(drafts, recorded(), today()).expect("the batch is accepted");
}

/// Single durable appends to properties that have `size` entries already, in turns so that none grows much, beside bare
/// SQLite transactions that write the same rows to tables of the same columns and keys, with the same pragmas, without
/// triggers and references.
///
/// One append to each property, then the bare transactions of the same, and so on: both see the same disk, whose
/// hiccups fall out with the median.
pub fn single_appends(folder: &Path, size: u64) -> Figure {
    const ROUNDS: u64 = 50;
    const PROPERTIES: u64 = 20;
    // A house with many entries has them on many findings: four years of monthly readings each.
    let findings = (size / 50).max(1);
    let path = folder.join(format!("single-{size}.stemwall"));
    let mut store = fresh(&path);
    let ids: Vec<Uuid> = (0..PROPERTIES).map(|_| Uuid::now_v7()).collect();
    for (number, id) in ids.iter().enumerate() {
        let mut drafts = Vec::from(house(number as u64, *id));
        drafts.extend((0..findings).map(|n| crack(*id, n)));
        let so_far = drafts.len() as u64;
        drafts.extend((0..size - so_far).map(|i| reading(*id, (i % findings) as u32 + 1, i / findings)));
        append(&mut store, drafts);
    }
    let rounds = size / findings;
    let before = folder.join(format!("before-{size}.stemwall"));
    store.backup_database(&before).expect("a copy");

    // Closed and opened again, so that nothing of the making is left in the log; then warm: the folds are in memory, as
    // they are for whoever records several things in a row.
    drop(store);
    let mut store = Store::open(&path).expect("the ledger");
    for id in &ids {
        append(&mut store, vec![reading(*id, 1, rounds + 1)]);
    }
    let bare = Bare::open(&path, &before);
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    for round in 0..ROUNDS {
        let drafts = ids.iter().map(|id| reading(*id, (round % findings) as u32 + 1, rounds + 2 + round));
        let drafts: Vec<Addressed> = drafts.collect();
        let start = Instant::now();
        for draft in drafts {
            append(&mut store, vec![draft]);
        }
        ours.push(start.elapsed());
        theirs.push(bare.writes_again(size as i64 + 2 + round as i64, PROPERTIES));
    }
    let entries = store.folded(ids[0]).expect("the fold").length;
    assert_eq!(entries, size + 1 + ROUNDS);
    assert_eq!(bare.entries(), PROPERTIES * (size + ROUNDS) + 1, "all but the warming appends, and the ledger's own");

    let rate = |times: Vec<Duration>| PROPERTIES as f64 / median(times).as_secs_f64();
    let (ours, theirs) = (rate(ours), rate(theirs));
    Figure::at_least("single durable appends, share of bare SQLite's rate", ours / theirs, 0.8)
        .beside(format!("{size} entries: {ours:.0}/s"), format!("bare transactions {theirs:.0}/s"))
}

/// Bare tables of the same columns and keys as the ledger's, and the ledger to read from what it wrote.
struct Bare {
    from: Connection,
    to: Connection,
}

impl Bare {
    fn open(ledger: &Path, copy: &Path) -> Bare {
        let to = Connection::open(copy).expect("the copy");
        to.execute_batch(
            "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = OFF; PRAGMA secure_delete = ON; \
             PRAGMA wal_autocheckpoint = 16384; PRAGMA cache_size = -32768;",
        )
        .expect("pragmas");
        let triggers: Vec<String> = to
            .prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
            .and_then(|mut s| s.query_map([], |r| r.get(0)).map(|rows| rows.map(|r| r.expect("a name")).collect()))
            .expect("triggers");
        for trigger in triggers {
            to.execute_batch(&format!("DROP TRIGGER {trigger}")).expect("dropped");
        }
        Bare { from: Connection::open(ledger).expect("the ledger"), to }
    }

    fn rows(&self, sql: &str, params: &[Value]) -> Vec<Vec<Value>> {
        Bare::rows_of(&self.from, sql, params)
    }

    fn rows_of(from: &Connection, sql: &str, params: &[Value]) -> Vec<Vec<Value>> {
        let mut statement = from.prepare_cached(sql).expect("sql");
        let columns = statement.column_count();
        let rows = statement.query_map(params_from_iter(params), |r| (0..columns).map(|c| r.get(c)).collect());
        rows.expect("rows").map(|r| r.expect("a row")).collect()
    }

    /// Writes what the ledger wrote for the entry `seq` of each house once more, row by row: the entry, its body, the
    /// reading, its finding, the finding's outlook where that is another than before, and the end of the chain.
    fn writes_again(&self, seq: i64, houses: u64) -> Duration {
        let seq = [Value::Integer(seq)];
        // The houses in turns, as they were written.
        let entries = self.rows("SELECT * FROM entries WHERE chain > 0 AND seq = ? ORDER BY chain", &seq);
        let bodies = self.rows("SELECT * FROM bodies WHERE chain > 0 AND seq = ? ORDER BY chain", &seq);
        let readings = self.rows("SELECT * FROM reading_rows WHERE seq = ? ORDER BY chain", &seq);
        let findings = self.rows(
            "SELECT f.* FROM finding_rows f JOIN reading_rows r ON r.chain = f.chain AND r.finding = f.number \
             WHERE r.seq = ? ORDER BY f.chain",
            &seq,
        );
        let outlooks = self.rows(
            "SELECT o.* FROM outlook o JOIN reading_rows r ON r.chain = o.chain AND o.subject = CAST(r.finding AS TEXT) \
             WHERE r.seq = ? ORDER BY o.chain",
            &seq,
        );
        let chains = self.rows("SELECT * FROM chains WHERE chain > 0 ORDER BY chain", &[]);
        let counts = [&entries, &bodies, &readings, &findings, &outlooks, &chains].map(|rows| rows.len() as u64);
        assert_eq!(counts, [houses; 6]);
        let changed: Vec<bool> = outlooks
            .iter()
            .map(|now| {
                let before = "SELECT * FROM outlook WHERE chain = ? AND subject = ?";
                Bare::rows_of(&self.to, before, &now[..2]) != [&now[..]]
            })
            .collect();
        let start = Instant::now();
        for house in 0..houses as usize {
            self.to.execute_batch("BEGIN IMMEDIATE").expect("begun");
            self.put("entries", &entries[house]);
            self.put("bodies", &bodies[house]);
            self.put("reading_rows", &readings[house]);
            self.put("finding_rows", &findings[house]);
            if changed[house] {
                self.put("outlook", &outlooks[house]);
            }
            self.put("chains", &chains[house]);
            self.to.execute_batch("COMMIT").expect("committed");
        }
        start.elapsed()
    }

    fn put(&self, table: &str, row: &[Value]) {
        let marks = vec!["?"; row.len()].join(",");
        let sql = format!("INSERT OR REPLACE INTO {table} VALUES ({marks})");
        let mut statement = self.to.prepare_cached(&sql).expect("sql");
        statement.execute(params_from_iter(row)).expect("a row written");
    }

    fn entries(&self) -> u64 {
        self.to.query_row("SELECT count(*) FROM entries", [], |r| r.get::<_, i64>(0)).expect("a count") as u64
    }
}

/// A house of so many entries over ten years.
pub fn house_of_ten_years(path: &Path, entries: usize) {
    let mut store = fresh(path);
    let id = Uuid::now_v7();
    let mut drafts = Vec::from(house(0, id));
    drafts.extend((0..12).map(|n| crack(id, n)));
    let left = (entries - drafts.len()) as u64;
    drafts.extend((0..left).map(|i| reading(id, (i % 12) as u32 + 1, i * 6 / 12)));
    append(&mut store, drafts);
}

/// `entries` readings onto `properties` houses, in batches of a house; gives the time and the readings counted after.
pub fn batch_of_readings(folder: &Path, properties: u64, entries: u64) -> (Duration, u64) {
    let mut store = fresh(&folder.join("readings.stemwall"));
    let ids: Vec<Uuid> = (0..properties).map(|_| Uuid::now_v7()).collect();
    for (number, id) in ids.iter().enumerate() {
        let mut drafts = Vec::from(house(number as u64, *id));
        drafts.extend((0..4).map(|n| crack(*id, n)));
        append(&mut store, drafts);
    }
    let each = entries / properties;
    let batches: Vec<Vec<Addressed>> = ids
        .chunks(50)
        .map(|ids| ids.iter().flat_map(|id| (0..each).map(|i| reading(*id, (i % 4) as u32 + 1, i / 4))).collect())
        .collect();
    let start = Instant::now();
    for batch in batches {
        append(&mut store, batch);
    }
    (start.elapsed(), count(&store, "SELECT count(*) FROM readings"))
}

/// A house, a section and a radon test each.
pub fn survey(folder: &Path, properties: u64) -> (Duration, u64) {
    let mut store = fresh(&folder.join("survey.stemwall"));
    let start = Instant::now();
    let numbers: Vec<u64> = (0..properties).collect();
    for batch in numbers.chunks(5_000) {
        let drafts = batch.iter().flat_map(|number| {
            let id = Uuid::now_v7();
            house(*number, id).into_iter().chain([radon(id, *number)])
        });
        append(&mut store, drafts.collect());
    }
    (start.elapsed(), count(&store, "SELECT count(*) FROM radon_tests"))
}

/// `properties` houses of twenty entries each: a section, four fixtures, two cracks, a radon test, eleven readings.
///
/// Fifteen duties a house: two walks and a look for termites of the house itself, two walks of the basement and its radon, a
/// reading of each crack, four of the pump, one each of gutter, tree and check valve.
pub fn ledger_of(path: &Path, properties: u64) {
    let mut store = fresh(path);
    let numbers: Vec<u64> = (0..properties).collect();
    for batch in numbers.chunks(1_000) {
        let mut drafts = Vec::new();
        for number in batch {
            let id = Uuid::now_v7();
            drafts.extend(house(*number, id));
            let fixtures = [FixtureKind::SumpPump, FixtureKind::Gutter, FixtureKind::Tree, FixtureKind::CheckValve];
            drafts.extend(fixtures.map(|kind| fixture(id, kind)));
            drafts.extend([crack(id, 0), crack(id, 1), radon(id, *number)]);
            drafts.extend((0..11).map(|i| reading(id, (i % 2) as u32 + 1, i * 3)));
        }
        append(&mut store, drafts);
    }
}

fn count(store: &Store, sql: &str) -> u64 {
    count_at(store.path(), sql)
}

/// A count in a ledger.
pub fn count_at(ledger: &Path, sql: &str) -> u64 {
    let connection = Connection::open(ledger).expect("the ledger");
    connection.query_row(sql, [], |r| r.get::<_, i64>(0)).expect("a count") as u64
}

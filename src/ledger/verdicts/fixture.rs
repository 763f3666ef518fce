//! From what is recorded of a tree or a pump to the inputs of its rules.

use chrono::NaiveDate;

use super::{last_look, next_spring, of_section};
use crate::ledger::kind::fixture_added::Fitted;
use crate::ledger::kind::sump_tested::SumpTested;
use crate::ledger::property::{Fixture, Property};
use crate::ledger::settings::Settings;
use crate::ledger::subject::{Name, Subject};
use crate::trade::radon::gauge;
use crate::trade::words::{DrainagePart, FixtureKind};
use crate::trade::{Verdict, site, sump};

/// The verdict on a fixture in use; `None` where no rule speaks of its kind.
pub(super) fn of_fixture(property: &Property, name: &Name, settings: &Settings, today: NaiveDate) -> Option<Verdict> {
    let fixture = property.fixtures.get(name).filter(|f| f.retired.is_none())?;
    match fixture.kind {
        FixtureKind::Tree => Some(of_tree(property, name, fixture)),
        FixtureKind::RadonSystem => {
            // What was seen at the one before says nothing of this one.
            let here = property.gauge_looks.iter().filter(|l| l.look.fixture == *name);
            let looks = here.filter(|l| fixture.since.is_none_or(|since| l.on.date >= since));
            let looks: Vec<_> = looks.map(|l| (l.on.date, l.look.levels)).collect();
            gauge::verdict(&looks, today)
        }
        FixtureKind::SumpPump => {
            let tests = pump_tests(property, name);
            let mut pump = of_pump(property, fixture, settings, &tests);
            // The main pump's own rate says nothing of the backup pump's.
            pump.backup.lifts = beside(property, fixture, FixtureKind::BackupPump)
                .find_map(|(_, backup)| backup.fitted.rated.as_ref().map(|rated| rated.value()));
            Some(sump::verdict(&pump, today))
        }
        FixtureKind::BackupPump => Some(of_backup_pump(property, name, fixture, settings, today)),
        FixtureKind::Gutter | FixtureKind::Downspout | FixtureKind::Drain => {
            let part = match fixture.kind {
                FixtureKind::Gutter => DrainagePart::Gutter,
                FixtureKind::Downspout => DrainagePart::Downspout,
                _ => DrainagePart::Drain,
            };
            let distance = fixture.fitted.distance.as_ref()?.value();
            Some(site::outlet(part, distance, settings.choices.discharge))
        }
        _ => None,
    }
}

/// A backup pump: its own tests, and what came in when a pump of the same pit was timed.
fn of_backup_pump(
    property: &Property,
    name: &Name,
    fixture: &Fixture,
    settings: &Settings,
    today: NaiveDate,
) -> Verdict {
    let tests = pump_tests(property, name);
    let mut pump = of_pump(property, fixture, settings, &tests);
    let inflow = |(name, main): (&Name, &Fixture)| {
        let tests = pump_tests(property, name);
        sump::measured_inflow(&of_pump(property, main, settings, &tests), today)
    };
    let came_in = beside(property, fixture, FixtureKind::SumpPump).filter_map(inflow);
    pump.backup.inflow = came_in.chain(sump::measured_inflow(&pump, today)).max_by_key(|(_, on)| *on);
    pump.backup.lifts = fixture.fitted.rated.as_ref().map(|rated| rated.value());
    pump.is_backup = true;
    sump::verdict(&pump, today)
}

fn of_pump<'a>(
    property: &Property,
    fixture: &Fixture,
    settings: &Settings,
    tests: &'a [sump::PumpTest<'a>],
) -> sump::Pump<'a> {
    let (fitted, installed): (&Fitted, _) = (&fixture.fitted, fixture.since);
    let number = |text: &Option<String>| text.as_deref().and_then(|text| text.parse::<f64>().ok());
    sump::Pump {
        pit: fitted.opening(),
        installed,
        tests,
        outlet: fitted.distance.as_ref().map(|l| l.value()),
        freeboard: fitted.freeboard.as_ref().map(|l| l.value()),
        backup: sump::Backup {
            installed,
            capacity_ah: number(&fitted.battery_ah),
            draw_a: number(&fitted.draw_a),
            ..sump::Backup::default()
        },
        is_backup: false,
        year: property.year(),
        life: settings.choices.pump_life,
    }
}

/// The fixtures in use of a kind that belong where another does.
fn beside<'a>(
    property: &'a Property,
    fixture: &Fixture,
    kind: FixtureKind,
) -> impl Iterator<Item = (&'a Name, &'a Fixture)> {
    let section = fixture.section.clone();
    property.fixtures.iter().filter(move |(_, f)| f.kind == kind && f.retired.is_none() && f.section == section)
}

fn pump_tests<'a>(property: &'a Property, name: &Name) -> Vec<sump::PumpTest<'a>> {
    let here = property.sump_tests.iter().filter(|t| t.test.fixture == *name);
    here.map(|t| sump::PumpTest {
        on: t.on.date,
        poured: t.test.poured,
        switched: t.test.started_times,
        failed: t.test.failed.as_deref(),
        drawdown: drawdown(&t.test),
        runs_back: t.test.runs_back,
        short_cycles: t.test.short_cycles,
        water_rising: t.test.water_rising,
    })
    .collect()
}

/// What the pump of a test lifted, where that was timed whole and its pit is known.
pub fn lifted(property: &Property, seq: u64) -> Option<sump::Rates> {
    let test = property.sump_tests.iter().find(|t| t.seq == seq)?;
    let pit = property.fixtures.get(&test.test.fixture)?.fitted.opening()?;
    sump::rates(&pit, &drawdown(&test.test)?).ok()
}

/// A drawdown that was timed whole.
pub fn drawdown(test: &SumpTested) -> Option<sump::Drawdown> {
    let [(fall, fall_time), (rise, rise_time)] = test.drawdown()?;
    Some(sump::Drawdown { fall, fall_time, rise, rise_time })
}

fn of_tree(property: &Property, name: &Name, fixture: &Fixture) -> Verdict {
    let known = fixture.since.map_or(fixture.added, |since| since.max(fixture.added));
    let since = last_look(property, Subject::Named(name.clone()), known);
    let fitted = &fixture.fitted;
    site::tree(&site::Tree {
        species: fitted.what.as_deref(),
        demand: fitted.demand,
        height: fitted.height.as_ref().map(|l| l.value()),
        distance: fitted.distance.as_ref().map(|l| l.value()),
        shrinkable_clay: fitted.clay.or(of_section(property, fixture.section.as_ref()).and_then(|s| s.clay)),
        next_spring: next_spring(since),
    })
}

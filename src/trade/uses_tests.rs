//! The table of uses, held to what fires.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::{USES, Use};
use crate::calendar::almanac::ALMANAC;
use crate::quantity::{Activity, Area, Length, Share, Span, Temperature};
use crate::trade::choice::Choices;
use crate::trade::crack::{self, Crack, PencilRule};
use crate::trade::pattern::Pattern;
use crate::trade::radon::{Altered, AtOnceRule, RadonTest, SaleRule, SectionRadon};
use crate::trade::series::tests::{DORMANT, GROWING, day, read};
use crate::trade::series::{Measured, Series};
use crate::trade::signs::{AtOnePlace, Sign};
use crate::trade::verdict::{Band, Verdict};
use crate::trade::words::{
    Answer, Demand, Device, DrainagePart, Equipment, EventKind, FindingKind, FixtureKind, Ground, InsectSign, Member,
    Method, Runs, Support, Surface, Walls, Water,
};
use crate::trade::{
    air_log, called, concrete, electrics, epoxy, event, judgement, level, moisture, other, radon, repaired, rules,
    signs, site,
};
use crate::trade::{sump, timber, wall};

#[path = "uses_floors_tests.rs"]
mod floors;

use floors::floors_and_sheets;

/// Picks the same values on every run.
struct Picks(u64);

impl Picks {
    fn of<T: Copy>(&mut self, all: &[T]) -> T {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        all[(self.0 >> 33) as usize % all.len()]
    }

    /// One of them, or nothing.
    fn maybe<T: Copy>(&mut self, all: &[T]) -> Option<T> {
        let any = self.of(&[true, true, true, false]);
        let picked = self.of(all);
        any.then_some(picked)
    }

    fn answer(&mut self) -> Option<Answer> {
        self.maybe(Answer::ALL)
    }

    fn length(&mut self, all: &[&str]) -> Option<Length> {
        self.maybe(all).map(|text| Length::parse_signed(text).unwrap())
    }

    fn share(&mut self, all: &[i128]) -> Option<Share> {
        self.maybe(all).map(|percent| Share::percent(percent, 1))
    }

    /// Nothing, one reading, a quiet year, a growing year, a closing year, a jump.
    fn series(&mut self, measured: Measured) -> Vec<Series> {
        let months: Vec<String> = (0..13).map(|n| format!("{}-{:02}-01", 2025 + n / 12, n % 12 + 1)).collect();
        let year = |values: [&'static str; 13]| -> Vec<(&str, &str)> {
            months.iter().map(String::as_str).zip(values).collect()
        };
        match self.of(&[0, 1, 2, 3, 4, 5]) {
            0 => Vec::new(),
            1 => {
                let width = self.of(&["0.02", "0.05", "0.09", "0.5", "3.5", "5.1", "7", "14", "30"]);
                vec![read(measured, &[("2026-01-01", width)])]
            }
            2 => {
                // A year with no trend, of a crack that resin fills well, badly, and not at all.
                let flat = self.of(&["2", "0.11", "0.04", ""]);
                let values = if flat.is_empty() { DORMANT } else { [flat; 13] };
                vec![read(measured, &year(values))]
            }
            3 => vec![read(measured, &year(GROWING))],
            4 => {
                let closing = ["9", "8.8", "8.5", "8.2", "8", "7.7", "7.4", "7.2", "7", "6.7", "6.4", "6.2", "6"];
                vec![read(measured, &year(closing))]
            }
            _ => vec![read(measured, &[("2025-12-01", "1"), ("2026-01-01", "4")])],
        }
    }
}

#[derive(Default)]
struct Seen(BTreeMap<&'static str, BTreeSet<Use>>);

impl Seen {
    fn add(&mut self, place: Use, verdict: &Verdict) {
        for fired in verdict.because.iter().chain(&verdict.comparison) {
            self.0.entry(fired.rule.name).or_default().insert(place);
        }
    }
}

const TODAY: &str = "2026-01-15";
const ROUNDS: usize = 4000;

fn finding(kind: FindingKind) -> Use {
    Use::Finding(kind)
}

fn cracks(pick: &mut Picks, seen: &mut Seen, today: NaiveDate) {
    let mut series = pick.series(Measured::Width);
    if let Some(offset) = pick.maybe(&["0", "2"]) {
        series.push(read(Measured::Offset, &[("2026-01-01", offset)]));
    }
    let choices = Choices { pencil: pick.of(PencilRule::ALL), ..Choices::default() };
    let of = Crack {
        surface: pick.maybe(Surface::ALL),
        wall: pick.maybe(Walls::ALL),
        runs: pick.maybe(Runs::ALL),
        water: pick.maybe(Water::ALL),
        source_known: pick.answer(),
        retains: pick.answer(),
        pattern: pick.maybe(Pattern::ALL),
        series: &series,
        widths_beside: &[],
        moved_on: pick.of(&[false, false, false, true]).then_some(today),
        opened: day("2025-12-10"),
        next_round: day("2026-04-01"),
        filled: pick.maybe(&[FILLED]),
        choices,
    };
    seen.add(finding(FindingKind::Crack), &crack::verdict(&of, today));
}

fn walls_and_levels(pick: &mut Picks, seen: &mut Seen, today: NaiveDate) {
    let moved_on = pick.maybe(&[today]);
    let (opened, next_round) = (day("2025-12-10"), day("2026-04-01"));
    let leans: Vec<wall::Lean> = pick
        .length(&["1 in", "2 in"])
        .map(|out| wall::Lean { on: today, out, over: Length::feet(8, 1) })
        .into_iter()
        .collect();
    let bowed = pick.length(&["1 in"]).map(|bow| wall::Bowed { on: today, bow, over: pick.length(&["8 ft"]) });
    let series = pick.series(Measured::Bow);
    let (wall_of, retains) = (pick.maybe(Walls::ALL), pick.answer());
    let of = wall::Bow { wall: wall_of, retains, series: &series, leans: &leans, bowed, moved_on, opened, next_round };
    seen.add(finding(FindingKind::Bow), &wall::verdict(&of, today));

    let surveys: Vec<level::FloorSurvey> = pick
        .length(&["0.5 in", "2 in"])
        .map(|deflection| {
            let before = level::FloorSurvey {
                on: day("2025-01-10"),
                deflection: Length::inches(1, 2),
                over: Length::feet(30, 1),
                line: None,
                resolution: None,
            };
            [before.clone(), level::FloorSurvey { on: today, deflection, ..before }]
        })
        .into_iter()
        .flatten()
        .collect();
    let series = pick.series(Measured::Level);
    let visible_signs = pick.answer();
    let of = level::Settlement {
        series: &series,
        surveys: &surveys,
        points: &[],
        apart: None,
        visible_signs,
        moved_on,
        next_round,
    };
    seen.add(finding(FindingKind::Settlement), &level::verdict(&of, today));
}

fn wood_and_concrete(pick: &mut Picks, seen: &mut Seen, today: NaiveDate) {
    let moved_on = pick.maybe(&[today]);
    let of =
        timber::Bearing { member: pick.maybe(Member::ALL), support: pick.maybe(Support::ALL), moved_on, opened: today };
    seen.add(finding(FindingKind::Bearing), &timber::bearing(&of));
    let of = timber::Rot {
        member: pick.maybe(Member::ALL),
        bears_load: pick.answer(),
        moisture: pick.share(&[10, 22, 30]),
        probe_sinks: pick.answer(),
        probe_depth: pick.length(&["0 in", "1 in"]),
    };
    seen.add(finding(FindingKind::Rot), &timber::rot(&of));
    let signs: Vec<InsectSign> = pick.maybe(InsectSign::ALL).into_iter().collect();
    seen.add(finding(FindingKind::Insects), &timber::insects(&timber::Insects { signs: &signs }));
    let of =
        concrete::Spall { steel_shows: pick.answer(), depth: pick.length(&["1 in"]), across: pick.length(&["2 in"]) };
    seen.add(finding(FindingKind::Spall), &concrete::spall(&of));
    let of = concrete::Bolt {
        rust: pick.answer(),
        edge_broken_out: pick.answer(),
        sill_loose: pick.answer(),
        edge_distance: pick.length(&["1 in", "2 in"]),
    };
    seen.add(finding(FindingKind::Bolt), &concrete::bolt(&of));
}

fn moistures(pick: &mut Picks, seen: &mut Seen, today: NaiveDate) {
    let of = moisture::Damp {
        since_rain: pick.answer(),
        plumbing_near: pick.answer(),
        source_found: pick.answer(),
        wood: pick.share(&[10, 22, 30]),
        wood_bears_load: pick.answer(),
        air: pick.maybe(&[Temperature::celsius(8, 1)]),
        humidity: pick.share(&[50, 70]),
        mean_humidity_30_days: pick.share(&[70, 85]),
        mean_temperature_30_days: pick.maybe(&[Temperature::celsius(20, 1)]),
        water_depth: pick.length(&["1 in"]).map(|depth| (depth, today)),
        water: pick.maybe(Water::ALL).map(|water| (water, today)),
        read_on: Some(today),
    };
    seen.add(finding(FindingKind::Damp), &moisture::damp(&of, today));
    let of = moisture::Efflorescence {
        face: pick.share(&[0, 5, 40, 60]),
        powdering: pick.answer(),
        rule: pick.of(moisture::EfflorescenceRule::ALL),
    };
    seen.add(finding(FindingKind::Efflorescence), &moisture::efflorescence(&of));
    let of = moisture::Mould { area: pick.maybe(&[Area::ft2(5, 1), Area::ft2(15, 1)]) };
    seen.add(finding(FindingKind::Mould), &moisture::mould(&of));
}

fn sites(pick: &mut Picks, seen: &mut Seen, today: NaiveDate) {
    let of = site::Grade {
        ground: pick.maybe(Ground::ALL),
        fall: pick.length(&["-1 in", "2 in", "8 in"]),
        run: pick.length(&["10 ft", "20 ft"]),
    };
    seen.add(finding(FindingKind::Grade), &site::grade(&of));
    let of = site::Drainage {
        part: pick.maybe(DrainagePart::ALL),
        wrong: None,
        distance: pick.length(&["1 ft", "20 ft"]),
        rule: pick.of(site::DischargeRule::ALL),
    };
    seen.add(finding(FindingKind::Drainage), &site::drainage(&of));
    let series = pick.series(Measured::StepHeight);
    let moved = pick.answer();
    let of = site::Walkway { paving: None, series: &series, moved, next_spring: day("2026-03-01") };
    seen.add(finding(FindingKind::Walkway), &site::walkway(&of, today));
    let of = site::Tree {
        species: None,
        demand: pick.maybe(Demand::ALL),
        height: pick.length(&["20 m"]),
        distance: pick.length(&["5 m", "40 m"]),
        shrinkable_clay: pick.answer(),
        next_spring: day("2026-03-01"),
    };
    let tree = site::tree(&of);
    seen.add(finding(FindingKind::Tree), &tree);
    seen.add(Use::Fixture(FixtureKind::Tree), &tree);
    let of = site::Vent {
        blocked: pick.answer(),
        missing: pick.answer(),
        free_area: pick.maybe(&[Area::ft2(1, 1), Area::ft2(9, 1)]),
        floor_area: pick.maybe(&[Area::ft2(1200, 1)]),
        retarder: pick.answer(),
        rule: pick.of(site::VentRule::ALL),
    };
    seen.add(finding(FindingKind::Vent), &site::vent(&of));
    let of = site::Clearance {
        member: pick.maybe(Member::ALL),
        clearance: pick.length(&["1 in", "30 in"]),
        protected: pick.answer(),
    };
    seen.add(finding(FindingKind::Clearance), &site::clearance(&of));
    let of = electrics::Electrics { named: pick.maybe(Equipment::ALL), wet: pick.of(&[true, false]), opened: today };
    seen.add(finding(FindingKind::Electrics), &electrics::verdict(&of));
    seen.add(finding(FindingKind::Binding), &other::binding(&other::Binding::default()));
    seen.add(finding(FindingKind::Other), &other::verdict(&other::Other::default()));
    let events = [(pick.of(EventKind::ALL), day("2025-12-01"))];
    let of = event::SinceLastLook { last_look: pick.maybe(&[today]), sections: &[], events: &events };
    seen.add(Use::Property, &event::verdict(&of, today));
    for kind in [FixtureKind::Gutter, FixtureKind::Downspout, FixtureKind::Drain] {
        seen.add(Use::Fixture(kind), &site::outlet(DrainagePart::Drain, Length::feet(3, 1), site::DischargeRule::Irc));
    }
    let of = sump::Pump {
        pit: pick.maybe(&["18 in"]).map(|d| sump::Pit::round(Length::parse(d).unwrap())),
        installed: pick.maybe(&[day("2010-01-01"), day("2024-01-01")]),
        tests: &pumped(pick),
        outlet: pick.length(&["3 ft", "12 ft"]),
        freeboard: pick.length(&["12 in"]),
        backup: sump::Backup {
            installed: pick.maybe(&[day("2018-01-01"), day("2022-06-01")]),
            capacity_ah: pick.maybe(&[75.0]),
            draw_a: pick.maybe(&[10.0]),
            ..sump::Backup::default()
        },
        ..sump::Pump::default()
    };
    seen.add(Use::Fixture(FixtureKind::SumpPump), &sump::verdict(&of, today));
    seen.add(Use::Fixture(FixtureKind::BackupPump), &sump::verdict(&of, today));
}

fn pumped(pick: &mut Picks) -> Vec<sump::PumpTest<'static>> {
    let fall = pick.of(&[8, 0]);
    let drawdown = |fall_time, fall| sump::Drawdown {
        fall: Length::inches(fall, 1),
        fall_time: Span::seconds(fall_time, 1),
        rise: Length::inches(2, 1),
        rise_time: Span::seconds(60, 1),
    };
    let signs = (pick.answer(), pick.answer());
    let test = |on, switched, fall_time| sump::PumpTest {
        on: day(on),
        poured: true,
        switched,
        failed: None,
        drawdown: Some(drawdown(fall_time, fall)),
        runs_back: signs.0,
        short_cycles: signs.1,
        water_rising: signs.0,
    };
    let (times, slow) = (pick.maybe(&[0, 1, 2]), pick.of(&[15, 40]));
    let all = vec![test("2024-05-01", Some(2), 15), test("2025-11-01", times, slow)];
    all.into_iter().skip(pick.of(&[0, 1, 2])).collect()
}

fn radons(pick: &mut Picks, seen: &mut Seen, today: NaiveDate) {
    let result = |text: &str| Activity::parse(text).unwrap();
    let test = |pick: &mut Picks, on: &str, ran: i64| {
        let on = day(on);
        let lasted = pick.of(&[1, 3, 3, 3, 100]);
        let started = on - chrono::Days::new(u64::try_from(if ran == 0 { lasted as i64 } else { ran }).unwrap());
        RadonTest {
            result: result(pick.of(&["1.0 pCi/L", "2.1 pCi/L", "4.4 pCi/L", "6 pCi/L", "11 pCi/L"])),
            below: pick.of(&[false, false, false, true]),
            device: Some(pick.of(Device::ALL)),
            started: None,
            ended: None,
            started_on: Some(started),
            lasted: Some(Span::days(lasted, 1)),
            closed: pick.answer(),
            level: None,
            place: None,
            room: pick.of(&[None, None, None, Some(radon::Room::Lived), Some(radon::Room::Closet)]),
            placed: radon::Placed {
                from_heat: pick.of(&[None, None, None, Some(Length::feet(1, 1))]),
                ..radon::Placed::default()
            },
            temperature: None,
            severe_weather: pick.answer(),
            gap: pick.of(&[None, None, Some(Answer::Yes)]),
            left_out: None,
            entry: None,
            beside: None,
            on,
        }
    };
    let all = [test(pick, "2021-02-01", 0), test(pick, "2025-11-10", 3), test(pick, "2025-11-10", 3)];
    let tests = &all[pick.of(&[0, 1, 2])..];
    let events = [(
        pick.of(&[EventKind::Sale, EventKind::Works, EventKind::Storm]),
        day(pick.of(&["2025-06-01", "2025-12-01"])),
    )];
    let starts = [day(pick.of(&["2025-03-01", "2025-12-20"]))];
    let altered = [Altered { what: "sump-pump `pump` put in".to_owned(), on: day("2025-12-05") }];
    let system = pick.of(&[true, false]);
    let of = SectionRadon {
        tests,
        system,
        starts: if system { &starts } else { &[] },
        stops: &[],
        events: if pick.of(&[true, false]) { &events } else { &[] },
        quotes: &[],
        altered: if pick.of(&[true, false]) { &altered } else { &[] },
        passive: pick.of(&[true, false]),
        area: pick.maybe(&[Area::ft2(900, 1), Area::ft2(4500, 1)]),
        choices: Choices {
            radon_at_once: pick.of(AtOnceRule::ALL),
            radon_sale: pick.of(SaleRule::ALL),
            ..Choices::default()
        },
    };
    seen.add(Use::Section, &radon::verdict(&of, today));
}

fn logged_air(seen: &mut Seen, today: NaiveDate) {
    let from = day("2025-11-01").and_time(chrono::NaiveTime::MIN);
    let logged = air_log::Logged {
        at: None,
        from,
        to: from + chrono::TimeDelta::days(40),
        hours: 960,
        missing: 0,
        humidity: Share::percent(70, 1),
        worst: None,
        class: None,
        index: 0.5,
        peak: 0.5,
        wood: Share::percent(13, 1),
        surface: Some("a probe on it"),
        margin: Some(air_log::Margin { least_k: 0.1, at: from, condensing: 0 }),
    };
    let of = air_log::AirLogs { logs: &[logged], crawl_space: false };
    seen.add(Use::Section, &air_log::verdict(&of, today));
}

fn several_signs(seen: &mut Seen) {
    let all = [(Sign::Binding, "1"), (Sign::Crack, "2"), (Sign::SlopingFloor, "3"), (Sign::WalkwayHeave, "4")];
    let verdict = signs::verdict(&AtOnePlace { place: "main", signs: &all });
    for kind in [FindingKind::Binding, FindingKind::Crack, FindingKind::Settlement, FindingKind::Walkway] {
        seen.add(finding(kind), &verdict);
    }
}

const FILLED: repaired::Filled = repaired::Filled {
    method: Method::EpoxyInjection,
    on: NaiveDate::from_ymd_opt(2025, 9, 1).unwrap(),
    held_on: None,
};

fn repaired_in_vain(seen: &mut Seen, today: NaiveDate) {
    seen.add(Use::Repaired, &repaired::not_held(Method::Sealing, false, day("2025-09-01"), today));
}

fn called_without_a_day(seen: &mut Seen, today: NaiveDate) {
    let mut calls = timber::insects(&timber::Insects { signs: &[InsectSign::MudTubes] });
    called::ask_within(&mut calls, today);
    let own = |f: &crate::trade::Fired| f.rule == &called::ASKED_WITHIN;
    seen.add(Use::Called, &Verdict::from_fired(calls.because.into_iter().filter(own).collect()));
}

fn judged(seen: &mut Seen, today: NaiveDate) {
    let computed = other::verdict(&other::Other::default());
    let given = judgement::Judgement {
        from: "A. Person".to_owned(),
        licence: "PE 1".to_owned(),
        says: "watch it".to_owned(),
        asks: None,
        on: day("2026-01-01"),
        until: None,
        conditions: Vec::new(),
    };
    let later = judgement::Later { computed_then: Some(&computed), ..judgement::Later::default() };
    let shown = judgement::judged(computed.clone(), std::slice::from_ref(&given), &later, today);
    let held =
        Verdict::from_fired(shown.asked.because.into_iter().filter(|f| f.rule == &judgement::JUDGEMENT).collect());
    assert_eq!(held.band, Some(Band::Watch));
    seen.add(Use::Judged, &held);
}

#[test]
fn what_the_table_says_of_verdicts_is_what_fires() {
    let (mut pick, mut seen, today) = (Picks(1), Seen::default(), day(TODAY));
    for _ in 0..ROUNDS {
        cracks(&mut pick, &mut seen, today);
        walls_and_levels(&mut pick, &mut seen, today);
        floors_and_sheets(&mut pick, &mut seen, today);
        wood_and_concrete(&mut pick, &mut seen, today);
        moistures(&mut pick, &mut seen, today);
        sites(&mut pick, &mut seen, today);
        radons(&mut pick, &mut seen, today);
    }
    several_signs(&mut seen);
    repaired_in_vain(&mut seen, today);
    called_without_a_day(&mut seen, today);
    logged_air(&mut seen, today);
    judged(&mut seen, today);
    let fires = |place: &Use| !matches!(place, Use::Said(_) | Use::Duty(_));
    let mut wrong = Vec::new();
    for rule in rules::ALL {
        let said: BTreeSet<Use> = super::of(rule).iter().copied().filter(fires).collect();
        let fired = seen.0.remove(rule.name).unwrap_or_default();
        if said != fired {
            wrong.push(format!("{}: the table says {said:?}, and it fires in {fired:?}", rule.name));
        }
    }
    assert!(wrong.is_empty() && seen.0.is_empty(), "{wrong:#?} {:?}", seen.0);
}

#[test]
fn a_command_that_is_named_says_the_rule() {
    let repair = include_str!("../command/repair.rs");
    let hours = include_str!("../command/hours.rs");
    let filling = include_str!("epoxy/filling.rs");
    let shown = include_str!("../cli/lists.rs");
    let (defer, risk) = (include_str!("../cli/defer.rs"), include_str!("../cli/risk.rs"));
    let (case, plan) = (include_str!("../deferral/case.rs"), include_str!("../cli/plan.rs"));
    for (rule, uses) in USES {
        for place in *uses {
            let says = match (place, rule.name) {
                (Use::Said("repair add"), "epoxy-class") => repair.contains("epoxy::class("),
                (Use::Said("repair add"), "epoxy-ports") => repair.contains("epoxy::ports_told("),
                (Use::Said("repair add"), "epoxy-quantity") => repair.contains("resin(made)"),
                (Use::Said("repair add"), "epoxy-before-filling") => repair.contains("before_filling("),
                (Use::Said("repair add"), "epoxy-narrowest") => {
                    repair.contains("before_filling(") && filling.contains("NARROWEST")
                }
                (Use::Said("radon import-hours"), "radon-monitor-record" | "radon-monitor-signs") => {
                    hours.contains("record_by(")
                }
                (Use::Said("property show"), "freeze-dates") => shown.contains("climate::SOURCE"),
                (Use::Said("defer"), "law-of-fives" | "two-to-four") => {
                    case.contains(&format!("(rule `{}`)", rule.name))
                }
                (Use::Said("defer"), name) => defer.contains(&format!("\"{name}\"")),
                (Use::Said("plan"), name) => plan.contains(&format!("\"{name}\"")),
                (Use::Said("risk"), "maintenance-share") => risk.contains("(rule `maintenance-share`)"),
                (Use::Said("risk"), "ladder" | "cost-of-waiting") => risk.contains(&format!("\"{}\"", rule.name)),
                (Use::Said(_), _) => false,
                _ => true,
            };
            assert!(says, "{}: {place:?}", rule.name);
        }
    }
    assert_eq!(epoxy::PORTS.name, "epoxy-ports");
}

#[test]
fn a_duty_that_is_named_is_in_the_almanac_and_on_the_same_document() {
    for (rule, uses) in USES {
        for place in *uses {
            let Use::Duty(code) = place else { continue };
            let duty = ALMANAC.duties.iter().find(|duty| duty.code == *code);
            let document = ["NDSU", "MAH-2019"].into_iter().find(|name| rule.source.contains(name));
            let same = duty.zip(document).is_some_and(|(duty, document)| duty.source.contains(document));
            assert!(same, "{}: {code}", rule.name);
        }
    }
}

#[test]
fn a_rule_stands_in_the_table_once_and_no_place_twice() {
    let names: BTreeSet<_> = USES.iter().map(|(rule, _)| rule.name).collect();
    assert_eq!(names.len(), USES.len());
    for (rule, uses) in USES {
        assert!(rules::ALL.contains(rule) && !uses.is_empty(), "{}", rule.name);
        assert_eq!(uses.iter().collect::<BTreeSet<_>>().len(), uses.len(), "{}", rule.name);
    }
}

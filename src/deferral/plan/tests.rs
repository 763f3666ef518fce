use proptest::prelude::*;

use super::search::Search;
use super::{Effort, Plan, PlanError, Repair, Shared, Yearly};

const ENOUGH: Effort = Effort::DEFAULT;

/// Every choice of years there is; the least loss of those that are met.
fn by_trying_all(task: &Yearly) -> Option<i64> {
    let (years, repairs) = (task.budgets.len(), task.repairs.len());
    let mut least = None;
    let mut chosen = vec![0; repairs];
    loop {
        let as_years: Vec<Option<usize>> = chosen.iter().map(|&k| (k < years).then_some(k)).collect();
        if holds(task, &as_years) {
            let loss = lost(task, &as_years);
            least = Some(least.map_or(loss, |least: i64| least.min(loss)));
        }
        let Some(at) = chosen.iter().position(|&k| k < years) else { return least };
        chosen[..at].fill(0);
        chosen[at] += 1;
    }
}

/// The sum of losses, written out anew.
fn lost(task: &Yearly, chosen: &[Option<usize>]) -> i64 {
    let years = task.budgets.len();
    let own: i64 = task.repairs.iter().zip(chosen).map(|(r, year)| r.loss[year.unwrap_or(years)]).sum();
    let went = |shared: &Shared, year| shared.repairs.iter().any(|&r| chosen[r] == Some(year));
    let visits = task.shared.iter().map(|s| (0..years).filter(|&y| went(s, y)).map(|y| s.loss[y]).sum::<i64>());
    own + visits.sum::<i64>()
}

/// Whether budgets, order and what is allowed are kept, written out anew.
fn holds(task: &Yearly, chosen: &[Option<usize>]) -> bool {
    let years = task.budgets.len();
    let at = |r: usize| chosen[r].unwrap_or(years);
    let allowed = task.repairs.iter().enumerate().all(|(r, repair)| repair.allowed >> at(r) & 1 == 1);
    let in_order = task.repairs.iter().enumerate().all(|(r, repair)| repair.after.iter().all(|&a| at(a) <= at(r)));
    let mut kept = 0;
    let within = (0..years).all(|year| {
        let own: i64 =
            task.repairs.iter().enumerate().filter(|(r, _)| at(*r) == year).map(|(_, r)| r.spend[year]).sum();
        let went = |shared: &&Shared| shared.repairs.iter().any(|&r| at(r) == year);
        let visits: i64 = task.shared.iter().filter(went).map(|s| s.spend[year]).sum();
        kept = if task.carry { kept } else { 0 } + task.budgets[year] - own - visits;
        kept >= 0
    });
    allowed && in_order && within
}

fn repair(years: usize, at: usize) -> impl Strategy<Value = Repair> {
    let amounts = (prop::collection::vec(0_i64..60, years), prop::collection::vec(0_i64..90, years + 1));
    let after = prop::collection::vec(0..at.max(1), 0..if at == 0 { 1 } else { 3 });
    let allowed = prop_oneof![4 => Just(u64::MAX), 1 => 1_u64..1 << (years + 1)];
    (amounts, after, allowed).prop_map(|((spend, loss), after, allowed)| Repair { spend, loss, after, allowed })
}

fn task() -> impl Strategy<Value = Yearly> {
    (1_usize..=3, 1_usize..=6, any::<bool>()).prop_flat_map(|(years, repairs, carry)| {
        let all: Vec<_> = (0..repairs).map(|at| repair(years, at)).collect();
        let budgets = prop::collection::vec(0_i64..120, years);
        let amounts = || prop::collection::vec(0_i64..30, years);
        let members = prop::collection::btree_set(0..repairs, 1..=repairs);
        let shared = (members, amounts(), amounts()).prop_map(|(repairs, spend, loss)| Shared {
            repairs: repairs.into_iter().collect(),
            spend,
            loss,
        });
        (budgets, all, prop::collection::vec(shared, 0..2)).prop_map(move |(budgets, repairs, shared)| Yearly {
            budgets,
            carry,
            repairs,
            shared,
        })
    })
}

fn planned(task: &Yearly) -> Option<Plan> {
    match task.plan(ENOUGH) {
        Ok(plan) => Some(plan),
        Err(PlanError::DoesNotFit) => None,
        Err(error) => panic!("{error}"),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn the_plan_is_the_best_of_all_there_are(task in task()) {
        let plan = planned(&task);
        prop_assert_eq!(plan.as_ref().map(|plan| plan.loss), by_trying_all(&task));
        if let Some(plan) = plan {
            prop_assert!(plan.is_optimal());
            prop_assert!(holds(&task, &plan.chosen), "{:?}", plan);
            prop_assert_eq!(plan.loss, lost(&task, &plan.chosen));
            let spent: i64 = plan.spent.iter().sum();
            prop_assert!(spent <= task.budgets.iter().sum::<i64>());
        }
    }

    #[test]
    fn more_money_never_loses_more(task in task(), year in 0_usize..3, more in 1_i64..100) {
        let mut richer = task.clone();
        let year = year % task.budgets.len();
        richer.budgets[year] += more;
        if let Some(plan) = planned(&task) {
            prop_assert!(planned(&richer).is_some_and(|richer| richer.loss <= plan.loss));
        }
        let carrying = Yearly { carry: true, ..task.clone() };
        if let Some(plan) = planned(&Yearly { carry: false, ..task }) {
            prop_assert!(planned(&carrying).is_some_and(|carrying| carrying.loss <= plan.loss));
        }
    }

    #[test]
    fn one_more_repair_never_loses_less(task in task()) {
        let mut fewer = task.clone();
        let last = fewer.repairs.len() - 1;
        fewer.repairs.pop();
        fewer.shared.iter_mut().for_each(|shared| shared.repairs.retain(|&repair| repair != last));
        if let Some(plan) = planned(&task) {
            prop_assert!(planned(&fewer).is_some_and(|fewer| fewer.loss <= plan.loss));
        }
    }

    #[test]
    fn little_effort_gives_a_plan_that_holds_and_a_bound_that_holds(task in task()) {
        if let Ok(plan) = task.plan(Effort { work: 0, gap: 0.0 }) {
            prop_assert!(holds(&task, &plan.chosen));
            let least = by_trying_all(&task);
            prop_assert!(least.is_some_and(|least| plan.bound <= least && least <= plan.loss), "{:?} {:?}", plan, least);
        }
    }
}

/// Spends and losses of no pattern, by the generator of Park and Miller (1988).
fn made(repairs: usize, years: usize) -> Yearly {
    let mut state = 16_807_u64;
    let mut next = |below: u64| {
        state = state * 16_807 % 2_147_483_647;
        (state % below) as i64
    };
    let repair = |at: usize| {
        let base = 300 + next(4000);
        let worse = next(400);
        let spend: Vec<i64> = (0..years as i64).map(|t| base + base * t / 12).collect();
        let loss = (0..=years as i64).map(|t| base + base * t / 20 + worse * t * (t + 1) / 2).collect();
        let after = if at > 2 && next(4) == 0 { vec![next(at as u64) as usize] } else { vec![] };
        Repair { spend, loss, after, allowed: u64::MAX }
    };
    let repairs: Vec<Repair> = (0..repairs).map(repair).collect();
    let all: i64 = repairs.iter().map(|repair| repair.spend[0]).sum();
    Yearly { budgets: vec![all / (2 * years as i64); years], repairs, ..Yearly::default() }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let carrying = Yearly { carry: true, ..visited() };
    for (task, gap) in [(made(18, 4), 0.0), (visited(), 0.0), (carrying, 0.001)] {
        let problem = task.problem();
        let effort = Effort { work: 3_000_000, gap };
        let alone = Search::new(&problem).run(effort, 1, true);
        for threads in [2, 3, 7] {
            assert_eq!(Search::new(&problem).run(effort, threads, true), alone, "{threads}");
        }
    }
}

#[test]
fn what_waits_in_a_circle_is_named() {
    let mut task = made(5, 2);
    task.repairs.iter_mut().for_each(|repair| repair.after.clear());
    task.repairs[1].after = vec![3];
    task.repairs[3].after = vec![4];
    task.repairs[4].after = vec![1];
    let Err(PlanError::Circle(mut circle)) = task.plan(ENOUGH) else { panic!("there is a circle") };
    circle.sort_unstable();
    assert_eq!(circle, [1, 3, 4]);
    task.repairs[3].after = vec![3];
    assert_eq!(task.plan(ENOUGH), Err(PlanError::Circle(vec![3])));
}

#[test]
fn what_cannot_be_planned_is_refused() {
    let task = made(4, 3);
    let with = |change: &dyn Fn(&mut Yearly)| {
        let mut task = task.clone();
        change(&mut task);
        task.plan(ENOUGH).unwrap_err()
    };
    assert_eq!(with(&|t| t.budgets.clear()), PlanError::Years(0));
    assert_eq!(with(&|t| t.budgets = vec![1; 64]), PlanError::Years(64));
    assert_eq!(with(&|t| t.repairs[2].spend = vec![1]), PlanError::Count { at: 2, given: 1, wanted: 3 });
    assert_eq!(with(&|t| t.repairs[2].loss = vec![1; 3]), PlanError::Count { at: 2, given: 3, wanted: 4 });
    assert_eq!(with(&|t| t.repairs[0].loss[1] = -1), PlanError::Negative);
    assert_eq!(with(&|t| t.budgets[0] = i64::MAX), PlanError::TooLarge);
    assert_eq!(with(&|t| t.repairs[1].after = vec![9]), PlanError::NoSuch { at: 1 });
    // It must be done in the first year, which has nothing to spend.
    let must = |t: &mut Yearly| {
        t.budgets[0] = 0;
        t.repairs[0].allowed = 1;
    };
    assert_eq!(with(&must), PlanError::DoesNotFit);
}

#[test]
fn no_repairs_lose_nothing() {
    let plan = Yearly { budgets: vec![0; 3], ..Yearly::default() }.plan(ENOUGH).unwrap();
    assert_eq!((plan.loss, plan.bound, plan.spent), (0, 0, vec![0; 3]));
}

/// By hand: 70 and 50 must be done in the first two years, with 60 and 40 to spend. Both in the first year would take 60 more of
/// it; 50 in the first and 70 in the second 30 more of the second. Where money carries over, 120 of 100 leave 20 to be added.
#[test]
fn what_is_missing_is_told() {
    let due = |spend: i64| Repair { spend: vec![spend; 3], loss: vec![0; 4], after: vec![], allowed: 0b011 };
    let free = Repair { allowed: u64::MAX, ..due(500) };
    let task = Yearly { budgets: vec![60, 40, 900], repairs: vec![due(70), free, due(50)], ..Yearly::default() };
    assert_eq!(task.plan(ENOUGH), Err(PlanError::DoesNotFit));
    let shortfall = task.shortfall().unwrap();
    assert_eq!((shortfall.year, shortfall.missing, shortfall.must), (1, 30, vec![0, 2]));
    let carrying = Yearly { carry: true, ..task.clone() };
    let shortfall = carrying.shortfall().unwrap();
    assert_eq!((shortfall.year, shortfall.missing), (0, 20));
    let mut enough = task;
    enough.budgets[1] = 70;
    assert_eq!(enough.shortfall(), None);
    assert!(enough.plan(ENOUGH).is_ok());
}

/// By hand: 60 and 40 to spend, both due by the third year. 50 fits the first; 30 beside it does not, and goes into the second, which
/// it would have left. With 55 that must be done in the first year, 50 fits none before the third.
#[test]
fn what_must_be_done_is_brought_forward_to_the_first_year_it_fits() {
    let due = |spend: i64, allowed| Repair { spend: vec![spend; 3], loss: vec![9, 5, 1, 0], after: vec![], allowed };
    let mut task =
        Yearly { budgets: vec![60, 40, 60], repairs: vec![due(50, 0b111), due(30, 0b111)], ..Yearly::default() };
    task.bring_forward(&[0, 1]);
    assert_eq!(task.plan(ENOUGH).unwrap().chosen, [Some(0), Some(1)]);
    let mut task = Yearly { repairs: vec![due(50, 0b111), due(55, 0b001)], ..task };
    task.bring_forward(&[0]);
    assert_eq!(task.plan(ENOUGH).unwrap().chosen, [Some(2), Some(0)]);
}

/// By hand: 40 goes into the first year; 30, which waits for it, has 10 short there and goes into the second; 25 fits
/// neither and is left.
#[test]
fn a_list_is_gone_down_as_far_as_the_money_reaches() {
    let repair = |spend: i64, after: &[usize]| Repair {
        spend: vec![spend; 2],
        loss: vec![0; 3],
        after: after.to_vec(),
        allowed: u64::MAX,
    };
    let repairs = vec![repair(40, &[]), repair(30, &[0]), repair(25, &[])];
    let task = Yearly { budgets: vec![60, 50], repairs, ..Yearly::default() };
    assert_eq!(task.down_the_list(&[0, 1, 2]), [Some(0), Some(1), None]);
    assert_eq!(task.down_the_list(&[1, 0, 2]), [Some(0), Some(1), None], "what it waits for comes first");
    assert_eq!(task.down_the_list(&[2, 0, 1]), [Some(1), None, Some(0)]);
}

proptest! {
    #[test]
    fn a_plan_never_loses_more_than_a_list(task in task()) {
        let order: Vec<usize> = (0..task.repairs.len()).collect();
        let listed = task.down_the_list(&order);
        if holds(&task, &listed) {
            prop_assert!(planned(&task).is_some_and(|plan| plan.loss <= lost(&task, &listed)));
        }
    }
}

/// Twenty repairs alike, 60 each, from 100 a year that carries over: by the three years ⌊100/60⌋ = 1, ⌊200/60⌋ = 3, ⌊300/60⌋ = 5
/// are done, so 1, 2, 2 of them and 15 never: 60 + 2·70 + 2·80 + 15·200 = 3360. To the prices a year does parts of them (the bound
/// is 3350 then), and deciding one repair leaves nineteen others to do the part.
#[test]
fn large_repairs_that_are_alike_are_counted() {
    let repair =
        Repair { spend: vec![6000; 3], loss: vec![6000, 7000, 8000, 20_000], after: vec![], allowed: u64::MAX };
    let task = Yearly { budgets: vec![10_000; 3], carry: true, repairs: vec![repair; 20], ..Yearly::default() };
    let plan = task.plan(Effort { work: 60_000_000, gap: 0.001 }).unwrap();
    assert_eq!((plan.loss, plan.spent.clone()), (336_000, vec![6000, 12_000, 12_000]));
    assert!(plan.gap() <= 0.001, "{}", plan.bound);
}

/// 24 repairs in 8 houses that share a visit each; the relaxed sum by HiGHS (scipy 1.17.1), a constraint for each member that its
/// visit is paid, is 2447590.98, the least whole plan 2473000.
fn visited() -> Yearly {
    let price = |at: i64| 20_000 + at * 7919 % 31 * 4000;
    let worse = |at: i64| at * 104_729 % 17 * 500 + price(at) / 20;
    let repair = |at: i64| Repair {
        spend: (0..4).map(|t| price(at) + price(at) / 10 * t).collect(),
        loss: (0..=4).map(|t| price(at) + worse(at) * t).collect(),
        after: vec![],
        allowed: u64::MAX,
    };
    let shared = |house: usize| Shared {
        repairs: (0..24).filter(|at| at % 8 == house).collect(),
        spend: vec![15_000; 4],
        loss: vec![15_000; 4],
    };
    let all: i64 = (0..24).map(price).sum::<i64>() + 8 * 15_000;
    Yearly {
        budgets: vec![all / 8; 4],
        repairs: (0..24).map(repair).collect(),
        shared: (0..8).map(shared).collect(),
        ..Yearly::default()
    }
}

#[test]
fn visits_are_shared_so_that_the_bound_is_that_of_the_relaxed_sum() {
    let task = visited();
    let first = task.plan(Effort { work: 0, gap: 1.0 }).unwrap();
    assert!(first.bound as f64 >= 0.9999 * 2_447_590.98 && first.bound <= 2_473_000, "{}", first.bound);
    let plan = task.plan(Effort { work: 60_000_000, gap: 0.0 }).unwrap();
    assert!(plan.is_optimal() && holds(&task, &plan.chosen));
    assert_eq!((plan.loss, lost(&task, &plan.chosen)), (2_473_000, 2_473_000));
}

#[test]
fn a_plan_that_is_known_is_where_the_search_begins() {
    let task = made(12, 4);
    let best = planned(&task).unwrap();
    let mut richer = task.clone();
    richer.budgets[1] += 1;
    let begun = richer.plan_from(&best, Effort { work: 0, gap: 0.0 }).unwrap();
    assert!(begun.loss <= best.loss && holds(&richer, &begun.chosen));
    // One that is over the budgets is no help, and no answer.
    let all_at_once = Plan { chosen: vec![Some(0); 12], ..best.clone() };
    assert!(!holds(&task, &all_at_once.chosen));
    assert!(holds(&task, &task.plan_from(&all_at_once, Effort { work: 0, gap: 0.0 }).unwrap().chosen));
}

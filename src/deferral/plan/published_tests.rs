//! Published instances, and plans that independent solvers proved.

use super::{Choice, Effort, Item, Problem, Repair, Yearly, solve};

/// Taken, an item draws on every row it has weight in; left, its profit is lost.
fn knapsack(profits: &[i64], weights: &[Vec<i64>], rooms: &[i64]) -> Problem {
    let item = |(at, &profit): (usize, &i64)| {
        let draws = weights.iter().enumerate().map(|(row, weights)| (row, weights[at]));
        let taken = Choice { loss: 0, draws: draws.filter(|draw| draw.1 > 0).collect() };
        Item { choices: vec![taken, Choice { loss: profit, draws: vec![] }], allowed: 0b11 }
    };
    Problem { rows: rooms.to_vec(), items: profits.iter().enumerate().map(item).collect(), ..Problem::default() }
}

/// The most profit, and the items taken, from 1.
fn most(problem: &Problem) -> (i64, Vec<usize>) {
    let solution = solve(problem, Effort::DEFAULT, None);
    let chosen = solution.chosen.unwrap();
    assert!(problem.is_met_by(&chosen));
    assert_eq!(solution.bound, Some(problem.loss(&chosen)), "proven");
    let all: i64 = problem.items.iter().map(|item| item.choices[1].loss).sum();
    let taken = chosen.iter().enumerate().filter(|(_, k)| **k == 0).map(|(at, _)| at + 1).collect();
    (all - problem.loss(&chosen), taken)
}

fn rows(text: &str) -> Vec<Vec<i64>> {
    let row = |line: &str| line.split_whitespace().map(|n| n.parse().unwrap()).collect();
    text.lines().map(str::trim).filter(|line| !line.is_empty()).map(row).collect()
}

#[test]
fn or_library_mknap1() {
    struct Case {
        source: &'static str,
        profits: &'static str,
        weights: &'static str,
        rooms: &'static str,
        optimum: i64,
        taken: &'static [usize],
    }
    for case in [
        Case {
            source: "OR-Library mknap1 (Petersen 1967), instance 1: 3800",
            profits: "100 600 1200 2400 500 2000",
            weights: "8 12 13 64 22 41
                      8 12 13 75 22 41
                      3 6 4 18 6 4
                      5 10 8 32 6 12
                      5 13 8 42 6 20
                      5 13 8 48 6 20
                      0 0 0 0 8 0
                      3 0 4 0 8 0
                      3 2 4 0 8 4
                      3 2 4 8 8 4",
            rooms: "80 96 20 36 44 48 10 18 22 24",
            optimum: 3800,
            taken: &[2, 3, 6],
        },
        Case {
            source: "OR-Library mknap1 (Petersen 1967), instance 2: 8706.1; profits in tenths",
            profits: "6001 3105 18000 38500 186 1987 8820 42000 4025 3270",
            weights: "20 5 100 200 2 4 60 150 80 40
                      20 7 130 280 2 8 110 210 100 40
                      60 3 50 100 4 2 20 40 6 12
                      60 8 70 200 4 6 40 70 16 20
                      60 13 70 250 4 10 60 90 20 24
                      60 13 70 280 4 10 70 105 22 28
                      5 2 20 100 2 5 10 60 0 0
                      45 14 80 180 6 10 40 100 20 0
                      55 14 80 200 6 10 50 140 30 40
                      65 14 80 220 6 10 50 180 30 50",
            rooms: "450 540 200 360 440 480 200 360 440 480",
            optimum: 87061,
            taken: &[2, 4, 5, 8, 10],
        },
        Case {
            source: "OR-Library mknap1 (Petersen 1967), instance 4: 6120",
            profits: "100 220 90 400 300 400 205 120 160 580 400 140 100 1300 650 320 480 80 60 2550",
            weights: "8 24 13 80 70 80 45 15 28 90 130 32 20 120 40 30 20 6 3 180
                      8 44 13 100 100 90 75 25 28 120 130 32 40 160 40 60 55 10 6 240
                      3 6 4 20 20 30 8 3 12 14 40 6 3 20 5 0 5 3 0 20
                      5 9 6 40 30 40 16 5 18 24 60 16 11 30 25 10 13 5 1 80
                      5 11 7 50 40 40 19 7 18 29 70 21 17 30 25 15 25 5 1 100
                      5 11 7 55 40 40 21 9 18 29 70 21 17 35 25 20 25 5 2 110
                      0 0 1 10 4 10 0 6 0 6 32 3 0 70 10 0 0 0 0 0
                      3 4 5 20 14 20 6 12 10 18 42 9 12 100 20 5 6 4 1 20
                      3 6 9 30 29 20 12 12 10 30 42 18 18 110 20 15 18 7 2 40
                      3 8 9 35 29 20 16 15 10 30 42 20 18 120 20 20 22 7 3 50",
            rooms: "550 700 130 240 280 310 110 205 260 275",
            optimum: 6120,
            taken: &[1, 10, 14, 15, 16, 17, 18, 19, 20],
        },
    ] {
        let problem = knapsack(&rows(case.profits)[0], &rows(case.weights), &rows(case.rooms)[0]);
        assert_eq!(most(&problem), (case.optimum, case.taken.to_vec()), "{}", case.source);
    }
}

/// Lorie and Savage's data as used by Weingartner 1963 (from memory); 70 by enumeration and by two solvers.
#[test]
fn nine_projects_under_two_budgets() {
    let outlays = rows("12 54 6 6 30 6 48 36 18\n 3 7 6 2 35 6 4 3 3");
    let problem = knapsack(&[14, 17, 17, 15, 40, 12, 14, 10, 12], &outlays, &[50, 20]);
    assert_eq!(most(&problem), (70, vec![1, 3, 4, 6, 9]));
}

/// Burkardt, Florida State University, knapsack_01, P01: 309.
#[test]
fn ten_things_in_one_sack() {
    let weights = rows("23 31 29 44 53 38 63 85 89 82");
    let problem = knapsack(&[92, 57, 49, 68, 60, 43, 67, 84, 87, 72], &weights, &[165]);
    assert_eq!(most(&problem), (309, vec![1, 2, 3, 4, 6]));
}

/// Seven repairs of one house, solved by an integer programme and by all 78,125 plans: c (1+g)^t / 1.03^t + sum of L / 1.03^(s+1)
/// over s < t, and for what is left the same at t = 4. Amounts here in ten-thousandths, so that rounding is under one.
#[test]
fn seven_repairs_in_four_years() {
    let repairs = [
        (650.0, 0.25, 220.0),
        (900.0, 0.03, 400.0),
        (1500.0, 0.03, 150.0),
        (1800.0, 0.04, 300.0),
        (3200.0, 0.12, 180.0),
        (6000.0, 0.15, 500.0),
        (1200.0, 0.05, 60.0),
    ];
    let whole = |amount: f64| (amount * 1e4).round() as i64;
    let repair = |(cost, growth, yearly): (f64, f64, f64)| {
        let spend = |t: i32| cost * (1.0 + growth).powi(t);
        let wait = |t: i32| (0..t).map(|s| yearly / 1.03_f64.powi(s + 1)).sum::<f64>();
        Repair {
            spend: (0..4).map(|t| whole(spend(t))).collect(),
            loss: (0..5).map(|t| whole(spend(t) / 1.03_f64.powi(t) + wait(t))).collect(),
            after: vec![],
            allowed: u64::MAX,
        }
    };
    let repairs: Vec<Repair> = repairs.into_iter().map(repair).collect();
    assert_eq!(
        repairs[0].loss,
        [6_500_000, 10_024_272, 13_782_873, 17_840_954, 22_277_142],
        "the published values of A"
    );
    let tight = Yearly {
        budgets: [4000, 4000, 8500, 4000].map(|b| b * 10_000).to_vec(),
        repairs: repairs.clone(),
        ..Yearly::default()
    };
    let plan = tight.plan(Effort::DEFAULT).unwrap();
    assert_eq!(plan.chosen, [Some(0), Some(0), Some(3), Some(0), Some(1), Some(2), Some(3)]);
    assert!((plan.loss - 188_058_797).abs() <= 4 && plan.is_optimal(), "{plan:?}");
    assert_eq!(plan.spent, [33_500_000, 35_840_000, 79_350_000, 30_282_405]);
    let wide = Yearly { budgets: vec![200_000_000; 4], repairs, ..Yearly::default() };
    let plan = wide.plan(Effort::DEFAULT).unwrap();
    assert_eq!((plan.loss, plan.chosen), (152_500_000, vec![Some(0); 7]));
}

/// `tests/reference/plan.json`: proven by HiGHS with zero gap and again by CP-SAT. Those of up to 31 repairs, which a build
/// without optimisation proves soon; `benches/run plan` proves all.
#[test]
fn plans_that_two_solvers_proved() {
    let text = include_str!("../../../tests/reference/plan.json");
    let all: serde_json::Value = serde_json::from_str(text).unwrap();
    let amounts = |value: &serde_json::Value| value.as_array().unwrap().iter().map(|a| a.as_i64().unwrap()).collect();
    let mut proved = 0;
    for row in all.as_array().unwrap() {
        let given = &row["in"];
        let [spend, loss] = ["spend", "loss"].map(|name| given[name].as_array().unwrap());
        if spend.len() > 31 {
            continue;
        }
        let mut repairs: Vec<Repair> = spend
            .iter()
            .zip(loss)
            .map(|(spend, loss)| Repair {
                spend: amounts(spend),
                loss: amounts(loss),
                after: vec![],
                allowed: u64::MAX,
            })
            .collect();
        for pair in given["after"].as_array().unwrap() {
            let pair: Vec<i64> = amounts(pair);
            repairs[pair[1] as usize].after.push(pair[0] as usize);
        }
        let task = Yearly { budgets: amounts(&given["budget"]), repairs, ..Yearly::default() };
        let plan = task.plan(Effort::DEFAULT).unwrap();
        assert!(task.is_met_by(&plan.chosen) && plan.is_optimal(), "{}", row["id"]);
        assert_eq!(plan.loss, row["out"]["optimal_loss"].as_i64().unwrap(), "{}", row["id"]);
        proved += 1;
    }
    assert_eq!(proved, 12);
}

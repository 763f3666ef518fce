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

/// `tests/reference/mknap1.txt`: seven instances with their published optima. What is taken, where it was listed: found by another
/// solver, with no other choice as good.
#[test]
fn or_library_mknap1() {
    let text = include_str!("../../../tests/reference/mknap1.txt");
    // In tenths, which is what the second instance is given in.
    let mut numbers = text.split_whitespace().map(|number| (number.parse::<f64>().unwrap() * 10.0).round() as i64);
    let mut next = || numbers.next().unwrap();
    let taken: [&[usize]; 7] = [
        &[2, 3, 6],
        &[2, 4, 5, 8, 10],
        &[],
        &[1, 10, 14, 15, 16, 17, 18, 19, 20],
        &[1, 2, 3, 9, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 25, 26, 27, 28],
        &[],
        &[
            4, 6, 8, 9, 11, 12, 13, 15, 16, 17, 19, 20, 23, 25, 26, 27, 28, 29, 31, 32, 34, 35, 36, 37, 38, 39, 40, 41,
            42, 43, 44, 47, 48, 49, 50,
        ],
    ];
    assert_eq!(next(), 70);
    for (at, taken) in taken.into_iter().enumerate() {
        let (things, rows, optimum) = (next() / 10, next() / 10, next());
        let mut row = |count: i64| (0..count).map(|_| next()).collect::<Vec<i64>>();
        let profits = row(things);
        let weights: Vec<Vec<i64>> = (0..rows).map(|_| row(things)).collect();
        let (most, chosen) = most(&knapsack(&profits, &weights, &row(rows)));
        assert_eq!(most, optimum, "instance {}", at + 1);
        assert!(taken.is_empty() || chosen == taken, "instance {}: {chosen:?}", at + 1);
    }
}

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

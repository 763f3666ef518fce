//! Theil-Sen: the median of the slopes of all pairs of readings on different days, which a few bad readings do not move.
//!
//! The interval is Sen's: with N sorted slopes counted from 0, its ends are number round((N − 1.96 σ)/2) − 1 and
//! round((N + 1.96 σ)/2), halves to even, kept inside the list; σ² is the variance of Kendall's score, corrected for
//! ties of dates and of widths each by themselves. Sources: Theil 1950; Sen 1968.

use serde::Serialize;

use super::DAYS_PER_YEAR;
use super::pairs::{count_falling, ties, variance_term};

/// Two-sided 95 % point of the normal distribution.
const NORMAL_95: f64 = 1.959_963_984_540_054;
/// Up to this many readings all slopes are written out (16 MB); beyond, they are counted and never held.
const READINGS_WRITTEN_OUT: usize = 2_000;

/// Median of the pairwise slopes and its 95 % interval, mm a year.
///
/// Where so many dates and widths are tied that the corrected variance is negative, the interval is the whole range of
/// slopes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TheilSen {
    pub slope: f64,
    pub ci_low: f64,
    pub ci_high: f64,
}

/// `None` when all readings are of one day. `days` ascend.
pub(super) fn theil_sen(days: &[i64], mm: &[f64]) -> Option<TheilSen> {
    theil_sen_writing_out(days, mm, READINGS_WRITTEN_OUT)
}

pub(super) fn theil_sen_writing_out(days: &[i64], mm: &[f64], most_written_out: usize) -> Option<TheilSen> {
    let n = days.len();
    let same_day: usize = ties(days).map(|size| size * (size - 1) / 2).sum();
    let slopes = n * n.saturating_sub(1) / 2 - same_day;
    if slopes == 0 {
        return None;
    }
    let (low, high) = interval_ranks(days, mm, slopes);
    let ranks = [low, (slopes - 1) / 2, slopes / 2, high];
    let [ci_low, below, above, ci_high] =
        if n <= most_written_out { by_selection(days, mm, ranks) } else { by_counting(days, mm, ranks) };
    Some(TheilSen { slope: (below + above) / 2.0, ci_low, ci_high })
}

/// Which of the sorted slopes, from 0, end the interval.
fn interval_ranks(days: &[i64], mm: &[f64], slopes: usize) -> (usize, usize) {
    let mut widths = mm.to_vec();
    widths.sort_unstable_by(f64::total_cmp);
    let tied = ties(days).map(variance_term).sum::<f64>() + ties(&widths).map(variance_term).sum::<f64>();
    let variance = (variance_term(days.len()) - tied) / 18.0;
    let last = slopes - 1;
    if variance < 0.0 {
        return (0, last);
    }
    let half_width = NORMAL_95 * variance.sqrt();
    let low = ((slopes as f64 - half_width) / 2.0).round_ties_even() - 1.0;
    let high = ((slopes as f64 + half_width) / 2.0).round_ties_even();
    ((low.max(0.0) as usize).min(last), (high as usize).min(last))
}

/// The slopes of the given ranks (low end, the two in the middle, high end) from the list of all.
fn by_selection(days: &[i64], mm: &[f64], [low, below, above, high]: [usize; 4]) -> [f64; 4] {
    let mut slopes = Vec::with_capacity(days.len() * (days.len() - 1) / 2);
    for later in 1..days.len() {
        for earlier in (0..later).take_while(|&i| days[i] < days[later]) {
            slopes.push((mm[later] - mm[earlier]) / ((days[later] - days[earlier]) as f64 / DAYS_PER_YEAR));
        }
    }
    // The middle first: the other picks then look through half the list.
    let (under, &mut middle, over) = slopes.select_nth_unstable_by(above, f64::total_cmp);
    let mut pick = |rank: usize| match rank.cmp(&above) {
        std::cmp::Ordering::Less => *under.select_nth_unstable_by(rank, f64::total_cmp).1,
        std::cmp::Ordering::Equal => middle,
        std::cmp::Ordering::Greater => *over.select_nth_unstable_by(rank - above - 1, f64::total_cmp).1,
    };
    [pick(low), pick(below), middle, pick(high)]
}

/// The same without the list: the number of slopes under m is the number of pairs that fall in width − m × time, so that
/// each rank is found by halving.
fn by_counting(days: &[i64], mm: &[f64], ranks: [usize; 4]) -> [f64; 4] {
    let mut points: Vec<(i64, f64)> = days.iter().copied().zip(mm.iter().map(|x| x - mm[0])).collect();
    // Within a day the widths ascend, so that no pair of one day ever falls.
    points.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let (least, most) = points.iter().fold((0.0_f64, 0.0_f64), |(a, b), p| (a.min(p.1), b.max(p.1)));
    let steepest = (most - least) * DAYS_PER_YEAR;
    let mut spare = Vec::with_capacity(points.len());
    let mut turned = Vec::with_capacity(points.len());
    let mut under = |slope: f64| {
        turned.clear();
        turned.extend(points.iter().map(|&(day, x)| x - slope * (day as f64 / DAYS_PER_YEAR)));
        count_falling(&mut turned, &mut spare)
    };
    ranks.map(|rank| {
        let (mut low, mut high) = (-steepest, steepest);
        loop {
            let middle = low + (high - low) / 2.0;
            if middle <= low || middle >= high || high - low <= 1e-16 * steepest {
                return middle;
            }
            if under(middle) <= rank as u64 { low = middle } else { high = middle }
        }
    })
}

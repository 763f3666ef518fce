//! How long a stage is held, drawn at once rather than year by year, and which stage follows.
//!
//! With the chance p of staying a year, the stage is left within n years with the chance 1 - p^n. One number decides the year by
//! a table of these chances, found from a guide of equal steps; a second one decides the stage that follows.

use super::random::Stream;

/// Steps of the guide into the table.
const STEPS: usize = 256;

pub(super) struct Stay {
    /// The chance of having left after 1, 2, … years, up to the years looked ahead.
    left: Vec<f64>,
    /// For each step of the unit, the first place of `left` that may be meant.
    guide: Vec<u16>,
    /// Stages that may follow, with their chances summed up to 1.
    follows: Vec<(f64, usize)>,
    stage: usize,
}

impl Stay {
    pub fn new(row: &[f64], stage: usize, years: usize) -> Stay {
        let moves: f64 = row.iter().enumerate().filter(|(to, _)| *to != stage).map(|(_, chance)| chance).sum();
        let stays = row[stage] / (row[stage] + moves);
        let mut held = 1.0;
        let left = (0..years).map(|_| {
            held *= stays;
            1.0 - held
        });
        let left: Vec<f64> = if moves > 0.0 { left.collect() } else { Vec::new() };
        let step = |step: usize| left.partition_point(|chance| *chance <= step as f64 / STEPS as f64) as u16;
        let guide = (0..STEPS).map(step).collect();
        let mut so_far = 0.0;
        let following = row.iter().enumerate().filter(|(to, chance)| *to != stage && **chance > 0.0);
        let follows = following.map(|(to, chance)| {
            so_far += chance / moves;
            (so_far, to)
        });
        Stay { guide, follows: follows.collect(), left, stage }
    }

    /// The year in which a stage held since the year `since` is left (beyond all years where it is not), and what follows.
    pub fn leave(&self, since: usize, random: &mut Stream) -> (usize, usize) {
        const NEVER: usize = usize::MAX;
        if self.left.is_empty() {
            return (NEVER, self.stage);
        }
        let drawn = random.unit();
        let mut place = usize::from(self.guide[(drawn * STEPS as f64) as usize]);
        while self.left.get(place).is_some_and(|chance| *chance <= drawn) {
            place += 1;
        }
        if place == self.left.len() {
            return (NEVER, self.stage);
        }
        let next = match self.follows[..] {
            [(_, only)] => only,
            _ => {
                let drawn = random.unit();
                let chosen = self.follows.iter().find(|(so_far, _)| drawn < *so_far);
                chosen.or(self.follows.last()).map_or(self.stage, |(_, stage)| *stage)
            }
        };
        (since + place + 1, next)
    }
}

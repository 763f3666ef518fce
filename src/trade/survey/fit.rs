//! The plane of least squares, in axes along and across the longest distance so that a narrow survey keeps its figures.

use super::Point;

/// A plane in mm of height for each metre east and north.
pub(super) struct Plane {
    pub east: f64,
    pub north: f64,
    pub residuals_mm: Vec<f64>,
    pub longest_m: f64,
}

/// `None` if no point is further from the line of the longest distance than `on_a_line` of it.
pub(super) fn plane(points: &[Point], on_a_line: f64) -> Option<Plane> {
    let (from, to, longest_m) = longest(points);
    if longest_m == 0.0 {
        return None;
    }
    let (along_x, along_y) = ((to.x_m - from.x_m) / longest_m, (to.y_m - from.y_m) / longest_m);
    let across = |p: &Point| (p.y_m - from.y_m) * along_x - (p.x_m - from.x_m) * along_y;
    let along = |p: &Point| (p.x_m - from.x_m) * along_x + (p.y_m - from.y_m) * along_y;
    if points.iter().all(|p| across(p).abs() <= on_a_line * longest_m) {
        return None;
    }
    let u = centred(points.iter().map(along));
    let v = centred(points.iter().map(across));
    let z = centred(points.iter().map(|p| p.z_mm));
    // What of v and z is not along u; then what of z is along the rest of v.
    let tilt = dot(&u, &v) / dot(&u, &u);
    let rest: Vec<f64> = v.iter().zip(&u).map(|(v, u)| v - tilt * u).collect();
    let slope_across = dot(&z, &rest) / dot(&rest, &rest);
    let slope_along = dot(&z, &u) / dot(&u, &u) - slope_across * tilt;
    let residuals = z.iter().zip(u.iter().zip(&v)).map(|(z, (u, v))| z - slope_along * u - slope_across * v);
    Some(Plane {
        east: slope_along * along_x - slope_across * along_y,
        north: slope_along * along_y + slope_across * along_x,
        residuals_mm: residuals.collect(),
        longest_m,
    })
}

/// The two points furthest apart.
fn longest(points: &[Point]) -> (&Point, &Point, f64) {
    let mut found = (&points[0], &points[0], 0.0);
    for (at, one) in points.iter().enumerate() {
        for other in &points[at + 1..] {
            let (x, y) = (other.x_m - one.x_m, other.y_m - one.y_m);
            let square = x * x + y * y;
            if square > found.2 {
                found = (one, other, square);
            }
        }
    }
    (found.0, found.1, found.2.sqrt())
}

fn centred(numbers: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut numbers: Vec<f64> = numbers.collect();
    // Twice: the mean of what is left after the first pass is the rounding of the first mean.
    for _ in 0..2 {
        let mean = numbers.iter().sum::<f64>() / numbers.len() as f64;
        numbers.iter_mut().for_each(|number| *number -= mean);
    }
    numbers
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

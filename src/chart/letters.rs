//! A picture in letters, for a terminal: a band as shade, a line as dots, bars as blocks.

use super::axis::{across, written};
use super::picture::{Across, Layer, Picture};

const COLUMNS: usize = 64;
/// One more than a multiple of three, so that every third has a round height where the whole has.
const ROWS: usize = 13;
const NAMES: usize = 44;

/// Draws a picture in at most 80 columns.
pub fn draw(picture: &Picture) -> String {
    if picture.bars().is_empty() { plotted(picture) } else { barred(picture) }
}

fn plotted(picture: &Picture) -> String {
    let (x_ends, y_ends) = (picture.width(), picture.height());
    let column = |x: f64| ((x - x_ends.0) / (x_ends.1 - x_ends.0) * (COLUMNS - 1) as f64).round() as usize;
    let row = |y: f64| ROWS - 1 - ((y - y_ends.0) / (y_ends.1 - y_ends.0) * (ROWS - 1) as f64).round() as usize;
    let mut cells = vec![[' '; COLUMNS]; ROWS];
    let mut legend = Vec::new();
    let mut shades = ['░', '▒', '▓', '·'].into_iter().cycle();
    let mut dots = ['●', '○', '◆', '◇'].into_iter().cycle();
    for layer in &picture.layers {
        let (sign, name) = match layer {
            Layer::Band { name, points } => {
                let sign = shades.next().unwrap_or('░');
                for (x, low, high) in between(points.iter().map(|p| (p.0, p.1, p.2)), COLUMNS) {
                    (row(high)..=row(low)).for_each(|row| cells[row.min(ROWS - 1)][column(x).min(COLUMNS - 1)] = sign);
                }
                (sign, name)
            }
            Layer::Line { name, points } => {
                let sign = dots.next().unwrap_or('●');
                for (x, y, _) in between(points.iter().map(|p| (p.0, p.1, p.1)), COLUMNS) {
                    cells[row(y).min(ROWS - 1)][column(x).min(COLUMNS - 1)] = sign;
                }
                (sign, name)
            }
            Layer::Points { name, points } => {
                let sign = dots.next().unwrap_or('●');
                for (x, y, _) in points {
                    cells[row(*y).min(ROWS - 1)][column(*x).min(COLUMNS - 1)] = sign;
                }
                (sign, name)
            }
            Layer::Level { name, at } => {
                let cells = &mut cells[row(*at).min(ROWS - 1)];
                cells.iter_mut().filter(|cell| **cell == ' ').for_each(|cell| *cell = '╌');
                ('╌', name)
            }
            Layer::Bar { .. } | Layer::Mark { .. } => continue,
        };
        legend.push(format!("  {sign} {name}"));
    }
    let mut lines = vec![picture.title.clone()];
    for (number, cells) in cells.iter().enumerate() {
        let at = y_ends.0 + (y_ends.1 - y_ends.0) * (ROWS - 1 - number) as f64 / (ROWS - 1) as f64;
        let label = if number % 3 == 0 { written(at, picture.money) } else { String::new() };
        lines.push(format!("{label:>9} │{}", cells.iter().collect::<String>().trim_end()));
    }
    lines.push(format!("{:>9} └{}", "", "─".repeat(COLUMNS)));
    let mut under = [' '; COLUMNS + 12];
    for (at, says) in across(&picture.across, x_ends) {
        let begin = (column(at) + 1).saturating_sub(says.chars().count() / 2);
        let free = under.iter().skip(begin.saturating_sub(1)).take(says.chars().count() + 2).all(|cell| *cell == ' ');
        if free && begin + says.chars().count() <= under.len() {
            says.chars().enumerate().for_each(|(place, c)| under[begin + place] = c);
        }
    }
    lines.push(format!("{:>10}{}", "", under.iter().collect::<String>().trim_end()));
    if let Across::Number(name) | Across::Money(name) = &picture.across {
        lines.push(format!("{:>10} {name}", ""));
    }
    lines.extend(legend);
    lines.join("\n") + "\n"
}

fn barred(picture: &Picture) -> String {
    const ROOM: usize = 30;
    let (least, most) = picture.width();
    let column = |x: f64| ((x - least) / (most - least) * (ROOM - 1) as f64).round() as usize;
    let marks: Vec<usize> = picture
        .layers
        .iter()
        .filter_map(|layer| if let Layer::Mark { at, .. } = layer { Some(column(*at)) } else { None })
        .collect();
    let mut lines = vec![picture.title.clone()];
    for (name, from, to) in picture.bars() {
        let cell = |at: usize| match () {
            () if (column(from)..=column(to)).contains(&at) => '█',
            () if marks.contains(&at) => '┆',
            () => ' ',
        };
        let cells: String = (0..ROOM).map(cell).collect();
        let name: String = name.chars().take(NAMES).collect();
        let ends = match picture.across {
            Across::Money(_) => format!("{} to {}", written(from, true), written(to, true)),
            // A bar of one step is told by where it begins.
            _ => written(from, false),
        };
        lines.push(format!("  {name:<NAMES$} {cells} {ends}").trim_end().to_owned());
    }
    if let Across::Number(name) = &picture.across {
        lines.push(format!("  {:NAMES$} {name}", ""));
    }
    lines.join("\n") + "\n"
}

/// Heights between the points, close enough for each of `columns`.
fn between(points: impl Iterator<Item = (f64, f64, f64)>, columns: usize) -> Vec<(f64, f64, f64)> {
    let points: Vec<_> = points.collect();
    let mut all = points.clone();
    for two in points.windows(2) {
        let (a, b) = (two[0], two[1]);
        let part = |share: f64, from: f64, to: f64| from + share * (to - from);
        all.extend(
            (1..columns)
                .map(|n| n as f64 / columns as f64)
                .map(|s| (part(s, a.0, b.0), part(s, a.1, b.1), part(s, a.2, b.2))),
        );
    }
    all
}

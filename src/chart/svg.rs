//! A picture as SVG: text stays text, everything has a label, and it reads in black and white too.

use std::fmt::Write as _;

use super::axis::{across, around, beyond, steps, written};
use super::picture::{Across, Layer, Picture};

const WIDTH: f64 = 720.0;
const TOP: f64 = 44.0;
const PLOT: f64 = 260.0;
const LEFT: f64 = 66.0;
/// Room for the names of rows.
const NAMES: f64 = 300.0;
const RIGHT: f64 = 20.0;
const ROW: f64 = 26.0;
const LEGEND: f64 = 18.0;
/// About so many heights are written.
const STEPS: f64 = 5.0;
/// A letter is no wider on average, in the size of what is written beside the axes.
const LETTER: f64 = 7.2;
/// The most letters of a title, and of the name of a row; a picture says its whole title to whoever hears it.
const TITLE: usize = 84;
const NAME: usize = 46;

/// Slate, blue, ochre, violet: of different lightness, so that they stay apart in print.
const COLOURS: [&str; 4] = ["#4a5561", "#2f6fb3", "#b8862b", "#6a4c93"];
/// The same as fills: greys of 222, 182, 144 and 105 of 255 in print, so that bands that touch stay apart.
pub(super) const FILLS: [&str; 4] = ["#d9dfe5", "#98bce3", "#bd8a35", "#745a9b"];
const DASHES: [&str; 4] = ["", "7 4", "2 3", "9 3 2 3"];

/// Draws a picture. The same picture gives the same text.
pub fn draw(picture: &Picture) -> String {
    let bars = picture.bars();
    let left = if bars.is_empty() { LEFT } else { NAMES };
    let plot = if bars.is_empty() { PLOT } else { ROW * bars.len() as f64 };
    let named = picture.layers.iter().filter_map(legend).count();
    let height = TOP + plot + 46.0 + LEGEND * named as f64 + 8.0;
    let (mut x_ends, mut y_ends) = (picture.width(), picture.height());
    // A mark on the edge would be half of one.
    if picture.layers.iter().any(|layer| matches!(layer, Layer::Points { .. })) {
        (x_ends, y_ends) = (around(x_ends), beyond(y_ends, STEPS));
    }
    let x = |n: f64| left + (n - x_ends.0) / (x_ends.1 - x_ends.0) * (WIDTH - left - RIGHT);
    let y = |n: f64| TOP + plot - (n - y_ends.0) / (y_ends.1 - y_ends.0) * plot;
    let mut out = String::new();
    let id = ids(&picture.title);
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" \
         aria-labelledby=\"{id}-t {id}-d\" font-family=\"'Libertinus Serif','DejaVu Sans',sans-serif\" font-size=\"12\" \
         fill=\"#1d2329\">\n<title id=\"{id}-t\">{}</title>\n<desc id=\"{id}-d\">{}</desc>\n\
         <rect width=\"{WIDTH}\" height=\"{height}\" fill=\"#ffffff\"/>\n<text x=\"12\" y=\"22\" font-size=\"14\" \
         font-weight=\"bold\">{}</text>\n",
        escaped(&picture.title),
        escaped(&picture.says),
        escaped(&shortened(&picture.title, TITLE))
    );
    let out = &mut out;
    let text = |out: &mut String, x: f64, y: f64, anchor: &str, text: &str| {
        let _ = writeln!(out, "<text x=\"{x:.1}\" y=\"{y:.1}\" text-anchor=\"{anchor}\">{}</text>", escaped(text));
    };
    for (at, says) in across(&picture.across, x_ends) {
        let _ = writeln!(out, "<path d=\"M{0:.1} {TOP}V{1:.1}\" stroke=\"#dde1e5\"/>", x(at), TOP + plot);
        // What would stand beyond the edge ends at it.
        let half = says.chars().count() as f64 * LETTER / 2.0;
        text(out, x(at).min(WIDTH - half), TOP + plot + 16.0, "middle", &says);
    }
    if let Across::Number(name) | Across::Money(name) = &picture.across {
        text(out, WIDTH - RIGHT, TOP + plot + 34.0, "end", name);
    }
    if bars.is_empty() {
        for at in steps(y_ends, STEPS) {
            let _ = writeln!(out, "<path d=\"M{left} {0:.1}H{1}\" stroke=\"#dde1e5\"/>", y(at), WIDTH - RIGHT);
            text(out, left - 6.0, y(at) + 4.0, "end", &written(at, picture.money));
        }
        text(out, 12.0, TOP - 6.0, "start", &picture.up);
    }
    let _ = writeln!(
        out,
        "<path d=\"M{left} {TOP}V{0:.1}H{1}\" fill=\"none\" stroke=\"#4a5561\"/>",
        TOP + plot,
        WIDTH - RIGHT
    );
    let (mut shade, mut row) = (0, 0.0);
    for layer in &picture.layers {
        let (colour, fill, dash) = (COLOURS[shade % 4], FILLS[shade % 4], DASHES[shade % 4]);
        match layer {
            Layer::Band { points, .. } => {
                let upper = points.iter().map(|p| format!("{:.1} {:.1}", x(p.0), y(p.2)));
                let lower = points.iter().rev().map(|p| format!("{:.1} {:.1}", x(p.0), y(p.1)));
                let path = upper.chain(lower).collect::<Vec<_>>().join("L");
                let _ = writeln!(out, "<path d=\"M{path}Z\" fill=\"{fill}\" stroke=\"#ffffff\" stroke-width=\"0.8\"/>");
            }
            Layer::Line { points, .. } => {
                let path = points.iter().map(|p| format!("{:.1} {:.1}", x(p.0), y(p.1))).collect::<Vec<_>>().join("L");
                let _ = writeln!(
                    out,
                    "<path d=\"M{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>"
                );
            }
            Layer::Points { points, .. } => {
                for (at, value, off) in points {
                    let (cx, cy) = (x(*at), y(*value));
                    let (top, foot) = (y(value + off), y(value - off));
                    let _ = writeln!(out, "<path d=\"M{cx:.1} {top:.1}V{foot:.1}\" stroke=\"{colour}\"/>");
                    let _ = writeln!(out, "<path d=\"{}\" fill=\"{colour}\"/>", mark(shade, cx, cy));
                }
            }
            Layer::Level { at, .. } => {
                let _ = writeln!(
                    out,
                    "<path d=\"M{left} {0:.1}H{1}\" stroke=\"{colour}\" stroke-width=\"1.5\" stroke-dasharray=\"6 3\"/>",
                    y(*at),
                    WIDTH - RIGHT
                );
            }
            Layer::Bar { name, from, to } => {
                let (low, high) = (x(from.min(*to)), x(from.max(*to)));
                let top = TOP + row * ROW + 5.0;
                let _ = writeln!(
                    out,
                    "<rect x=\"{low:.1}\" y=\"{top:.1}\" width=\"{0:.1}\" height=\"{1}\" fill=\"{2}\" stroke=\"{3}\"/>",
                    (high - low).max(1.0),
                    ROW - 10.0,
                    FILLS[1],
                    COLOURS[1]
                );
                text(out, left - 8.0, top + 12.0, "end", &shortened(name, NAME));
                row += 1.0;
            }
            Layer::Mark { at, .. } => {
                let _ = writeln!(
                    out,
                    "<path d=\"M{0:.1} {TOP}V{1:.1}\" stroke=\"{colour}\" stroke-width=\"1.5\" stroke-dasharray=\"6 3\"/>",
                    x(*at),
                    TOP + plot
                );
            }
        }
        if legend(layer).is_some() {
            let top = TOP + plot + 40.0 + LEGEND * shade as f64;
            swatch(out, layer, shade, top);
            text(out, 42.0, top + 11.0, "start", legend(layer).unwrap_or_default());
            shade += 1;
        }
    }
    out.push_str("</svg>\n");
    std::mem::take(out)
}

/// What stands in the legend; bars have their names beside them.
fn legend(layer: &Layer) -> Option<&str> {
    match layer {
        Layer::Band { name, .. } | Layer::Line { name, .. } | Layer::Points { name, .. } => Some(name),
        Layer::Level { name, .. } | Layer::Mark { name, .. } => Some(name),
        Layer::Bar { .. } => None,
    }
}

fn swatch(out: &mut String, layer: &Layer, shade: usize, top: f64) {
    let (colour, fill, dash) = (COLOURS[shade % 4], FILLS[shade % 4], DASHES[shade % 4]);
    let _ = match layer {
        Layer::Band { .. } => {
            writeln!(
                out,
                "<rect x=\"12\" y=\"{top:.1}\" width=\"22\" height=\"12\" fill=\"{fill}\" stroke=\"{colour}\"/>"
            )
        }
        Layer::Points { .. } => {
            writeln!(out, "<path d=\"{}\" fill=\"{colour}\"/>", mark(shade, 23.0, top + 6.0))
        }
        Layer::Line { .. } => writeln!(
            out,
            "<path d=\"M12 {0:.1}h22\" stroke=\"{colour}\" stroke-width=\"2\" stroke-dasharray=\"{dash}\"/>",
            top + 6.0
        ),
        _ => writeln!(
            out,
            "<path d=\"M12 {0:.1}h22\" stroke=\"{colour}\" stroke-width=\"1.5\" stroke-dasharray=\"6 3\"/>",
            top + 6.0
        ),
    };
}

/// A circle, square, diamond or triangle.
fn mark(shade: usize, x: f64, y: f64) -> String {
    match shade % 4 {
        0 => format!("M{:.1} {y:.1}a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z", x - 4.0),
        1 => format!("M{:.1} {:.1}h7v7h-7Z", x - 3.5, y - 3.5),
        2 => format!("M{x:.1} {:.1}l5 5l-5 5l-5 -5Z", y - 5.0),
        _ => format!("M{x:.1} {:.1}l5 9h-10Z", y - 5.0),
    }
}

fn shortened(name: &str, most: usize) -> String {
    if name.chars().count() <= most { name.to_owned() } else { name.chars().take(most - 1).chain(['…']).collect() }
}

/// Letters and digits of a title, so that several pictures of one page have names of their own.
fn ids(title: &str) -> String {
    let plain: String =
        title.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect();
    format!("p-{plain}")
}

/// Text as it may stand in a document; what cannot stand in one at all is left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control()
                || matches!(c, '\u{fffe}' | '\u{ffff}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}') =>
            {
                out.push(' ');
            }
            c => out.push(c),
        }
    }
    out
}

//! A notice on the desktop, by its own program where there is one.

use std::time::Duration;

use super::{Failed, program};
use crate::remind::notice::Notice;

/// What takes a notice to the desktop (Desktop Notifications Specification), on the path.
const PROGRAM: &str = "notify-send";
const LIMIT: Duration = Duration::from_secs(10);
/// Things that a notice has room for.
const ROOM: usize = 6;

pub fn send(notice: &Notice) -> Result<(), Failed> {
    let [summary, body] = [&notice.summary, &body(notice)].map(|text| text.to_owned());
    let words = [PROGRAM, "--app-name=stemwall", "--", &summary, &body].map(str::to_owned);
    program::run(&words, "", LIMIT).map(drop)
}

/// A line a thing. A body may have markup, so that what looks like it is escaped.
fn body(notice: &Notice) -> String {
    let line = |thing: &crate::remind::notice::Thing| format!("{}: {} ({})", thing.subject, thing.title, thing.code);
    let mut lines: Vec<String> = notice.things.iter().take(ROOM).map(line).collect();
    if notice.things.len() > ROOM {
        lines.push(format!("and {} more: stemwall due", notice.things.len() - ROOM));
    }
    lines.join("\n").replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

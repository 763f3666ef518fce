//! What one trip to each house would do: everything due there, how long it takes, who has to be told, and what to mind.

use std::io::Write;

use serde_json::{Value, json};

use super::due::{day, one};
use super::failure::Failure;
use super::output::{line, written};
use super::words::{counted, plain, wrapped};
use crate::command::duty::{Notice, Visit};
use crate::command::{Context, duty};
use crate::store::Store;

/// Each house under its name: first where a licensed person is asked for, then the house with the earliest day.
pub fn visits(
    context: &Context,
    store: &mut Store,
    fields: &duty::DueFields,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let visits = duty::visits(context, store, fields)?;
    let until = day(duty::until(fields.within.as_deref(), duty::today_of(context, store, fields)?)?);
    if visits.is_empty() {
        return line(out, format_args!("nothing is due by {until}"));
    }
    for visit in &visits {
        let things = counted(visit.rows.len() as u64, "thing", "things");
        let takes = match visit.minutes() {
            0 => String::new(),
            minutes => format!(", about {minutes} minutes"),
        };
        line(out, format_args!("{}: {things} by {until}{takes}", plain(&visit.first().key)))?;
        if let Some(notice) = visit.notice() {
            line(out, format_args!("  {}", wrapped(&told(visit, &notice, fields.names), 96, "  ")))?;
        }
        for row in &visit.rows {
            out.write_all(one(row, visit.today).as_bytes()).map_err(|e| written(&e))?;
        }
        for caution in visit.cautions() {
            line(out, format_args!("  caution: {}", wrapped(caution, 88, "  ")))?;
        }
    }
    Ok(())
}

/// The same as programs read it.
pub fn as_json(context: &Context, store: &mut Store, fields: &duty::DueFields) -> Result<Value, Failure> {
    let visits = duty::visits(context, store, fields)?;
    let one = |visit: &Visit| {
        let notice = visit.notice();
        let first = visit.first();
        json!({
            "property": first.key, "minutes": visit.minutes(), "notice_days": first.notice_days,
            "tell_by": notice.as_ref().map(|n| n.tell_by), "visit_on": notice.as_ref().map(|n| n.visit_on),
            "tell": first.tell.as_ref().filter(|_| fields.names), "cautions": visit.cautions(),
            "due": visit.rows.iter().map(|row| duty::as_json(row, visit.today)).collect::<Vec<_>>(),
        })
    };
    Ok(Value::from(visits.iter().map(one).collect::<Vec<_>>()))
}

/// Names stay out unless they are asked for.
fn told(visit: &Visit, notice: &Notice, names: bool) -> String {
    let who = match (&visit.first().tell, names) {
        (Some(tell), true) => plain(tell),
        _ => "them".to_owned(),
    };
    format!("tell {who} by {}, for a visit on {}", day(notice.tell_by), day(notice.visit_on))
}

//! Advice on rules for when.

use crate::calendar::cron_text::{CronError, CronField, macros};
use crate::calendar::recurrence::{PARTS, RecurrenceError};

pub fn of_cron(error: &CronError) -> String {
    match error {
        CronError::FieldCount { .. } => {
            "write minute, hour, day of the month, month and day of the week, as in `30 6 1 * *`".to_owned()
        }
        CronError::UnknownMacro { .. } => format!("one of {}", macros().collect::<Vec<_>>().join(", ")),
        CronError::NotAValue { field, .. } => match field {
            CronField::Month => "write 1 to 12 or jan to dec, `*`, or a range such as `4-10`".to_owned(),
            CronField::Weekday => {
                "write 0 to 7 (0 and 7 are Sunday) or sun to sat, `*`, or a range such as `mon-fri`".to_owned()
            }
            _ => "write a whole number, `*`, or a range such as `1-7`".to_owned(),
        },
        CronError::Outside { .. } => "write a number within it".to_owned(),
        CronError::Falling { .. } => "write the lower end first, or two ranges with a comma between them".to_owned(),
        CronError::StepWithoutRange { .. } => {
            "write the range before the stroke, as in `5-59/20`, or `*/20`".to_owned()
        }
        CronError::NoStep { .. } => "write a whole number behind the stroke, as in `*/15`".to_owned(),
        CronError::Beyond => "write fewer fields out".to_owned(),
    }
}

pub fn of_recurrence(error: &RecurrenceError) -> String {
    use RecurrenceError as E;
    match error {
        E::NotAPart { .. } => "write parts with semicolons between them, as in `FREQ=MONTHLY;BYMONTHDAY=1`".to_owned(),
        E::UnknownPart { part } if part.contains(':') => "write only what follows `RRULE:`".to_owned(),
        E::UnknownPart { .. } => format!("one of {}", PARTS.join(", ")),
        E::Twice { .. } => {
            "leave one of the two out; a part can list several values with commas between them".to_owned()
        }
        E::NoFrequency => "begin with how often, as in `FREQ=MONTHLY`".to_owned(),
        E::UnknownFrequency { .. } => "one of SECONDLY, MINUTELY, HOURLY, DAILY, WEEKLY, MONTHLY, YEARLY".to_owned(),
        E::CountAndUntil => "leave one of the two out".to_owned(),
        E::NotWhole { .. } => "write whole numbers, with commas between them where there are several".to_owned(),
        E::Outside { .. } => "write a number within it".to_owned(),
        E::NoInterval => "write 1 or more, or leave it out".to_owned(),
        E::NotAWeekday { part: "WKST", .. } => "one of MO, TU, WE, TH, FR, SA, SU".to_owned(),
        E::NotAWeekday { .. } => "one of MO, TU, WE, TH, FR, SA, SU, or numbered as in `2TU`, `-1FR`".to_owned(),
        E::NotATime { .. } | E::NotUtc { .. } => "write date, T, time and Z: `20260301T090000Z`".to_owned(),
        E::NumberedDay { .. } => {
            "numbers go with FREQ=MONTHLY, and with FREQ=YEARLY where there is no BYWEEKNO".to_owned()
        }
        E::NotWith { part, .. } => match *part {
            "BYWEEKNO" => "it goes with FREQ=YEARLY only".to_owned(),
            "BYYEARDAY" => "it goes with FREQ=YEARLY, HOURLY, MINUTELY and SECONDLY".to_owned(),
            _ => "it goes with every frequency but FREQ=WEEKLY".to_owned(),
        },
        E::SetPosAlone => "add what it picks from, as in `BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1`".to_owned(),
    }
}

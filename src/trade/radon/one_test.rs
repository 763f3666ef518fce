//! One radon test: whether it counts.
//!
//! The rule in words: a test lasts 48 hours or longer; one under 4 days needs the house closed from 12 hours before its start
//! to its end; the device stands in a lived-in room away from openings, outside walls, heat and the sump; a monitor's record
//! has no hole. A [`RadonProblem`] takes the test's validity, a [`Doubt`] only says what is not known about it.
//!
//! Sources: Illinois 32 IAC 422.130 (duration, placement; read), EPA Home Protocols 1993 and MALB-2014 4.1 (closed house;
//! read), ANSI/AARST MAH-2019 (level, season; read).

use std::fmt;

use chrono::{NaiveDate, NaiveDateTime};

use super::monitor::{self, MONITOR, MonitorRule};
use super::valid::{CLOSED_HOUSE, DETECTION, DURATION, PLACEMENT, ROOM};
use super::{ACTION, reported};
use crate::quantity::{Activity, Exact, Length, Span, Temperature};
use crate::trade::told;
use crate::trade::verdict::Rule;
use crate::trade::words::{Answer, Device, Level};

/// Shortest test: Illinois 32 IAC 422.130 b) 1); read.
pub const SHORTEST: Span = Span::hours(48, 1);
/// Shortest record of a monitor once the house was closed 12 h before: ANSI/AARST MAH-2019, 6.1.2; read.
pub const SHORTEST_EXTENDED: Span = Span::hours(46, 1);
/// Below this the house has to be closed 12 h before the start: EPA 402-R-93-003 and MALB-2014 4.1; read.
pub const CLOSED_BELOW: Span = Span::days(4, 1);
/// Longest short test; longer ones are long: MALB-2014 5.4.2 note; read.
pub const SHORT_TO: Span = Span::days(90, 1);
/// Placement: Illinois 32 IAC 422.130 a) 1) D; read.
pub const FLOOR_FROM: Length = Length::inches(20, 1);
pub const FLOOR_TO: Length = Length::feet(6, 1);
pub const OPENING_OFF: Length = Length::feet(3, 1);
pub const OUTSIDE_WALL_OFF: Length = Length::feet(1, 1);
pub const OBJECT_OFF: Length = Length::inches(4, 1);
pub const HEAT_OFF: Length = Length::feet(4, 1);
pub const SUMP_OFF: Length = Length::feet(7, 1);
/// Indoor temperature: MALB-2014 Table 4-A; read.
pub const TEMPERATURE_FROM: Temperature = Temperature::fahrenheit(65, 1);
pub const TEMPERATURE_TO: Temperature = Temperature::fahrenheit(80, 1);

/// The kind of room a device stood in, as far as placement rules ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Room {
    Lived,
    Bathroom,
    Kitchen,
    Laundry,
    Spa,
    Closet,
    Cupboard,
    Nook,
    CrawlSpace,
    Sump,
}

impl Room {
    fn word(self) -> &'static str {
        match self {
            Room::Lived => "a lived-in room",
            Room::Bathroom => "a bathroom",
            Room::Kitchen => "a kitchen",
            Room::Laundry => "a laundry",
            Room::Spa => "a spa",
            Room::Closet => "a closet",
            Room::Cupboard => "a cupboard",
            Room::Nook => "a nook",
            Room::CrawlSpace => "a crawl space",
            Room::Sump => "a sump",
        }
    }
}

/// Distances of the device, each `None` if not recorded.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Placed {
    pub above_floor: Option<Length>,
    pub from_opening: Option<Length>,
    pub from_outside_wall: Option<Length>,
    pub from_object: Option<Length>,
    pub from_heat: Option<Length>,
    pub from_sump: Option<Length>,
}

/// One test as it was recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct RadonTest {
    pub result: Activity,
    /// The result is below what the device can show, and `result` is that limit.
    pub below: bool,
    pub device: Option<Device>,
    /// On one clock without jumps (the caller has taken daylight saving out).
    pub started: Option<NaiveDateTime>,
    pub ended: Option<NaiveDateTime>,
    /// Day it started by the calendar of the house; without it that of `started`.
    pub started_on: Option<NaiveDate>,
    /// How long it lasted if that is what was recorded; goes before the difference of start and end.
    pub lasted: Option<Span>,
    /// Windows and outside doors closed from 12 h before the start to the end.
    pub closed: Option<Answer>,
    pub level: Option<Level>,
    /// The place in the words recorded.
    pub place: Option<String>,
    pub room: Option<Room>,
    pub placed: Placed,
    pub temperature: Option<Temperature>,
    pub severe_weather: Option<Answer>,
    /// A monitor's record has a hole in it.
    pub gap: Option<Answer>,
    /// Hours left out at the start of a monitor's record.
    pub left_out: Option<u32>,
    /// What the test is known by among those of its house.
    pub entry: Option<u64>,
    /// The test it stood beside, by [`RadonTest::entry`].
    pub beside: Option<u64>,
    /// Day the result counts from: the end, else the day of the entry.
    pub on: NaiveDate,
}

/// Short or long, by how long it lasted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// 48 hours to 90 days.
    Short,
    /// More than 90 days.
    Long,
}

/// A fact that takes a test its validity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RadonProblem {
    EndsBeforeStart,
    NoDuration,
    TooShort {
        lasted: Span,
        shortest: Span,
    },
    /// Not closed, and it lasted under 4 days.
    NotClosed,
    WrongRoom {
        room: Room,
    },
    /// Nearer to something, or lower or higher, than placement rules allow.
    Misplaced {
        what: &'static str,
        given: Length,
        asked: Length,
    },
    TooHigh {
        given: Length,
    },
    Gap,
    /// Of a monitor's record, too few hours are left after those left out.
    FewCounted {
        counted: Span,
        asked: Span,
    },
    /// Below what the device shows, which is the action level or more: on which side of it is not known.
    LimitTooHigh {
        limit: Activity,
    },
}

impl RadonProblem {
    /// The rule that takes the test its validity.
    pub fn rule(self) -> &'static Rule {
        match self {
            RadonProblem::EndsBeforeStart | RadonProblem::NoDuration | RadonProblem::TooShort { .. } => &DURATION,
            RadonProblem::NotClosed => &CLOSED_HOUSE,
            RadonProblem::WrongRoom { .. } => &ROOM,
            RadonProblem::Misplaced { .. } | RadonProblem::TooHigh { .. } => &PLACEMENT,
            RadonProblem::Gap | RadonProblem::FewCounted { .. } => &MONITOR,
            RadonProblem::LimitTooHigh { .. } => &DETECTION,
        }
    }
}

impl fmt::Display for RadonProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RadonProblem::EndsBeforeStart => f.write_str("it ended before it started"),
            RadonProblem::NoDuration => f.write_str("how long it lasted is not recorded"),
            RadonProblem::TooShort { lasted, shortest } => {
                write!(f, "it lasted {} h, under {} h", lasted_hours(*lasted), lasted_hours(*shortest))
            }
            RadonProblem::NotClosed => f.write_str("the house was not closed, and it lasted under 4 days"),
            RadonProblem::WrongRoom { room } => write!(f, "it stood in {}", room.word()),
            RadonProblem::Misplaced { what, given, asked } => {
                write!(f, "it stood {} {what}, asked are {}", told::length(*given), told::length(*asked))
            }
            RadonProblem::TooHigh { given } => {
                write!(
                    f,
                    "it stood {} above the floor, asked are at most {}",
                    told::length(*given),
                    told::length(FLOOR_TO)
                )
            }
            RadonProblem::Gap => f.write_str("the monitor's record has a hole in it"),
            RadonProblem::FewCounted { counted, asked } => write!(
                f,
                "{} h of the monitor's record are left to count, under {} h",
                lasted_hours(*counted),
                lasted_hours(*asked)
            ),
            RadonProblem::LimitTooHigh { limit } => write!(
                f,
                "it tells only that the level was below {}, which is no answer at 4 pCi/L",
                told::activity(*limit)
            ),
        }
    }
}

fn lasted_hours(lasted: Span) -> String {
    lasted.exact().checked_div(Exact::integer(3600)).map_or_else(|| lasted.to_hours().to_string(), |h| h.decimal(2))
}

/// Something not known, or not as it should be, that leaves the test its validity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Doubt {
    DeviceNotKnown,
    ClosedNotKnown,
    /// Not closed, with 4 days or more.
    NotClosedLong,
    LevelNotKnown,
    OtherLevel,
    RoomNotKnown,
    /// Kitchen, bathroom, laundry or spa, with a device that is not charcoal (or not known).
    DampRoom,
    TemperatureOutside,
    SevereWeather,
}

impl Doubt {
    /// Whether it comes from a condition of the test that was recorded and not met.
    pub fn is_of_conditions(self) -> bool {
        matches!(self, Doubt::TemperatureOutside | Doubt::SevereWeather)
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Doubt::DeviceNotKnown => "which kind of device it was",
            Doubt::ClosedNotKnown => "whether the house was closed from 12 hours before the test",
            Doubt::NotClosedLong => "how the house would test closed: it was not",
            Doubt::LevelNotKnown => "which level of the house it stood on",
            Doubt::OtherLevel => "radon on the lowest level: it stood on another",
            Doubt::RoomNotKnown => "which kind of room it stood in",
            Doubt::DampRoom => "how far a damp room (kitchen, bathroom, laundry, spa) moved the result",
            Doubt::TemperatureOutside => "how far a temperature outside 65 to 80 F (18 to 27 C) moved the result",
            Doubt::SevereWeather => "how far severe weather moved a test under 4 days",
        })
    }
}

/// A test as verdicts name it: ``test of 14 Jan 2026 in `den`: 5.1 pCi/L (189 Bq/m3)``.
#[derive(Debug, Clone)]
pub struct Described {
    on: NaiveDate,
    place: Option<String>,
    below: bool,
    result: Activity,
}

impl fmt::Display for Described {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "test of {}", told::day(self.on))?;
        if let Some(place) = &self.place {
            write!(f, " in `{place}`")?;
        }
        let below = if self.below { "below " } else { "" };
        write!(f, ": {below}{}", told::activity(self.result))
    }
}

impl RadonTest {
    /// How long it lasted; `None` if that was not recorded or it ended before it started.
    pub fn duration(&self) -> Option<Span> {
        self.lasted.or_else(|| {
            let seconds = self.ended?.signed_duration_since(self.started?).num_seconds();
            Span::from_exact(Exact::integer(seconds.into()))
        })
    }

    /// Short or long; `None` without a duration.
    pub fn kind(&self) -> Option<Kind> {
        Some(if self.duration()? > SHORT_TO { Kind::Long } else { Kind::Short })
    }

    /// Every fact that takes it its validity; valid when there is none.
    pub fn problems(&self) -> Vec<RadonProblem> {
        self.problems_by(MonitorRule::FortyEightHourRun)
    }

    /// The same with the length that one document asks of a monitor's record.
    pub fn problems_by(&self, rule: MonitorRule) -> Vec<RadonProblem> {
        let mut problems = Vec::new();
        let shortest = self.shortest(rule);
        if self.started.zip(self.ended).is_some_and(|(start, end)| end < start) {
            problems.push(RadonProblem::EndsBeforeStart);
        } else {
            match self.duration() {
                None => problems.push(RadonProblem::NoDuration),
                Some(lasted) if lasted < shortest => problems.push(RadonProblem::TooShort { lasted, shortest }),
                Some(_) => {}
            }
        }
        if self.closed == Some(Answer::No) && self.is_under_four_days() {
            problems.push(RadonProblem::NotClosed);
        }
        problems.extend(self.wrong_room());
        problems.extend(self.misplaced());
        problems.extend(
            (self.gap == Some(Answer::Yes) && self.device == Some(Device::Monitor)).then_some(RadonProblem::Gap),
        );
        problems.extend(self.few_counted(rule));
        let no_answer = self.below && reported(self.result) >= ACTION;
        problems.extend(no_answer.then_some(RadonProblem::LimitTooHigh { limit: self.result }));
        problems
    }

    /// What is not known about it, or not as it should be, without taking it its validity.
    pub fn doubts(&self) -> Vec<Doubt> {
        let mut doubts = Vec::new();
        let long = self.kind() == Some(Kind::Long);
        if self.device.is_none() {
            doubts.push(Doubt::DeviceNotKnown);
        }
        match self.closed {
            None | Some(Answer::Unknown) if !long => doubts.push(Doubt::ClosedNotKnown),
            Some(Answer::No) if !long && !self.is_under_four_days() => doubts.push(Doubt::NotClosedLong),
            _ => {}
        }
        match self.level {
            None => doubts.push(Doubt::LevelNotKnown),
            Some(Level::Other) => doubts.push(Doubt::OtherLevel),
            Some(Level::Lowest) => {}
        }
        match self.room {
            None => doubts.push(Doubt::RoomNotKnown),
            Some(Room::Bathroom | Room::Kitchen | Room::Laundry | Room::Spa)
                if self.device != Some(Device::Charcoal) =>
            {
                doubts.push(Doubt::DampRoom);
            }
            Some(_) => {}
        }
        if self.temperature.is_some_and(|t| t < TEMPERATURE_FROM || t > TEMPERATURE_TO) {
            doubts.push(Doubt::TemperatureOutside);
        }
        if self.severe_weather == Some(Answer::Yes) && self.is_under_four_days() {
            doubts.push(Doubt::SevereWeather);
        }
        doubts
    }

    /// Day, place if it has one, and result: `test of 12 Jan 2025: 4.2 pCi/L (155 Bq/m3)`.
    pub fn described(&self) -> Described {
        Described { on: self.on, place: self.place.clone(), below: self.below, result: self.result }
    }

    /// How long it has to last. The 44 hours of 1993 come after the first 4, which is the same 48; the 46 are those of a
    /// monitor in a house that was closed 12 hours before.
    fn shortest(&self, rule: MonitorRule) -> Span {
        let extended = rule == MonitorRule::Mah2019Extended && self.device == Some(Device::Monitor);
        if extended && self.closed == Some(Answer::Yes) { SHORTEST_EXTENDED } else { SHORTEST }
    }

    /// Of a monitor's record, the hours after those left out.
    fn few_counted(&self, rule: MonitorRule) -> Option<RadonProblem> {
        let left_out = usize::try_from(self.left_out?).ok()?;
        let asked = i128::try_from(monitor::least_counted(left_out, rule)).ok()?;
        let seconds = self.duration()?.exact().checked_sub(Span::hours(left_out.try_into().ok()?, 1).exact())?;
        let counted = Span::from_exact(seconds).unwrap_or(Span::ZERO);
        let asked = Span::hours(asked, 1);
        (self.device == Some(Device::Monitor) && counted < asked).then_some(RadonProblem::FewCounted { counted, asked })
    }

    fn is_under_four_days(&self) -> bool {
        self.duration().is_some_and(|d| d < CLOSED_BELOW)
    }

    fn wrong_room(&self) -> Option<RadonProblem> {
        let room = self.room?;
        let wrong = match room {
            Room::Lived => false,
            Room::Closet | Room::Cupboard | Room::Nook | Room::CrawlSpace | Room::Sump => true,
            // Moisture is what charcoal cannot stand; the text names these rooms for it.
            Room::Bathroom | Room::Kitchen | Room::Laundry | Room::Spa => self.device == Some(Device::Charcoal),
        };
        wrong.then_some(RadonProblem::WrongRoom { room })
    }

    fn misplaced(&self) -> Vec<RadonProblem> {
        let placed = &self.placed;
        let least = [
            (placed.above_floor, FLOOR_FROM, "above the floor"),
            (placed.from_opening, OPENING_OFF, "from a door, window or duct"),
            (placed.from_outside_wall, OUTSIDE_WALL_OFF, "from an outside wall"),
            (placed.from_object, OBJECT_OFF, "from another object"),
            (placed.from_heat, HEAT_OFF, "from heat"),
            (placed.from_sump, SUMP_OFF, "from a sump"),
        ];
        let near = least.into_iter().filter_map(|(given, asked, what)| {
            given.filter(|g| *g < asked).map(|given| RadonProblem::Misplaced { what, given, asked })
        });
        let high = placed.above_floor.filter(|h| *h > FLOOR_TO).map(|given| RadonProblem::TooHigh { given });
        near.chain(high).collect()
    }
}

//! What a drawdown test measures: how fast the pump lifts, and how fast water comes.
//!
//! The rule in words: with the pump off the water rises by the inflow; with it on it falls by what the pump lifts less the
//! inflow. So pump = net + inflow, where each is the water held by the pit over the height, over the time. The rise is timed
//! just before or after the fall; without it the two rates cannot be told apart.
//!
//! Errors of reading: those of height and time add in squares with twice that of a diameter. The pit is the same in both
//! rates, so its part is common to them.
//!
//! Source: mass balance; the inflow method after University of Illinois Extension, "Sizing Up a Sump Pump" (read).
//!
//! ```
//! use stemwall::quantity::{Length, Span};
//! use stemwall::trade::sump::{Drawdown, Pit, rates};
//! let test = Drawdown {
//!     fall: Length::inches(8, 1),
//!     fall_time: Span::seconds(15, 1),
//!     rise: Length::inches(2, 1),
//!     rise_time: Span::minutes(1, 1),
//! };
//! let rates = rates(&Pit::round(Length::inches(18, 1)), &test).unwrap();
//! assert_eq!(format!("{:.2}", rates.pump.to_gpm()), "37.45");
//! ```

use super::pit::Pit;
use crate::quantity::{Exact, Flow, Length, Span, Units};
use crate::trade::input::{InputError, finite};
use crate::trade::verdict::{Rule, Standing};

pub static RATES: Rule = Rule {
    name: "sump-rates",
    says: "the inflow is what the pit gains with the pump off, the net rate what it loses with the pump on, the pump's rate their sum",
    source: "mass balance; University of Illinois Extension, Sizing Up a Sump Pump, for the inflow",
    standing: Standing::Derived,
    scope: "a rise timed with the pump off just before or after a fall timed with it on",
    variants: &[],
};

/// One timed fall and one timed rise of the water.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Drawdown {
    /// How far the water fell while the pump ran; zero when the pump only keeps up.
    pub fall: Length,
    pub fall_time: Span,
    /// How far it rose with the pump off; zero when nothing comes.
    pub rise: Length,
    pub rise_time: Span,
}

/// What a drawdown measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rates {
    /// Lowering of the pit with the pump on.
    pub net: Flow,
    pub inflow: Flow,
    /// Net and inflow together.
    pub pump: Flow,
    /// Share of the time the pump has to run, inflow / pump; `None` if the pump lifts nothing.
    pub on_fraction: Option<f64>,
}

/// To what the figures of a drawdown were read, each plus or minus.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReadTo {
    /// Diameter or sides of the pit.
    pub across: Length,
    /// Fall and rise.
    pub height: Length,
    pub time: Span,
}

/// A tape read to a quarter inch and a watch to half a second: a design rule of this program, no published source.
pub const TAPE_AND_WATCH: ReadTo =
    ReadTo { across: Length::inches(1, 4), height: Length::inches(1, 4), time: Span::seconds(1, 2) };

/// Relative errors of the rates of a drawdown; `None` where the rate is zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateErrors {
    pub net: Option<f64>,
    pub inflow: Option<f64>,
    pub pump: Option<f64>,
}

/// Net, inflow and pump rate. Errors name `fall`, `fall_time`, `rise`, `rise_time` or an input of the pit.
///
/// Source: [`RATES`].
pub fn rates(pit: &Pit, test: &Drawdown) -> Result<Rates, InputError> {
    let net = pit.flow(("fall", "fall_time"), test.fall, test.fall_time)?;
    let inflow = pit.flow(("rise", "rise_time"), test.rise, test.rise_time)?;
    let pump = net
        .checked_add(inflow)
        .or_else(|| Flow::nearest(net.to_l_min() + inflow.to_l_min()))
        .ok_or(InputError::TooLarge { input: "fall" })?;
    let on_fraction = (!pump.is_zero()).then(|| inflow.to_l_min() / pump.to_l_min());
    Ok(Rates { net, inflow, pump, on_fraction })
}

/// Whether the water stood while the pump ran, though some came in.
pub(super) fn level_stands(test: &Drawdown) -> bool {
    test.fall.exact().is_zero() && !test.rise.exact().is_zero()
}

/// A flow in both units: `30 gpm (114 L/min)`.
pub(super) fn flow(flow: Flow) -> String {
    format!("{} ({})", flow.show(Units::Us), flow.show(Units::Metric))
}

/// How far reading errors may move the rates, as fractions of them. Errors as [`rates`].
///
/// Source: propagation of independent errors in squares (derived).
pub fn rate_errors(pit: &Pit, test: &Drawdown, read_to: &ReadTo) -> Result<RateErrors, InputError> {
    let rates = rates(pit, test)?;
    let (net, inflow) = (rates.net.to_l_min(), rates.inflow.to_l_min());
    let surface = pit.surface_error(read_to.across);
    let timed = |height: Length, time: Span| {
        (read_to.height.to_mm() / height.to_mm()).hypot(read_to.time.to_seconds() / time.to_seconds())
    };
    let (fell, rose) = (timed(test.fall, test.fall_time), timed(test.rise, test.rise_time));
    // A height of zero was read to so much as well, whatever part of itself that is.
    let absolute = |flow: f64, timed: f64, time: Span| -> Result<f64, InputError> {
        if flow > 0.0 { Ok(flow * timed) } else { Ok(pit.flow(("height", "time"), read_to.height, time)?.to_l_min()) }
    };
    let (of_net, of_inflow) = (absolute(net, fell, test.fall_time)?, absolute(inflow, rose, test.rise_time)?);
    let pump = (net + inflow) * surface;
    let pump = finite("fall", pump.hypot(of_net).hypot(of_inflow))?;
    Ok(RateErrors {
        net: (net > 0.0).then(|| fell.hypot(surface)),
        inflow: (inflow > 0.0).then(|| rose.hypot(surface)),
        pump: (net + inflow > 0.0).then(|| pump / (net + inflow)),
    })
}

impl Drawdown {
    /// Fall and rise of the level together, mm a second: the pump's rate, but for the surface of the pit. Exact, so that
    /// tests of one pit compare by what was typed; `None` if a time is zero or the fraction does not fit.
    pub(super) fn level_speed(&self) -> Option<Exact> {
        let fall = self.fall.exact().checked_div(self.fall_time.exact())?;
        fall.checked_add(self.rise.exact().checked_div(self.rise_time.exact())?)
    }
}

#[cfg(test)]
mod tests {
    use super::{Drawdown, ReadTo, TAPE_AND_WATCH, rate_errors, rates};
    use crate::quantity::{Length, Span};
    use crate::trade::input::InputError;
    use crate::trade::sump::Pit;

    fn drawdown(fall: &str, fall_time: &str, rise: &str, rise_time: &str) -> Drawdown {
        Drawdown {
            fall: Length::parse(fall).unwrap(),
            fall_time: Span::parse(fall_time).unwrap(),
            rise: Length::parse(rise).unwrap(),
            rise_time: Span::parse(rise_time).unwrap(),
        }
    }

    const PIT: Pit = Pit::round(Length::inches(18, 1));

    #[test]
    fn the_pump_lifts_what_the_pit_loses_and_what_comes() {
        // 1.10160 gal an inch by hand: 8 in in 15 s is 32 in/min, 35.251 gpm; 2 in/min is 2.2032 gpm; together 37.454.
        let got = rates(&PIT, &drawdown("8 in", "15 s", "2 in", "1 min")).unwrap();
        let near = |got: f64, want: f64| assert!((got - want).abs() < 1e-3, "{got} is not {want}");
        near(got.net.to_gpm(), 35.251);
        near(got.inflow.to_gpm(), 2.203);
        near(got.pump.to_gpm(), 37.454);
        near(got.on_fraction.unwrap(), 2.0 / 34.0);
        // 1.5 in a minute: 1.6524 gpm. Illinois Extension's example, 18 in a minute: 18 gpm by its rule of 1 gal/in, 19.83 exact.
        near(rates(&PIT, &drawdown("0 in", "1 s", "1.5 in", "60 s")).unwrap().inflow.to_gpm(), 1.6524);
        near(rates(&PIT, &drawdown("0 in", "1 s", "18 in", "60 s")).unwrap().inflow.to_gpm(), 19.829);
    }

    #[test]
    fn a_pump_that_keeps_up_runs_all_the_time_and_one_that_lifts_nothing_has_no_share() {
        assert_eq!(rates(&PIT, &drawdown("0 in", "15 s", "2 in", "1 min")).unwrap().on_fraction, Some(1.0));
        assert_eq!(rates(&PIT, &drawdown("2 in", "15 s", "0 in", "1 min")).unwrap().on_fraction, Some(0.0));
        assert_eq!(rates(&PIT, &drawdown("0 in", "15 s", "0 in", "1 min")).unwrap().on_fraction, None);
    }

    #[test]
    fn reading_errors_add_in_squares() {
        // 8 +- 1/4 in is 3.125 %, 15 +- 0.5 s 3.333 %, twice 18 +- 1/4 in 2.778 %: in squares 5.347 %.
        let errors = rate_errors(&PIT, &drawdown("8 in", "15 s", "2 in", "1 min"), &TAPE_AND_WATCH).unwrap();
        assert!((errors.net.unwrap() - 0.053_47).abs() < 1e-5, "{errors:?}");
        // Rise: 12.5 % and 0.833 %; with 2.778 %: 12.832 %.
        assert!((errors.inflow.unwrap() - 0.128_32).abs() < 1e-5, "{errors:?}");
        // Pump, by in/min: (32 x 4.5691 %)^2 + (2 x 12.528 %)^2 + (34 x 2.7778 %)^2 = 1.7586^2; over 34 is 5.172 %.
        assert!((errors.pump.unwrap() - 0.051_72).abs() < 1e-5, "{errors:?}");
        // Exact in all but the diameter: the pump's rate carries its error and nothing else.
        let of_pit = ReadTo { height: Length::ZERO, time: Span::ZERO, ..TAPE_AND_WATCH };
        let errors = rate_errors(&PIT, &drawdown("8 in", "15 s", "2 in", "1 min"), &of_pit).unwrap();
        assert!((errors.pump.unwrap() - 0.5 / 18.0).abs() < 1e-12, "{errors:?}");
        let none = rate_errors(&PIT, &drawdown("8 in", "15 s", "0 in", "1 min"), &TAPE_AND_WATCH).unwrap();
        assert_eq!(none.inflow, None);
    }

    #[test]
    fn an_input_that_gives_no_rate_is_named() {
        let refused = |test: Drawdown| rates(&PIT, &test).unwrap_err();
        assert_eq!(refused(drawdown("8 in", "0 s", "2 in", "1 min")), InputError::Zero { input: "fall_time" });
        assert_eq!(refused(drawdown("8 in", "1 s", "2 in", "0 min")), InputError::Zero { input: "rise_time" });
        let rising = Drawdown { fall: Length::inches(-1, 1), ..drawdown("8 in", "1 s", "2 in", "1 min") };
        assert_eq!(refused(rising), InputError::Negative { input: "fall" });
    }
}

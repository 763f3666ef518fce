//! What a calculation is made of.

use super::fault::Fault;
use super::input::Input;
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::trade::Rule;

/// The heading a calculation is listed under.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Group {
    Quantities,
    Radon,
    Structure,
    Water,
    Time,
}

impl Group {
    pub const ALL: [Group; 5] = [Group::Quantities, Group::Radon, Group::Structure, Group::Water, Group::Time];

    pub const fn title(self) -> &'static str {
        match self {
            Group::Quantities => "quantities",
            Group::Radon => "radon",
            Group::Structure => "structure",
            Group::Water => "water, air and wood",
            Group::Time => "time and money",
        }
    }
}

/// One field of the result.
#[derive(Debug)]
pub struct Output {
    pub name: &'static str,
    /// What it is and its unit, a phrase.
    pub says: &'static str,
    /// To how many significant figures people are told it, where it is worth no more than those of its source.
    pub figures: Option<usize>,
}

impl Output {
    pub const fn new(name: &'static str, says: &'static str) -> Output {
        Output { name, says, figures: None }
    }

    /// The same, told to people to so many significant figures; programs get all of it.
    pub const fn to_figures(self, figures: usize) -> Output {
        Output { figures: Some(figures), ..self }
    }
}

/// One published calculation.
pub struct Calculation {
    /// Kebab-case, unique.
    pub name: &'static str,
    pub group: Group,
    /// What it does, a phrase.
    pub does: &'static str,
    pub inputs: &'static [Input],
    pub results: &'static [Output],
    /// What it stands on; every one is in `trade::rules::ALL`.
    pub rules: &'static [&'static Rule],
    /// The flags of an example, as a shell takes them.
    pub example: &'static str,
    /// Pure; whatever it cannot do is a [`Fault`] that names an input.
    pub run: fn(&Inputs) -> Result<Outcome, Fault>,
}

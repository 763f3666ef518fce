//! Epoxy for cracks: which class and grade, how far apart the ports, how narrow a crack takes it.
//!
//! The rule in words: the class goes by the temperature of the *surface*: A below 40 F, B from 40 to 60 F (both ends are B), C
//! above 60 F. The grade goes by viscosity: 1 to 2 Pa s, 2 to 10, 3 above. A crack narrower than 0.002 in takes no resin, and one
//! under 0.005 in is hard to fill. How much is needed is in [`quantity`]; what to see to before filling in [`filling`].
//!
//! Temperatures and lengths are compared exactly as typed: 40 F is B, and so is 60 F.
//!
//! Sources: ASTM C881/C881M-15 (classes, Table 1); Caltrans Standard Specifications 95-1.02C (edges); TxDOT Concrete Repair
//! Manual, chapter 3, section 5 (width).
//!
//! ```
//! use stemwall::quantity::Temperature;
//! use stemwall::trade::epoxy::{Class, class};
//! assert_eq!(class(Temperature::parse("40 F").unwrap()), Class::B);
//! ```

use super::input::{InputError, positive};
use super::told;
use super::verdict::{Rule, Standing, Variant};
use super::words::words;
use crate::quantity::{Length, Temperature};

pub mod filling;
pub mod quantity;

pub use filling::{Filling, Warning, before_filling};
pub use quantity::{Quantity, quantity};

/// Class B from here, below it A: ASTM C881; the edge by Caltrans 95-1.02C; read.
pub const CLASS_B_FROM: Temperature = Temperature::fahrenheit(40, 1);
/// Class B to here, above it C: ASTM C881; the edge by Caltrans 95-1.02C; read.
pub const CLASS_B_TO: Temperature = Temperature::fahrenheit(60, 1);
/// Not below this, whatever the class, by one federal procedure: UFC 4-150-07 (19 June 2001), repair CR-1; read.
pub const COLDEST_UFC: Temperature = Temperature::fahrenheit(50, 1);
/// Largest viscosity of grade 1, Pa s: ASTM C881-15, Table 1; read.
pub const GRADE_1_TO: f64 = 2.0;
/// Largest viscosity of grade 2, Pa s: ASTM C881-15, Table 1; read.
pub const GRADE_2_TO: f64 = 10.0;
/// Narrowest crack that takes resin: TxDOT Concrete Repair Manual, chapter 3, section 5; read.
pub const NARROWEST: Length = Length::inches(2, 1000);
/// Narrower than this is hard to fill well: TxDOT Concrete Repair Manual, chapter 3, section 5; read.
pub const HARD_BELOW: Length = Length::inches(5, 1000);
/// Days after a repair on which it is looked at again: design rule of this program, no published source.
pub const LOOK_AGAIN_DAYS: [u64; 3] = [30, 182, 365];

pub static CLASS: Rule = Rule {
    name: "epoxy-class",
    says: "by the temperature of the surface: class A below 40 F (4.4 C), B from 40 to 60 F (15.6 C), both ends in it, C above; grade by \
           viscosity: 1 to 2 Pa s, 2 to 10, 3 above",
    source: "ASTM C881/C881M-15; Caltrans Standard Specifications 95-1.02C for the edges",
    standing: Standing::Read,
    scope: "types I to V; the products' own sheets come first",
    variants: &[Variant {
        name: "ufc-2001",
        says: "not below 50 F (10 C), whatever the class",
        source: "UFC 4-150-07 (19 June 2001), repair CR-1",
        standing: Standing::Read,
    }],
};

pub static WIDTH: Rule = Rule {
    name: "epoxy-narrowest",
    says: "a crack narrower than 0.002 in (0.05 mm) takes no injected resin; below 0.005 in (0.13 mm) it is hard to fill well",
    source: "TxDOT Concrete Repair Manual, chapter 3, section 5",
    standing: Standing::Read,
    scope: "cracks in concrete filled by injection",
    variants: &[],
};

pub static PORTS: Rule = Rule {
    name: "epoxy-ports",
    says: "ports no farther apart than the crack is deep; where it passes through, than the section is deep; lowest first",
    source: "TxDOT Concrete Repair Manual, chapter 3, section 5",
    standing: Standing::Read,
    scope: "cracks in concrete filled by injection",
    variants: &[
        Variant {
            name: "ufgs-03930",
            says: "16 to 20 in (400 to 500 mm) and more than the member is thick; also at both ends and at junctions",
            source: "UFGS 03930, 3.3.4",
            standing: Standing::Read,
        },
        Variant {
            name: "ufc-2001",
            says: "6 in (15 cm)",
            source: "UFC 4-150-07 (19 June 2001), repair CR-1",
            standing: Standing::Read,
        },
        Variant {
            name: "aci-rap-1",
            says: "8 in as a rule, wider for wide cracks or thick members",
            source: "ACI RAP-1 (2003, reapproved 2009)",
            standing: Standing::Memory,
        },
    ],
};

words! {
    /// What an epoxy of ASTM C881 is made for, as far as types have classes A to C.
    ResinType {
        /// Hardened to hardened, carrying no load.
        I = "I",
        /// Fresh to hardened concrete, carrying no load.
        II = "II",
        /// Skid-resistant materials to hardened concrete, low modulus.
        III = "III",
        /// Hardened to hardened, carrying load: what is asked for in cracks (TxDOT; UFGS 02753, 2.9).
        IV = "IV",
        /// Fresh to hardened concrete, carrying load.
        V = "V",
    }
}

words! {
    /// Class of ASTM C881 for types I to V, by the temperature of use.
    Class { A = "A", B = "B", C = "C" }
}

words! {
    /// Whose coldest surface is asked for.
    SurfaceRule { C881 = "c881", Ufc = "ufc-2001" }
}

words! {
    /// Whose spacing of ports is used.
    PortRule { TxDot = "txdot", Ufgs = "ufgs-03930", Ufc = "ufc-2001", AciRap = "aci-rap-1" }
}

/// Class for a surface of that temperature; the same for types I to V.
///
/// Source: [`CLASS`].
pub fn class(surface: Temperature) -> Class {
    match surface {
        t if t < CLASS_B_FROM => Class::A,
        t if t <= CLASS_B_TO => Class::B,
        _ => Class::C,
    }
}

/// Grade 1, 2 or 3 by viscosity in Pa s. Errors name `viscosity`.
///
/// Source: [`CLASS`].
pub fn grade(viscosity_pa_s: f64) -> Result<u8, InputError> {
    Ok(match positive("viscosity", viscosity_pa_s)? {
        v if v <= GRADE_1_TO => 1,
        v if v <= GRADE_2_TO => 2,
        _ => 3,
    })
}

/// Least and most distance between ports by one document.
///
/// `depth` is that of the crack, or of the section where the crack passes through; only [`PortRule::TxDot`] goes by it, and
/// without it gives `None`. Source: [`PORTS`].
pub fn port_spacing(rule: PortRule, depth: Option<Length>) -> Option<(Length, Length)> {
    match rule {
        PortRule::TxDot => depth.map(|depth| (Length::ZERO, depth)),
        PortRule::Ufgs => Some((Length::mm(400, 1), Length::mm(500, 1))),
        PortRule::Ufc => Some((Length::inches(6, 1), Length::inches(6, 1))),
        PortRule::AciRap => Some((Length::inches(8, 1), Length::inches(8, 1))),
    }
}

/// How far apart ports stand by one document, in words; `depth` as in [`port_spacing`].
pub fn ports_told(rule: PortRule, depth: Option<Length>) -> String {
    match (rule, port_spacing(rule, depth)) {
        (PortRule::TxDot, Some((_, most))) => {
            format!("ports at most {} apart, as deep as the crack is", told::length(most))
        }
        (PortRule::TxDot, None) => "ports no farther apart than the crack is deep".to_owned(),
        (_, Some((least, most))) if least == most => format!("ports {} apart", told::length(most)),
        (_, Some((least, most))) => format!("ports {} to {} apart", told::length(least), told::length(most)),
        (_, None) => "how far apart ports stand is not known".to_owned(),
    }
}

/// That a surface is colder than one document lets epoxy be put on; `None` where it is not, or that one is not followed.
pub fn too_cold(surface: Temperature, rule: SurfaceRule) -> Option<String> {
    let cold = rule == SurfaceRule::Ufc && surface < COLDEST_UFC;
    cold.then(|| "it is below 50 F (10 C), under which UFC 4-150-07 lets no epoxy be injected".to_owned())
}

#[cfg(test)]
mod tests {
    use super::{Class, PortRule, ResinType, SurfaceRule, class, grade, port_spacing, too_cold};
    use crate::quantity::{Length, Temperature};
    use crate::trade::input::InputError;

    #[test]
    fn forty_and_sixty_fahrenheit_are_class_b() {
        // ASTM C881, edges by Caltrans 95-1.02C. 40 F is 40/9 C, so 4.4 C is below it and 4.5 C is not; 60 F is 15.56 C.
        let cases = [
            ("39.9 F", Class::A),
            ("4.4 C", Class::A),
            ("40 F", Class::B),
            ("4.5 C", Class::B),
            ("50 F", Class::B),
            ("60 F", Class::B),
            ("15.5 C", Class::B),
            ("60.1 F", Class::C),
            ("15.6 C", Class::C),
            ("-40 C", Class::A),
        ];
        for (surface, want) in cases {
            assert_eq!(class(Temperature::parse(surface).unwrap()), want, "{surface}");
        }
    }

    #[test]
    fn one_federal_procedure_lets_no_epoxy_onto_a_surface_below_fifty_fahrenheit() {
        // UFC 4-150-07 (19 June 2001), repair CR-1: not below 10 C (50 F), where class B of C881 goes on to 40 F.
        let cold = |surface: &str, rule| too_cold(Temperature::parse(surface).unwrap(), rule).is_some();
        assert!(cold("49.9 F", SurfaceRule::Ufc) && !cold("50 F", SurfaceRule::Ufc) && !cold("10 C", SurfaceRule::Ufc));
        assert!(!cold("41 F", SurfaceRule::C881));
    }

    #[test]
    fn grades_go_by_viscosity() {
        // ASTM C881-15, Table 1: grade 1 at most 2.0 Pa s, grade 2 from 2.0 to 10.
        for (viscosity, want) in [(0.3, 1), (2.0, 1), (2.001, 2), (10.0, 2), (10.1, 3)] {
            assert_eq!(grade(viscosity), Ok(want), "{viscosity}");
        }
        assert_eq!(grade(0.0), Err(InputError::Zero { input: "viscosity" }));
        assert_eq!(grade(f64::NAN), Err(InputError::NotFinite { input: "viscosity" }));
    }

    #[test]
    fn ports_are_set_by_the_document_that_is_named() {
        let depth = Length::inches(8, 1);
        assert_eq!(port_spacing(PortRule::TxDot, Some(depth)), Some((Length::ZERO, depth)));
        assert_eq!(port_spacing(PortRule::TxDot, None), None, "a depth not read is not zero");
        assert_eq!(port_spacing(PortRule::Ufgs, None), Some((Length::mm(400, 1), Length::mm(500, 1))));
        assert_eq!(port_spacing(PortRule::Ufc, Some(depth)), Some((Length::inches(6, 1), Length::inches(6, 1))));
        assert_eq!(
            super::ports_told(PortRule::TxDot, Some(depth)),
            "ports at most 203.2 mm (8.000 in) apart, as deep as the crack is"
        );
        assert_eq!(super::ports_told(PortRule::TxDot, None), "ports no farther apart than the crack is deep");
        assert_eq!(super::ports_told(PortRule::AciRap, None), "ports 203.2 mm (8.000 in) apart");
        let variants: Vec<&str> = super::PORTS.variants.iter().map(|v| v.name).collect();
        assert_eq!(variants, PortRule::WORDS[1..]);
        assert_eq!(ResinType::from_word("VI"), None, "VI and VII have classes D to F");
    }
}

//! Where documents differ: which one is followed, by a setting of the ledger.
//!
//! The rule in words: each figure stays with the document that gives it. One is the default, another can be chosen by name, and
//! what was chosen is said with every verdict that goes by it. Figures of two documents are never averaged. A [`Choice`] is one
//! such place; [`CHOICES`] lists them. A variant of a rule that no choice names is said beside the rule, or is chosen by an
//! input of a calculation.

use super::crack::{self, PencilRule};
use super::epoxy::{self, PortRule, SurfaceRule};
use super::moisture::{self, EfflorescenceRule};
use super::radon::monitor::{self, MonitorRule};
use super::radon::pair::{self, PairRule};
use super::radon::{self, AtOnceRule, RetestRule, SaleRule};
use super::site::{self, DischargeRule, VentRule};
use super::sump::{self, LifeRule};
use super::verdict::{Rule, Variant};

/// Which document is followed in each place where they differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Choices {
    pub radon_retest: RetestRule,
    pub radon_at_once: AtOnceRule,
    pub radon_pair: PairRule,
    pub radon_monitor: MonitorRule,
    pub radon_sale: SaleRule,
    pub pencil: PencilRule,
    pub discharge: DischargeRule,
    pub vents: VentRule,
    pub ports: PortRule,
    pub surface: SurfaceRule,
    pub efflorescence: EfflorescenceRule,
    pub pump_life: LifeRule,
}

impl Default for Choices {
    fn default() -> Choices {
        Choices {
            radon_retest: RetestRule::TwoYears,
            radon_at_once: AtOnceRule::OverEight,
            radon_pair: PairRule::TwiceOrMore,
            radon_monitor: MonitorRule::FortyEightHourRun,
            radon_sale: SaleRule::Either,
            pencil: PencilRule::QuarterInch,
            discharge: DischargeRule::Irc,
            vents: VentRule::Irc,
            ports: PortRule::TxDot,
            surface: SurfaceRule::C881,
            efflorescence: EfflorescenceRule::Scale,
            pump_life: LifeRule::Nahb,
        }
    }
}

/// One value that a choice can have.
pub struct Opt {
    /// As it is typed.
    pub word: &'static str,
    /// The figure and its document.
    pub says: &'static str,
    /// The variant of the rule that it follows; `None`: the rule as it stands.
    pub variant: Option<&'static str>,
}

/// One place where documents differ. The first option is the default.
pub struct Choice {
    /// Name of the setting.
    pub name: &'static str,
    pub says: &'static str,
    pub rule: &'static Rule,
    pub options: &'static [Opt],
    pub get: fn(&Choices) -> &'static str,
    set: fn(&mut Choices, &str) -> bool,
}

impl Choice {
    /// What is chosen, and what else could be: `vents, free area as a share of the floor: irc (…) or washington (…)`.
    pub fn told(&self) -> String {
        let options: Vec<String> = self.options.iter().map(|o| format!("{} ({})", o.word, o.says)).collect();
        format!("{}: {}", self.says, options.join(" or "))
    }

    /// The words it takes, as an error says them: `` `irc` or `washington` ``.
    pub fn wanted(&self) -> String {
        let words: Vec<String> = self.options.iter().map(|o| format!("`{}`", o.word)).collect();
        match words.split_last() {
            Some((last, before)) if !before.is_empty() => format!("{} or {last}", before.join(", ")),
            _ => words.concat(),
        }
    }
}

/// A row of the table: the field of [`Choices`] and the type of its words.
macro_rules! choice {
    ($name:literal, $says:literal, $rule:expr, $field:ident: $words:ty, [$($word:literal $variant:expr, $option:literal;)+]) => {
        Choice {
            name: $name,
            says: $says,
            rule: $rule,
            options: &[$(Opt { word: $word, says: $option, variant: $variant }),+],
            get: |choices| choices.$field.word(),
            set: |choices, word| match <$words>::from_word(word) {
                Some(chosen) => {
                    choices.$field = chosen;
                    true
                }
                None => false,
            },
        }
    };
}

/// Every place where documents differ and one can be chosen.
pub static CHOICES: &[Choice] = &[
    choice!("radon-retest-years", "years after which a valid radon test below 4 pCi/L is made again", &radon::RETEST,
    radon_retest: RetestRule, [
        "2" None, "EPA advice, Illinois";
        "5" Some("mah-2019"), "ANSI/AARST MAH-2019";
    ]),
    choice!("radon-at-once", "pCi/L at which a short radon test asks for a second at once", &radon::FOLLOW_UP,
    radon_at_once: AtOnceRule, [
        "8" None, "over 8, Citizen's Guide";
        "10" Some("protocol-1993"), "from 10 on, EPA 1993, Illinois 2005";
    ]),
    choice!("radon-pair", "when the mean of two tests side by side, one under 4 pCi/L and one not, is not accepted",
    &pair::STRADDLE, radon_pair: PairRule, [
        "twice-or-more" None, "the higher is twice the lower or more, MW-RN-2020";
        "over-twice" Some("protocol-1993"), "it is greater than twice, EPA 1993 as reprinted";
    ]),
    choice!("radon-monitor", "how long a continuous monitor's record has to be", &monitor::MONITOR,
    radon_monitor: MonitorRule, [
        "48-h-run" None, "48 h with the hours left out, MAH-2019 and Illinois";
        "protocol-1993" Some("protocol-1993"), "44 h on end after the hours left out, EPA 1993 as reprinted";
        "mah-2019-extended" Some("mah-2019-extended"), "46 h on end once the house is closed 12 h, MAH-2019, 6.1.2";
    ]),
    choice!("radon-sale", "which two short tests are made for a sale", &radon::SALE,
    radon_sale: SaleRule, [
        "either" None, "side by side, or one at once after the other, Home Buyer's and Seller's Guide";
        "side-by-side" Some("illinois"), "side by side only, later Illinois text";
    ]),
    choice!("pencil-fits", "from which width a crack goes to an engineer whatever the wall", &crack::PENCIL_FITS,
    pencil: PencilRule, [
        "quarter-inch" None, "about 1/4 in, common practice";
        "still-moving" Some("still-moving"), "over 1/2 in, or over 1/4 in and still moving, a trade journal";
    ]),
    choice!("discharge-distance", "how far from the wall water is let out", &site::DISCHARGE,
    discharge: DischargeRule, [
        "irc" None, "downspouts 5 ft, IRC R801.3; other outlets 10 ft, University of Nebraska-Lincoln";
        "nebraska" Some("nebraska"), "10 ft, University of Nebraska-Lincoln";
        "press-guide" Some("press-guide"), "downspouts 4 ft, a press guide; other outlets 10 ft";
    ]),
    choice!("vent-area", "free vent area of a crawl space as a share of its floor", &site::VENT,
    vents: VentRule, [
        "irc" None, "1/150, IRC R408.1";
        "washington" Some("washington"), "1/300, WAC 51-51-0408";
    ]),
    choice!("epoxy-ports", "how far apart the ports of an injection stand", &epoxy::PORTS,
    ports: PortRule, [
        "txdot" None, "no farther than the crack is deep, TxDOT";
        "ufgs-03930" Some("ufgs-03930"), "16 to 20 in, UFGS 03930";
        "ufc-2001" Some("ufc-2001"), "6 in, UFC 4-150-07";
        "aci-rap-1" Some("aci-rap-1"), "8 in as a rule, ACI RAP-1, from memory";
    ]),
    choice!("epoxy-surface", "the coldest surface that epoxy is put on", &epoxy::CLASS,
    surface: SurfaceRule, [
        "c881" None, "by its class, ASTM C881";
        "ufc-2001" Some("ufc-2001"), "50 F (10 C), UFC 4-150-07";
    ]),
    choice!("efflorescence", "what efflorescence that does not powder is taken for", &moisture::EFFLORESCENCE,
    efflorescence: EfflorescenceRule, [
        "is-3495" None, "mended from moderate on, IS 3495 part 3";
        "warranty" Some("warranty"), "usual and no defect, NAHB guidelines";
    ]),
    choice!("sump-pump-life", "years after which a sump pump is past its published life", &sump::LIFE,
    pump_life: LifeRule, [
        "nahb-1997" None, "10, NAHB";
        "appraisal-2012" Some("appraisal-2012"), "8, the least of 8 to 15, an appraisal handbook";
    ]),
];

/// The choice of that name.
pub fn named(name: &str) -> Option<&'static Choice> {
    CHOICES.iter().find(|choice| choice.name == name)
}

/// The choice between the variants of a rule, if a setting decides between them.
pub fn between(rule: &Rule) -> Option<&'static Choice> {
    CHOICES.iter().find(|choice| choice.rule.name == rule.name)
}

impl Choices {
    /// Follows another document; `false`, and nothing changed, where the choice does not have that word.
    pub fn follow(&mut self, choice: &Choice, word: &str) -> bool {
        (choice.set)(self, word)
    }

    /// The variant of `rule` that is followed in its place, if one is.
    pub fn variant_of(&self, rule: &'static Rule) -> Option<&'static Variant> {
        let choice = between(rule)?;
        let word = (choice.get)(self);
        let followed = choice.options.iter().find(|option| option.word == word)?.variant?;
        rule.variants.iter().find(|variant| variant.name == followed)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{CHOICES, Choices, between, named};
    use crate::trade::rules::{ALL, tests::assert_wording};

    #[test]
    fn every_word_of_a_choice_can_be_followed_and_none_else() {
        for choice in CHOICES {
            let mut choices = Choices::default();
            assert_eq!((choice.get)(&choices), choice.options[0].word, "{}: the first is the default", choice.name);
            for option in choice.options {
                assert!(choices.follow(choice, option.word), "{} {}", choice.name, option.word);
                assert_eq!((choice.get)(&choices), option.word);
                assert_eq!(choices.variant_of(choice.rule).map(|v| v.name), option.variant, "{}", choice.name);
            }
            let before = choices;
            assert!(!choices.follow(choice, "nosuch") && choices == before);
            assert_wording(&choice.told());
        }
        let names: BTreeSet<_> = CHOICES.iter().map(|choice| choice.name).collect();
        let rules: BTreeSet<_> = CHOICES.iter().map(|choice| choice.rule.name).collect();
        assert_eq!((names.len(), rules.len()), (CHOICES.len(), CHOICES.len()), "one choice a name and a rule");
        assert!(named("vent-area").is_some() && named("nosuch").is_none());
    }

    #[test]
    fn a_choice_offers_every_variant_of_its_rule_once() {
        for choice in CHOICES {
            assert!(ALL.contains(&choice.rule), "{}", choice.name);
            let offered: Vec<_> = choice.options.iter().filter_map(|option| option.variant).collect();
            let there: Vec<_> = choice.rule.variants.iter().map(|variant| variant.name).collect();
            assert_eq!(offered, there, "{}", choice.name);
            assert!(between(choice.rule).is_some_and(|found| found.name == choice.name));
        }
    }
}

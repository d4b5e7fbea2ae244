//! What the designer's own words say of a net or part: `rail+ reads 6 V`, `U1 draws 20 mA`.
//!
//! Read narrowly, so that prose is not mistaken for a figure: a name, then nothing but linking
//! words, then a quantity, then no word that makes it a bound or a difference.

use super::prelude::{Kind, REGULATORS, SOURCES};
use crate::design::{Design, Part};
use crate::evidence::{Evidence, Extent, Measure, Missing, Stress};
use crate::quantity::{Unit, parse_value};
use crate::situations::Situation;

/// Words that may stand between a name and its figure.
const LINKS: &[&str] = &[
    "is",
    "=",
    ":",
    "reads",
    "read",
    "should",
    "must",
    "be",
    "about",
    "approximately",
    "at",
    "gives",
    "draws",
    "carries",
    "takes",
    "has",
    "stands",
    "sits",
    "runs",
    "dissipates",
    "reaches",
    "nominally",
    "normally",
    "expected",
    "expect",
    "to",
    "measures",
    "delivers",
    "then",
];

/// Words after a figure that make it a bound, a difference or a name of something else.
const BOUNDS: &[&str] = &[
    "below", "above", "less", "more", "lower", "higher", "under", "over", "or", "from", "across",
    "of", "too", "short", "beyond", "type", "rail", "away",
];

/// One figure that the designer states.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
    /// The net or part it is said of.
    pub of: String,
    /// What is stated.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// What was computed: of which net or part.
    pub quantity: Computed,
}

/// What a claim is held against.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Computed {
    /// Mean voltage of a net.
    Net(String),
    /// A stress of a part.
    Part(String, Stress),
}

impl Computed {
    /// What was computed, over the situations for which `when` holds.
    ///
    /// # Errors
    /// [`Missing`], as for the evidence itself.
    pub fn found(
        &self,
        evidence: &Evidence,
        when: impl Fn(&Situation) -> bool,
    ) -> Result<Extent, Missing> {
        match self {
            Self::Net(net) => evidence.net(net, Measure::Mean, when),
            Self::Part(part, stress) => evidence.stress(part, *stress, when),
        }
    }
}

/// The claims of a text; `own` is the part whose note it is.
#[must_use]
pub fn claims(design: &Design, text: &str, own: Option<&Part>) -> Vec<Claim> {
    let words: Vec<&str> = text
        .split_whitespace()
        .map(|word| word.trim_matches(|c| matches!(c, ',' | ';' | '(' | ')' | '"' | '`')))
        .map(|word| word.strip_suffix('.').unwrap_or(word))
        .collect();
    let mut found = Vec::new();
    for at in 0..words.len() {
        let Some((value, unit, length)) = quantity(&words[at..]) else {
            continue;
        };
        let bound = words
            .get(at + length)
            .is_some_and(|word| BOUNDS.contains(word));
        let before = &words[..at];
        let links = before
            .iter()
            .rev()
            .take_while(|word| LINKS.contains(&word.trim_end_matches(':')) || word.ends_with(':'))
            .count();
        if bound || links == 0 {
            continue;
        }
        let name = before.get(before.len().wrapping_sub(links + 1)).copied();
        let labelled = before[before.len() - links].strip_suffix(':');
        let claim = labelled
            .and_then(|name| of(design, name, unit))
            .or_else(|| match (name, own) {
                (Some(name), _) => of(design, name, unit),
                (None, Some(part)) => of(design, &part.reference, unit),
                (None, None) => None,
            });
        if let Some((of, quantity)) = claim {
            found.push(Claim {
                of,
                value,
                unit,
                quantity,
            });
        }
    }
    found
}

/// A quantity at the head of the words, and how many words it takes.
fn quantity(words: &[&str]) -> Option<(f64, Unit, usize)> {
    let first = words.first()?;
    if !first.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '−')) {
        return None;
    }
    for unit in [Unit::Volt, Unit::Ampere, Unit::Watt, Unit::Celsius] {
        if let Ok(value) = parse_value(first, unit) {
            return Some((value, unit, 1));
        }
        if let Some(second) = words.get(1)
            && let Ok(value) = parse_value(&format!("{first} {second}"), unit)
        {
            return Some((value, unit, 2));
        }
    }
    None
}

/// What a figure in this unit means of this net, test point or part.
fn of(design: &Design, name: &str, unit: Unit) -> Option<(String, Computed)> {
    let net = design.test_points.get(name).map_or(name, String::as_str);
    if unit == Unit::Volt && design.nets.iter().any(|known| known == net) {
        return Some((name.to_owned(), Computed::Net(net.to_owned())));
    }
    let part = design.parts.get(name)?;
    let stress = match unit {
        Unit::Volt if REGULATORS.contains(&part.kind) => {
            return Some((name.to_owned(), Computed::Net(part.net("out")?.to_owned())));
        }
        Unit::Ampere if part.kind != Kind::Jack => Stress::CurrentMean,
        Unit::Watt if SOURCES.contains(&part.kind) => Stress::Delivered,
        Unit::Watt => Stress::Dissipation,
        Unit::Celsius => Stress::Junction,
        _ => return None,
    };
    Some((name.to_owned(), Computed::Part(name.to_owned(), stress)))
}

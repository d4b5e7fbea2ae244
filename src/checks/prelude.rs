//! What a check has at hand: the shape that most of them share, and the words of the trade.
//!
//! A check looks at each place it concerns and returns a [`Look`]: an outcome, or what is missing
//! to reach one. Missing evidence travels by `?` and becomes *not assessed*, never a pass.

pub use super::derating::{self, Allowance};
pub use super::energised::Energised;
pub use super::feed::{Feed, curves, each_feed, each_feed_for};
pub use super::preferred;
pub use super::wiring;
pub use super::{Bound, Comparison, Context, Failure, Gate, Outcome, Place, Subject};
pub use crate::catalogue::{Kind, Pedigree, Property};
pub use crate::check;
pub use crate::design::{Connection, Derating, Design, Part, Promised, Structure};
pub use crate::evidence::{Extent, Measure, Missing, Stress};
pub use crate::quantity::{Unit, format, format_short};
pub use crate::situations::{Plugged, Situation, powered};

/// What looking at one place gives.
pub type Look = Result<Outcome, Missing>;

/// Capacitors of every kind.
pub const CAPACITORS: &[Kind] = &[
    Kind::Electrolytic,
    Kind::Tantalum,
    Kind::Ceramic,
    Kind::Film,
];

/// Capacitors that a reversed voltage destroys.
pub const POLARISED: &[Kind] = &[Kind::Electrolytic, Kind::Tantalum];

/// Linear regulators.
pub const REGULATORS: &[Kind] = &[Kind::Regulator, Kind::AdjustableRegulator];

/// Sources of alternating voltage.
pub const AC_SOURCES: &[Kind] = &[Kind::AcAdaptor, Kind::Transformer];

/// Everything that supplies the box.
pub const SOURCES: &[Kind] = &[
    Kind::AcAdaptor,
    Kind::Transformer,
    Kind::DcAdaptor,
    Kind::Battery,
];

/// Looks at every part of the kinds; what is missing blocks `gate`; `none` says why the check
/// does not apply when there is no such part.
pub fn each_part(
    context: &Context,
    gate: Gate,
    kinds: &[Kind],
    none: &str,
    look: impl Fn(&Part) -> Look,
) -> Vec<Outcome> {
    let looks = context
        .design
        .parts
        .values()
        .filter(|part| kinds.contains(&part.kind))
        .map(|part| {
            look(part).unwrap_or_else(|missing| Outcome::missing(at(part, "kind"), gate, &missing))
        })
        .collect();
    or_none(looks, none)
}

/// Looks at every regulator, at its type and its output net; one with its output open cannot be
/// assessed.
pub fn each_regulator(
    context: &Context,
    gate: Gate,
    look: impl Fn(&Part, Place, &str) -> Look,
) -> Vec<Outcome> {
    let none = "no regulator in the box";
    each_part(context, gate, REGULATORS, none, |part| {
        let output = part
            .net("out")
            .ok_or_else(|| lacks(format!("{} has its output open", part.reference)))?;
        look(part, at(part, "type"), output)
    })
}

/// The outcomes, or one *does not apply* when there are none.
#[must_use]
pub fn or_none(mut outcomes: Vec<Outcome>, none: &str) -> Vec<Outcome> {
    if outcomes.is_empty() {
        outcomes.push(Outcome::does_not_apply(Place::design("parts"), none));
    }
    outcomes
}

/// A part, at one key of its entry.
#[must_use]
pub fn at(part: &Part, key: &str) -> Place {
    Place::part_key(&part.reference, key)
}

/// What is missing.
pub fn lacks(what: impl Into<String>) -> Missing {
    Missing { what: what.into() }
}

/// The rated value of a property: the conservative one where makers differ.
///
/// # Errors
/// [`Missing`] when neither the design nor the catalogue gives it.
pub fn rated(part: &Part, property: Property) -> Result<f64, Missing> {
    part.figure(property)
        .map(|figure| figure.spread.nominal)
        .ok_or_else(|| {
            lacks(format!(
                "{} gives no `{}` ({})",
                part.reference,
                property.key(),
                property.meaning()
            ))
        })
}

/// As it is meant to be used: the box on, no plug of the wrong sort, controllers wired as meant.
#[must_use]
pub fn as_meant(situation: &Situation) -> bool {
    situation.state.powered
        && situation.state.plugs.values().all(|plug| match plug {
            Plugged::Nothing => true,
            Plugged::Device { wiring, .. } => *wiring == 0,
            Plugged::TwoContactLead => false,
        })
}

/// Every situation, the box on or off.
#[must_use]
pub fn any(_: &Situation) -> bool {
    true
}

/// What a person at the box has chosen in a situation; the tolerances stand beside the finding.
#[must_use]
pub fn state_words(context: &Context, situation: usize) -> String {
    let found = context.evidence.situations.get(situation);
    found.map_or_else(String::new, |situation| situation.state.describe())
}

/// A part by reference and type, or kind where it has no type: `C1 (electrolytic)`.
#[must_use]
pub fn named(part: &Part) -> String {
    part.type_name.as_ref().map_or_else(
        || format!("{} ({})", part.reference, in_words(part.kind)),
        |name| format!("{} ({name})", part.reference),
    )
}

/// A kind of part as one says it.
fn in_words(kind: Kind) -> String {
    match kind {
        Kind::AcAdaptor => "AC adaptor".into(),
        Kind::DcAdaptor => "DC adaptor".into(),
        Kind::Led => "LED".into(),
        Kind::Mosfet => "MOSFET".into(),
        Kind::Ptc => "resettable fuse".into(),
        Kind::OpAmp => "op-amp".into(),
        Kind::Bipolar => "transistor".into(),
        other => other.key().replace('-', " "),
    }
}

/// Volts; what is less than a tenth of a millivolt is none.
#[must_use]
pub fn volts(value: f64) -> String {
    let value = if value.abs() < 1e-4 { 0.0 } else { value };
    format(value, Unit::Volt)
}

/// Amperes.
#[must_use]
pub fn amperes(value: f64) -> String {
    format(value, Unit::Ampere)
}

/// Ohms.
#[must_use]
pub fn ohms(value: f64) -> String {
    format(value, Unit::Ohm)
}

/// Watts.
#[must_use]
pub fn watts(value: f64) -> String {
    format(value, Unit::Watt)
}

/// Degrees Celsius.
#[must_use]
pub fn celsius(value: f64) -> String {
    format(value, Unit::Celsius)
}

/// A share in per cent: `12 %`.
#[must_use]
pub fn per_cent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

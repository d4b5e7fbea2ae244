//! See [`CHECK`].

use crate::checks::prelude::*;

/// The ratings that a stranger must know to buy each kind of part.
fn needed(kind: Kind) -> &'static [Property] {
    match kind {
        Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film => &[Property::Rating],
        Kind::Resistor | Kind::Potentiometer | Kind::Zener => &[Property::Power],
        Kind::AcAdaptor | Kind::DcAdaptor => &[Property::Output, Property::Current],
        Kind::Transformer => &[Property::Output],
        Kind::Fuse => &[Property::Current],
        _ => &[],
    }
}

/// A rating as it is asked for in a shop.
fn in_words(property: Property) -> &'static str {
    match property {
        Property::Rating => "working voltage",
        Property::Power => "power rating",
        Property::Output => "output voltage",
        Property::Current => "rated current",
        other => other.key(),
    }
}

check! {
    /// Looks whether the design itself gives the ratings a stranger must know to buy each part:
    /// voltage of capacitors, power of resistors and potentiometers, voltage and current of
    /// adaptors.
    ///
    /// A parts list that says "1000 µF" gets a 16 V part.
    ///
    /// Limits: ratings that the catalogue gives for a named type count as given.
    id: "rating-assumed", gate: Share, stage: Completeness,
    sources: [("a parts list carries every rating that matters", Practice)],
    sign_off: "Somebody else could buy every part from the list alone.",
    always_assessed: "the design's own words are read",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let outcomes = context
        .design
        .parts
        .values()
        .filter(|part| !needed(part.kind).is_empty())
        .map(|part| {
            let absent: Vec<&str> = needed(part.kind)
                .iter()
                .filter(|property| {
                    part.figure(**property)
                        .is_none_or(|f| matches!(f.pedigree, Pedigree::Assumed(_)))
                })
                .map(|property| in_words(*property))
                .collect();
            let place = at(part, "kind");
            if absent.is_empty() {
                return Outcome::holds(place, "its ratings are given");
            }
            Outcome::fails(
                place,
                Failure::new(
                    Gate::Share,
                    format!("{} states no {}.", named(part), absent.join(" and no ")),
                    "A stranger buys whatever has the right value, and this review assumed a rating.",
                    format!("Write the {} of {} in the design.", absent.join(" and "), part.reference),
                ),
            )
        })
        .collect();
    or_none(outcomes, "no part that needs a rating")
}

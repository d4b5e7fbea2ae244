//! The catalogue: kinds of part, what may be said of each, and the generic types with their
//! published figures, packages and pin orders (YAML data beside the code).
//!
//! Owns the data files, how a type is found by the name printed on the part, the defaults of a
//! kind, and the fitted junctions. Feeds `design` (which merges figures into parts) and `circuit`.
//! It does not know which part of a design carries a type.
//!
//! A *rating* (what a part survives) has the conservative value of all makers seen as its
//! nominal. An *operating figure* (what a circuit is solved with) has the typical value as
//! nominal and the limits as low and high. Voltages of negative regulators are magnitudes.

mod defaults;
mod electrolytic;
mod figure;
mod junction;
mod kind;
mod name;
mod part_type;
mod property;
mod read;
mod written;

pub use defaults::{Defaults, Tolerance};
pub use figure::{Figure, Mark, Pedigree};
pub use junction::{Drop, FIT_THERMAL_VOLTAGE, Fit, Fits, Point};
pub use kind::Kind;
pub use name::Found;
pub use part_type::{Outline, Package, Type};
pub use property::Property;

use std::collections::BTreeMap;
use std::sync::LazyLock;

const SOURCES: &str = include_str!("data/sources.yaml");
const BODIES: &str = include_str!("data/bodies.yaml");
const JUNCTIONS: &str = include_str!("data/junctions.yaml");

/// The data files, in the order in which the list is printed.
const FILES: &[(&str, &str)] = &[
    ("regulators.yaml", include_str!("data/regulators.yaml")),
    ("adjustable.yaml", include_str!("data/adjustable.yaml")),
    ("diodes.yaml", include_str!("data/diodes.yaml")),
    ("zeners.yaml", include_str!("data/zeners.yaml")),
    ("leds.yaml", include_str!("data/leds.yaml")),
    ("op-amps.yaml", include_str!("data/op-amps.yaml")),
    ("transistors.yaml", include_str!("data/transistors.yaml")),
    ("optocouplers.yaml", include_str!("data/optocouplers.yaml")),
    ("passives.yaml", include_str!("data/passives.yaml")),
];

const DEFAULTS: &str = include_str!("data/defaults.yaml");
const ELECTROLYTIC: &str = include_str!("data/electrolytic.yaml");

struct Data {
    types: Vec<Type>,
    defaults: BTreeMap<Kind, Defaults>,
    electrolytics: electrolytic::Electrolytics,
}

static DATA: LazyLock<Data> = LazyLock::new(|| {
    load().unwrap_or_else(|fault| unreachable!("the catalogue's own data: {fault}"))
});

fn load() -> Result<Data, read::Fault> {
    let shared = written::Shared::read(SOURCES, BODIES, JUNCTIONS)?;
    let mut types = Vec::new();
    for (file, text) in FILES {
        types.extend(read::types(file, text, &shared)?);
    }
    Ok(Data {
        types,
        defaults: defaults::read(DEFAULTS, &shared)?,
        electrolytics: electrolytic::Electrolytics::read(ELECTROLYTIC, &shared)?,
    })
}

/// What is taken for a kind when the design does not say; empty where nothing may be assumed.
#[must_use]
pub fn defaults(kind: Kind) -> &'static Defaults {
    static NONE: Defaults = Defaults {
        tolerances: BTreeMap::new(),
        figures: BTreeMap::new(),
    };
    DATA.defaults.get(&kind).unwrap_or(&NONE)
}

/// What may be expected of a general-purpose aluminium electrolytic of that capacitance [F] and
/// rated voltage [V]: `esr`, `leakage-current`, `ripple-current` (rms at 120 Hz) and `life`, all
/// with the pedigree *assumed*. Validity: radial parts of 1–10 000 µF, 6.3–100 V, at 20 °C.
#[must_use]
pub fn electrolytic(capacitance: f64, rating: f64) -> BTreeMap<Property, Figure> {
    DATA.electrolytics.figures(capacitance, rating)
}

/// Every type, family by family.
#[must_use]
pub fn types() -> &'static [Type] {
    &DATA.types
}

/// The type of a name as printed on the part: any case, with or without hyphens, a maker's
/// prefix (`uA7805`) or a suffix (`LM7812CT`, `1N4004G`).
#[must_use]
pub fn find(name: &str) -> Option<&'static Type> {
    look_up(name).map(|found| found.entry)
}

/// As [`find`], with what was read into the name: prefix, suffix and grade letter.
#[must_use]
pub fn look_up(name: &str) -> Option<Found> {
    name::look_up(types(), name)
}

/// The names of all types, family by family.
pub fn names() -> impl Iterator<Item = &'static str> {
    types().iter().map(|entry| entry.name.as_str())
}

/// The names most like a name that is not in the catalogue, the likeliest first; empty when none
/// is near.
#[must_use]
pub fn nearest(name: &str) -> Vec<&'static str> {
    name::nearest(types(), name)
}

/// The LED of a colour (`red`, `yellow`, `green`, `blue`, `white` …), for a part that gives its
/// colour and no type.
#[must_use]
pub fn led(colour: &str) -> Option<&'static Type> {
    types().iter().find(|entry| {
        entry.kind == Kind::Led
            && entry
                .word("colour")
                .is_some_and(|own| own.eq_ignore_ascii_case(colour))
    })
}

/// The forward characteristics of a part: those of its type, of an LED of its colour, or, where
/// neither says anything, of a 1N400x for diodes and bridges, a 1N4148 for zeners and suppressors
/// a red one for LEDs and a PC817 for optocouplers. `None` for kinds without a junction to fit.
#[must_use]
pub fn fits_for(
    kind: Kind,
    type_name: Option<&str>,
    colour: Option<&str>,
) -> Option<&'static Fits> {
    let of_type = type_name.and_then(find);
    let of_colour = || colour.filter(|_| kind == Kind::Led).and_then(led);
    let usual = || {
        find(match kind {
            Kind::Diode | Kind::Bridge => "1N4001",
            Kind::Zener | Kind::TransientSuppressor => "1N4148",
            Kind::Led => "LED-red",
            Kind::Optocoupler => "PC817",
            _ => return None,
        })
    };
    of_type
        .and_then(|entry| entry.fits.as_ref())
        .or_else(|| of_colour()?.fits.as_ref())
        .or_else(|| usual()?.fits.as_ref())
}

#[cfg(test)]
mod tests;

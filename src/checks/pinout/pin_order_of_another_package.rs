//! See [`CHECK`].

use crate::catalogue;
use crate::checks::prelude::*;
use indexmap::IndexMap;

check! {
    /// For every regulator wired by its pins, looks whether the wiring makes sense with the pin
    /// order of its type and package, and if not, whether it would with the mirror image of that
    /// order, or with that of another package or another type of regulator.
    ///
    /// The 78L in TO-92 is the mirror of the 78xx in TO-220; the 79L in TO-92 differs from the
    /// 78L in the same package; many data sheets draw the TO-92 from below. The wiring that is
    /// right for the one destroys the other.
    ///
    /// Limits: makes sense means ground on `gnd`, the input on the net that a rectifier or a
    /// supply feeds, the output not. Parts wired by function cannot be judged.
    id: "pin-order-of-another-package", gate: Power, stage: Pinout,
    sources: [
        ("ST L78L: pin 1 = out, 2 = ground, 3 = in; onsemi MC7800: in, ground, out", Confirmed),
        ("onsemi MC79L, TS7900: ground, in, out", Confirmed),
        ("TO-92 drawings are often bottom views (ST, TI)", Confirmed),
    ],
    sign_off: "Each regulator was held flat face (or print) toward you, leads down, and compared with the pin picture.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    each_part(
        context,
        Gate::Power,
        REGULATORS,
        "no regulator in the box",
        |part| {
            let place = at(part, "pins");
            if part.pins.is_empty() || part.pin_functions.is_empty() {
                return Ok(Outcome::does_not_apply(
                    place,
                    "wired by function, not by pin",
                ));
            }
            let package = part.package.as_deref().unwrap_or("its package");
            if sensible(design, &part.pins, &part.pin_functions) {
                return Ok(Outcome::holds(
                    place,
                    format!("the wiring fits the pin order in {package}"),
                ));
            }
            let mirror = mirrored(&part.pin_functions);
            let fit = if sensible(design, &part.pins, &mirror) {
                Some(("its own order seen from below".to_owned(), &mirror))
            } else {
                fitting(design, part)
            };
            let Some((other, pins)) = fit else {
                return Ok(Outcome::does_not_apply(
                    place,
                    "the wiring fits no other pin order either",
                ));
            };
            Ok(Outcome::fails(
                place,
                Failure::new(
                    Gate::Power,
                    format!(
                        "{} in {package} has the order {}, but is wired as {} ({other}).",
                        named(part),
                        listed(&part.pin_functions),
                        listed(pins)
                    ),
                    "Input, ground and output are exchanged: the part dies and may pass the raw supply on.",
                    format!("Rewire {}: {}.", part.reference, rewire(part, pins)),
                ),
            ))
        },
    )
}

/// `1 out, 2 ground, 3 in`
fn listed(pins: &IndexMap<String, String>) -> String {
    let words: Vec<String> = pins
        .iter()
        .map(|(pin, function)| format!("{pin} {function}"))
        .collect();
    words.join(", ")
}

/// Which net each pin of the part should be on, given what the wiring was meant as.
fn rewire(part: &Part, meant: &IndexMap<String, String>) -> String {
    let words: Vec<String> = part
        .pin_functions
        .iter()
        .filter_map(|(pin, function)| {
            let (wrong, _) = meant.iter().find(|(_, other)| *other == function)?;
            Some(format!(
                "pin {pin} ({function}) to {}",
                part.pins.get(wrong)?
            ))
        })
        .collect();
    words.join(", ")
}

fn sensible(
    design: &Design,
    pins: &IndexMap<String, String>,
    functions: &IndexMap<String, String>,
) -> bool {
    let net = |function: &str| {
        functions
            .iter()
            .find(|(_, own)| *own == function)
            .and_then(|(pin, _)| pins.get(pin))
            .map(String::as_str)
    };
    let grounded = net("ground").is_none_or(|net| net == "gnd");
    let fed = net("in").is_some_and(|net| wiring::is_fed(design, net));
    let free = net("out").is_some_and(|net| net != "gnd" && !wiring::is_fed(design, net));
    grounded && fed && free
}

/// The order that one reads off a drawing from below as if it were from above.
fn mirrored(functions: &IndexMap<String, String>) -> IndexMap<String, String> {
    functions
        .keys()
        .cloned()
        .zip(functions.values().rev().cloned())
        .collect()
}

/// A pin order of the catalogue that the wiring would fit, and whose it is.
fn fitting<'a>(design: &Design, part: &Part) -> Option<(String, &'a IndexMap<String, String>)> {
    let own = part.type_name.as_deref().and_then(catalogue::find)?;
    let same_family = |entry: &catalogue::Type| entry.family == own.family;
    let mut types: Vec<&'static catalogue::Type> = catalogue::types()
        .iter()
        .filter(|entry| entry.kind == own.kind)
        .collect();
    types.sort_by_key(|entry| !same_family(entry));
    types.into_iter().find_map(|entry| {
        entry.packages.iter().find_map(|(name, package)| {
            let pins = package.pins.len() == part.pins.len();
            (pins && sensible(design, &part.pins, &package.pins)).then(|| {
                (
                    format!("the order of the {} in {name}", entry.name),
                    &package.pins,
                )
            })
        })
    })
}

//! What the checks of faults and slips share.

use crate::bringup::Meter;
use crate::bringup::coverage::{Coverage, Standing, coverage, survived};
use crate::checks::prelude::*;
use crate::evidence::disturbed::Disturbed;
use crate::situations::disturbance::Class;
use std::collections::BTreeMap;

/// What was computed of faults and slips.
///
/// # Errors
/// [`Missing`] when nothing was.
pub fn computed<'a>(context: &Context<'a>) -> Result<&'a Disturbed, Missing> {
    match &context.evidence.disturbed {
        Some(disturbed) => Ok(disturbed),
        None => Err(lacks(match context.evidence.incomplete.first() {
            Some(lack) => format!("single faults and slips: the circuit is incomplete: {lack}"),
            None => "single faults and slips were not computed".to_owned(),
        })),
    }
}

/// Which of them put more on an input than it survives, and which step shows each.
///
/// # Errors
/// [`Missing`] as for [`computed`], and when an instrument does not say what it survives.
pub fn covered(context: &Context) -> Result<Coverage, Missing> {
    computed(context)?;
    coverage(context.design, context.evidence, &Meter::default())
}

/// Does the box feed any instrument?
#[must_use]
pub fn feeds_any(context: &Context) -> bool {
    !crate::evidence::outputs(context.design).is_empty()
}

/// An outcome for each part with a disturbance of some class, from those disturbances, the worst
/// first.
pub fn each_disturbed(
    context: &Context,
    of: impl Fn(Class) -> bool,
    none: &str,
    look: impl Fn(Place, &[&Standing]) -> Option<Outcome>,
) -> Vec<Outcome> {
    let place = || Place::design("parts");
    if !feeds_any(context) {
        let none = "the box feeds no instrument";
        return vec![Outcome::does_not_apply(place(), none)];
    }
    let coverage = match covered(context) {
        Ok(coverage) => coverage,
        Err(missing) => return vec![Outcome::missing(place(), Gate::Plug, &missing)],
    };
    let some = coverage.standings.iter().filter(|one| of(one.class));
    let outcomes = by_part(context, some)
        .iter()
        .filter_map(|(part, found)| look(Place::part(part), found))
        .collect();
    or_none(outcomes, none)
}

/// Those of each part, the worst first.
fn by_part<'a>(
    context: &Context,
    standings: impl Iterator<Item = &'a Standing>,
) -> Vec<(String, Vec<&'a Standing>)> {
    let mut parts: BTreeMap<usize, (String, Vec<&Standing>)> = BTreeMap::new();
    let Ok(disturbed) = computed(context) else {
        return Vec::new();
    };
    for one in standings {
        let part = &disturbed.cases[one.case].disturbance.part;
        let at = context
            .design
            .parts
            .get_index_of(part)
            .unwrap_or(usize::MAX);
        parts
            .entry(at)
            .or_insert_with(|| (part.clone(), Vec::new()))
            .1
            .push(one);
    }
    let mut parts: Vec<(String, Vec<&Standing>)> = parts.into_values().collect();
    for (_, found) in &mut parts {
        found.sort_by(|a, b| b.beyond.total_cmp(&a.beyond));
    }
    parts
}

/// What a disturbance does, with its numbers: `With U1 …, J1 reaches 17.2 V where …`.
#[must_use]
pub fn says(context: &Context, one: &Standing) -> String {
    let Ok(disturbed) = computed(context) else {
        return String::new();
    };
    let case = &disturbed.cases[one.case];
    let after = one.after.as_ref().map_or_else(String::new, |part| {
        format!(" and {part}, then beyond its input rating, passing its input through")
    });
    let (low, high) =
        survived(context.design, &one.jack, one.index).unwrap_or((f64::NAN, f64::NAN));
    format!(
        "With {}{after}, {} puts {} on the input, which survives {}..{}: {} beyond, {}.",
        case.disturbance.describe(),
        one.jack,
        volts(one.value),
        volts(low),
        volts(high),
        volts(one.beyond),
        one.situation.state.describe()
    )
}

/// Is it the upper end of what the input survives that it comes near?
fn ceiling(one: &Standing) -> bool {
    (one.value > one.limit) == one.damaging()
}

/// What is wrong, in words.
fn wrong(context: &Context, one: &Standing) -> String {
    computed(context).map_or_else(
        |_| String::new(),
        |disturbed| disturbed.cases[one.case].disturbance.describe(),
    )
}

/// The comparison of the worst one.
#[must_use]
pub fn comparison(context: &Context, one: &Standing) -> Comparison {
    let bound = if ceiling(one) {
        Bound::AtMost
    } else {
        Bound::AtLeast
    };
    let mut comparison = Comparison::fixed(
        format!("output with {}", wrong(context, one)),
        one.value,
        bound,
        one.limit,
        Unit::Volt,
        "what the input survives",
    );
    comparison.situation = context.evidence.find(&one.situation);
    comparison
}

/// What would contain it: a clamp between what the input accepts and what it survives, behind the
/// resistance that the output has.
#[must_use]
pub fn remedy(context: &Context, one: &Standing) -> String {
    let connection = context
        .design
        .connections
        .get(&one.jack)
        .and_then(|list| list.get(one.index));
    let Some(Connection::Instrument {
        instrument, input, ..
    }) = connection
    else {
        return String::new();
    };
    let Some(input) = instrument.inputs.get(input) else {
        return String::new();
    };
    let net = context
        .design
        .parts
        .get(&one.jack)
        .and_then(|jack| jack.net(&input.signal))
        .unwrap_or("the output");
    let accepted = input.accepted();
    let end = if ceiling(one) { accepted.1 } else { accepted.0 };
    if one.limit.abs() < 1.0 || end.abs() >= one.limit.abs() {
        return format!(
            "Fit a Schottky diode from gnd to `{net}` behind at least 1 kΩ, its cathode on \
             `{net}`, so that the output cannot go past gnd; a swapped pair of wires is only \
             found by measuring at the plug."
        );
    }
    let zener = preferred::e12(0.9 * (end.abs() * one.limit.abs()).sqrt());
    let current = context
        .evidence
        .source_resistance(net)
        .ok()
        .map(|source| (one.value.abs() - zener) / source.low.max(1.0))
        .filter(|current| *current > 0.0);
    let both = accepted.0 < -1.0 && accepted.1 > 1.0;
    format!(
        "Fit {} from `{net}` to gnd, and keep at least 1 kΩ between it and whatever drives \
         it.{}",
        if both {
            format!("two {} zener diodes back to back", volts(zener))
        } else {
            format!("a {} zener diode", volts(zener))
        },
        current.map_or_else(String::new, |current| format!(
            " The clamp then carries about {}.",
            format(current, Unit::Ampere)
        ))
    )
}

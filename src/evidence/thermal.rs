//! Temperatures from dissipations: air in the box, junctions and hot spots.

use super::Stress;
use super::observe::Layout;
use crate::catalogue::{Kind, Property};
use crate::circuit::{ambient, heeds_temperature};
use crate::design::{Design, Enclosure, Part};
use crate::situations::{Situation, Temperatures};

/// Temperature range over which a film resistor's rating falls from full to nothing, 70 → 155 °C.
/// From memory; IEC 60115 style derating curve.
const RESISTOR_FALL: f64 = 85.0;

/// Junction limit where none is given: the lowest of the common ones [°C].
const LOWEST_LIMIT: f64 = 125.0;

/// Highest junction temperature allowed [°C].
#[must_use]
pub fn junction_limit(part: &Part) -> f64 {
    part.figure(Property::JunctionLimit)
        .map_or(LOWEST_LIMIT, |figure| figure.spread.nominal)
}

/// Thermal resistance of the box, inside air to room air [K/W]: as given, else `1/(k·A)` over its
/// six faces with k by material (published for control cabinets: painted steel 5.5, stainless 3.7,
/// aluminium 12, plastic 3.5 W/m²K).
#[must_use]
pub fn box_resistance(enclosure: &Enclosure) -> Option<f64> {
    if let Some(given) = enclosure.thermal_resistance {
        return Some(given);
    }
    let [length, width, height] = enclosure.size?;
    let area = 2.0 * (length * width + length * height + width * height);
    let material = enclosure.material.as_deref().unwrap_or("").to_lowercase();
    let k = if material.contains("alu") {
        12.0
    } else if material.contains("stainless") {
        3.7
    } else if material.contains("steel") {
        5.5
    } else {
        // Plastic and wood are the least able to pass heat: also the choice when nothing is said.
        3.5
    };
    Some(1.0 / (k * area))
}

/// Thermal resistance of a part to the air in the box [K/W], the conservative end; `None` when
/// nothing is known.
#[must_use]
pub fn part_resistance(part: &Part) -> Option<f64> {
    let high = |property| part.figure(property).map(|figure| figure.spread.high);
    if let Some(sink) = high(Property::Heatsink) {
        let case = high(Property::JunctionToCase)?;
        // Mica with grease, the conservative end of 0.5–0.8 K/W (from memory).
        let joint = high(Property::CaseToSink).unwrap_or(1.0);
        return Some(case + joint + sink);
    }
    if let Some(given) = high(Property::JunctionToAmbient) {
        return Some(given);
    }
    match part.kind {
        Kind::Resistor | Kind::Thermistor | Kind::Potentiometer => part
            .figure(Property::Power)
            .map(|power| RESISTOR_FALL / power.spread.low),
        _ => None,
    }
}

/// Fills the `Air` and `Junction` slots of a solved situation.
///
/// Air: ambient plus box resistance times everything dissipated inside. Junction: air plus the
/// part's thermal resistance times its own mean dissipation. Both stay empty when the box or the
/// part says too little. Local hot spots in the box are not modelled.
pub fn fill(design: &Design, layout: &Layout, situation: &Situation, values: &mut [f64]) {
    let Some(resistance) = design
        .conditions
        .enclosure
        .as_ref()
        .and_then(box_resistance)
    else {
        return;
    };
    let dissipation = |part: &Part| {
        layout
            .stress(&part.reference, Stress::Dissipation)
            .map_or(0.0, |slot| values[slot])
    };
    let inside: f64 = design
        .parts
        .values()
        .map(dissipation)
        .filter(|power| power.is_finite())
        .sum();
    let air = ambient(design, situation) + resistance * inside;
    let mut filled = Vec::new();
    for part in design.parts.values() {
        if let Some(slot) = layout.stress(&part.reference, Stress::Air) {
            filled.push((slot, air));
        }
        if let Some(slot) = layout.stress(&part.reference, Stress::Junction)
            && let Some(resistance) = part_resistance(part)
        {
            filled.push((slot, air + resistance * dissipation(part)));
        }
    }
    for (slot, value) in filled {
        values[slot] = value;
    }
}

/// What the parts whose models heed it are at, by the values of a situation that [`fill`] has
/// filled [°C]: the junction, or the air around. Parts of which neither is known are left out.
pub(super) fn temperatures(design: &Design, layout: &Layout, values: &[f64]) -> Temperatures {
    design
        .parts
        .values()
        .filter(|part| heeds_temperature(part.kind))
        .filter_map(|part| {
            let part = &part.reference;
            let known = |stress| {
                let value = values[layout.stress(part, stress)?];
                value.is_finite().then_some(value)
            };
            let at = known(Stress::Junction).or_else(|| known(Stress::Air))?;
            Some((part.clone(), at))
        })
        .collect()
}

//! What a supply drives into a dead short, and the most power it delivers.

use super::prelude::{lacks, rated};
use crate::catalogue::{Kind, Property};
use crate::design::{Connection, Design, Part};
use crate::evidence::Missing;

/// Current into a short [A].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Short {
    /// At low mains or from a flat battery.
    pub least: f64,
    /// At high mains or from a fresh battery.
    pub most: f64,
}

/// Current into a short.
///
/// Adaptors and transformers: open-circuit voltage over the resistance that its fall to the rated
/// output implies. Regulated DC: as given, else once to twice the rated current. Batteries: as
/// given, else voltage over internal resistance.
///
/// # Errors
/// [`Missing`] when the part says too little.
pub fn short_circuit(design: &Design, part: &Part) -> Result<Short, Missing> {
    let given = part.figure(Property::ShortCircuitCurrent).map(|f| Short {
        least: f.spread.low,
        most: f.spread.high,
    });
    if let Some(given) = given {
        return Ok(given);
    }
    if part.kind == Kind::Battery {
        let fresh = rated(part, Property::Fresh)?;
        let flat = rated(part, Property::Flat)?;
        let inner = part
            .figure(Property::Resistance)
            .ok_or_else(|| lacks(format!("{} gives no internal `resistance`", part.reference)))?
            .spread;
        return Ok(Short {
            least: flat / inner.high.max(1e-6),
            most: fresh / inner.low.max(1e-6),
        });
    }
    let output = rated(part, Property::Output)?;
    let current = match part.figure(Property::Current) {
        Some(figure) => figure.spread.nominal,
        None => rated(part, Property::Va)? / output,
    };
    if is_regulated(part) {
        return Ok(Short {
            least: current,
            most: 2.0 * current,
        });
    }
    let open = open_circuit(part)?;
    let inner = (open.nominal - output).max(1e-3) / current;
    let (low, high) = mains(design);
    Ok(Short {
        least: open.low * low / inner,
        most: open.high * high / inner,
    })
}

/// Most power a supply delivers into its worst load [W]: a quarter of open-circuit voltage times
/// short-circuit current; a regulated one holds its output up to its current limit.
///
/// # Errors
/// [`Missing`] when the part says too little.
pub fn most_power(design: &Design, part: &Part) -> Result<f64, Missing> {
    let short = short_circuit(design, part)?.most;
    let open = open_voltage(design, part)?;
    Ok(if is_regulated(part) {
        open * short
    } else {
        open * short / 4.0
    })
}

/// Voltage of a supply with no load, at high mains or fresh [V]; rms where it alternates.
///
/// # Errors
/// [`Missing`] when the part says too little.
pub fn open_voltage(design: &Design, part: &Part) -> Result<f64, Missing> {
    match part.kind {
        Kind::Battery => rated(part, Property::Fresh),
        _ if is_regulated(part) => rated(part, Property::Output),
        _ => Ok(open_circuit(part)?.high * mains(design).1),
    }
}

fn open_circuit(part: &Part) -> Result<crate::quantity::Spread, Missing> {
    part.figure(Property::OpenCircuit)
        .map(|figure| figure.spread)
        .ok_or_else(|| {
            lacks(format!(
                "{} gives no `open-circuit` voltage",
                part.reference
            ))
        })
}

/// Low and high mains as shares of its nominal.
fn mains(design: &Design) -> (f64, f64) {
    design.conditions.mains.map_or((1.0, 1.0), |mains| {
        let voltage = mains.voltage;
        (
            voltage.low / voltage.nominal,
            voltage.high / voltage.nominal,
        )
    })
}

fn is_regulated(part: &Part) -> bool {
    part.kind == Kind::DcAdaptor && part.word("regulated") == Some("true")
}

/// No voltage between two nets of the box exceeds this, switched or settled, whatever the circuit
/// [V]: the open-circuit voltages of all supplies and of what is plugged in together, peak to peak
/// where they alternate. `None` where a coil could add to it, or a supply says too little.
#[must_use]
pub fn highest_voltage(design: &Design) -> Option<f64> {
    let coil = |part: &Part| matches!(part.kind, Kind::Inductor | Kind::Relay);
    if design.parts.values().any(coil) {
        return None;
    }
    let plugged: f64 = design
        .connections
        .values()
        .flatten()
        .map(|connection| match connection {
            Connection::Instrument {
                instrument, input, ..
            } => instrument
                .inputs
                .get(input)
                .and_then(|input| input.supply.as_ref())
                .map_or(0.0, |supply| supply.voltage.spread.high.abs()),
            Connection::Controller { .. } => 0.0,
        })
        .sum();
    let supplies: Option<f64> = super::wiring::sources(design)
        .map(|part| open_peak_to_peak(design, part))
        .sum();
    Some(plugged + supplies?)
}

fn open_peak_to_peak(design: &Design, part: &Part) -> Option<f64> {
    let high = |property: Property| part.figure(property).map(|figure| figure.spread.high);
    match part.kind {
        Kind::Battery => high(Property::Fresh),
        Kind::DcAdaptor if is_regulated(part) => high(Property::Output),
        Kind::DcAdaptor => Some(high(Property::OpenCircuit)? * mains(design).1),
        _ => {
            let windings = if part.net("centre").is_some() || part.net("b1").is_some() {
                2.0
            } else {
                1.0
            };
            let peak = core::f64::consts::SQRT_2 * high(Property::OpenCircuit)? * mains(design).1;
            Some(2.0 * windings * peak)
        }
    }
}

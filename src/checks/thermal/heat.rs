//! What the thermal checks share: who heats, how hot the junction is, what would cool it.

use crate::checks::derating;
use crate::checks::prelude::*;
pub use crate::evidence::thermal::junction_limit as limit;

/// Parts whose junction is looked at.
pub const SEMICONDUCTORS: &[Kind] = &[
    Kind::Regulator,
    Kind::AdjustableRegulator,
    Kind::Diode,
    Kind::Bridge,
    Kind::Zener,
    Kind::TransientSuppressor,
    Kind::ShuntReference,
    Kind::OpAmp,
    Kind::Bipolar,
    Kind::Mosfet,
    Kind::Optocoupler,
];

/// Thermal resistance that no leaded part of these kinds exceeds [K/W]; DO-35 is 300 to 350.
const WORST: f64 = 400.0;

/// Junction temperature, or a bound on it at [`WORST`] where that already suffices.
///
/// # Errors
/// [`Missing`] when neither is known.
pub fn junction(context: &Context, part: &Part, limit: f64) -> Result<Extent, Missing> {
    let computed = context
        .evidence
        .stress(&part.reference, Stress::Junction, powered);
    let Err(missing) = computed else {
        return computed;
    };
    let bound = || {
        let heat = context
            .evidence
            .stress(&part.reference, Stress::Dissipation, powered)?;
        let air = context
            .evidence
            .stress(&part.reference, Stress::Air, powered)?;
        Ok::<Extent, Missing>(Extent {
            low: air.low,
            nominal: air.nominal + WORST * heat.nominal,
            high: air.high + WORST * heat.high,
            ..heat
        })
    };
    match bound() {
        Ok(extent) if extent.high <= limit => Ok(extent),
        _ => Err(missing),
    }
}

/// What would keep the junction below `limit`: the thermal resistance to air that does.
#[must_use]
pub fn remedy(context: &Context, part: &Part, limit: f64) -> String {
    let needed = || {
        let heat = context
            .evidence
            .stress(&part.reference, Stress::Dissipation, powered)
            .ok()?;
        let air = context
            .evidence
            .stress(&part.reference, Stress::Air, powered)
            .ok()?;
        let aim = derating::junction(Derating::Benign, limit)?.0;
        (aim > air.high && heat.high > 0.0).then(|| (aim - air.high) / heat.high)
    };
    needed().map_or_else(
        || format!("Make {} dissipate less: a lower input voltage or less load.", part.reference),
        |resistance| {
            format!(
                "Cool {} to at most {} junction to air (a larger package or a heatsink), or lower its input or load.",
                part.reference,
                format(resistance, Unit::KelvinPerWatt)
            )
        },
    )
}

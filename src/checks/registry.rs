//! The one ordered list of checks.

use super::{Check, completeness, isolation, output_range, pinout, polarity, ratings, thermal};

/// Every check, by stage, in the order in which the dossier prints them.
pub const REGISTRY: &[Check] = &[
    ratings::capacitor_over_voltage::CHECK,
    ratings::capacitor_voltage_derating::CHECK,
    ratings::electrolytic_ripple_current::CHECK,
    ratings::diode_reverse_voltage::CHECK,
    ratings::diode_reverse_derating::CHECK,
    ratings::diode_average_current::CHECK,
    ratings::diode_repetitive_peak::CHECK,
    ratings::diode_surge::CHECK,
    ratings::diode_surge_derating::CHECK,
    ratings::winding_overload::CHECK,
    ratings::winding_dc::CHECK,
    ratings::apparent_power::CHECK,
    ratings::supply_overload::CHECK,
    ratings::resistor_power::CHECK,
    ratings::resistor_power_derating::CHECK,
    ratings::resistor_voltage::CHECK,
    ratings::potentiometer_power::CHECK,
    ratings::wiper_current::CHECK,
    ratings::led_current::CHECK,
    ratings::led_reverse_voltage::CHECK,
    ratings::led_without_resistor::CHECK,
    ratings::zener_power::CHECK,
];

/// The check of an id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Check> {
    REGISTRY.iter().find(|check| check.id == id)
}

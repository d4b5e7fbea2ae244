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
    ratings::regulator_over_voltage::CHECK,
    ratings::regulator_input_derating::CHECK,
    ratings::regulator_drop_out::CHECK,
    ratings::regulator_overload::CHECK,
    ratings::regulator_minimum_load::CHECK,
    ratings::regulator_capacitor_missing::CHECK,
    ratings::regulator_back_biased::CHECK,
    ratings::op_amp_over_voltage::CHECK,
    ratings::op_amp_supply_low::CHECK,
    ratings::transistor_over_voltage::CHECK,
    ratings::resistor_power::CHECK,
    ratings::resistor_power_derating::CHECK,
    ratings::resistor_voltage::CHECK,
    ratings::potentiometer_power::CHECK,
    ratings::wiper_current::CHECK,
    ratings::led_current::CHECK,
    ratings::led_reverse_voltage::CHECK,
    ratings::led_without_resistor::CHECK,
    ratings::zener_power::CHECK,
    ratings::fuse_blows_in_use::CHECK,
    ratings::fuse_too_large::CHECK,
    ratings::ptc_trips_in_use::CHECK,
    ratings::contact_overload::CHECK,
    ratings::contact_over_voltage::CHECK,
    thermal::junction_over_temperature::CHECK,
    thermal::junction_hot::CHECK,
    thermal::box_air_hot::CHECK,
    thermal::resistor_hot_spot::CHECK,
    thermal::electrolytic_over_temperature::CHECK,
    thermal::electrolytic_hot::CHECK,
    thermal::electrolytic_short_life::CHECK,
    thermal::adaptor_overheats::CHECK,
];

/// The check of an id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Check> {
    REGISTRY.iter().find(|check| check.id == id)
}

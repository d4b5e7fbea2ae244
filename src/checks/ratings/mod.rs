//! Ratings: is every part used within what its maker allows?

pub mod apparent_power;
pub mod capacitor_over_voltage;
pub mod capacitor_voltage_derating;
pub mod diode_average_current;
pub mod diode_repetitive_peak;
pub mod diode_reverse_derating;
pub mod diode_reverse_voltage;
pub mod diode_surge;
pub mod diode_surge_derating;
pub mod electrolytic_ripple_current;
pub mod led_current;
pub mod led_reverse_voltage;
pub mod led_without_resistor;
pub mod potentiometer_power;
pub mod resistor_power;
pub mod resistor_power_derating;
pub mod resistor_voltage;
pub mod supply_overload;
pub mod winding_dc;
pub mod winding_overload;
pub mod wiper_current;
pub mod zener_power;

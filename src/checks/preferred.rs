//! The values one can buy: used in remedies, so that they name a part that exists.

/// Rated voltages of electrolytic capacitors [V].
const CAPACITOR_VOLTAGES: &[f64] = &[
    6.3, 10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 250.0, 400.0, 450.0,
];

/// Rated powers of resistors [W].
const RESISTOR_POWERS: &[f64] = &[0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 50.0];

/// Mantissas of the E12 series, IEC 60063.
const E12: &[f64] = &[
    1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2, 10.0,
];

fn at_least(series: &[f64], value: f64) -> f64 {
    series
        .iter()
        .copied()
        .find(|step| *step >= value)
        .unwrap_or(value)
}

/// The next capacitor voltage at or above a value [V].
#[must_use]
pub fn capacitor_voltage(value: f64) -> f64 {
    at_least(CAPACITOR_VOLTAGES, value)
}

/// The next resistor power at or above a value [W].
#[must_use]
pub fn resistor_power(value: f64) -> f64 {
    at_least(RESISTOR_POWERS, value)
}

/// The next E12 value at or above a value.
#[must_use]
pub fn e12(value: f64) -> f64 {
    if !(value.is_finite() && value > 0.0) {
        return value;
    }
    let decade = libm::pow(10.0, libm::floor(libm::log10(value)));
    decade * at_least(E12, value / decade * (1.0 - 1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_value_is_one_that_can_be_bought() {
        assert!((e12(1000.0) - 1000.0).abs() < 1e-9);
        assert!((e12(1010.0) - 1200.0).abs() < 1e-9);
        assert!((e12(8.3) - 10.0).abs() < 1e-9);
        assert!((capacitor_voltage(27.3) - 35.0).abs() < 1e-9);
        assert!((resistor_power(0.3) - 0.5).abs() < 1e-9);
    }
}

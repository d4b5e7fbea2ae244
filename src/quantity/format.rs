//! The one formatter for every number that is printed: engineering prefixes, a stated number of
//! significant figures, a true minus sign, one space before the unit.

use super::{Spread, Unit};

/// Prefixes with their power of ten, smallest first.
const PREFIXES: &[(&str, i32)] = &[
    ("f", -15),
    ("p", -12),
    ("n", -9),
    ("µ", -6),
    ("m", -3),
    ("", 0),
    ("k", 3),
    ("M", 6),
    ("G", 9),
];

/// Lowest and highest power of ten that the trade prints for a unit, and the magnitude from which
/// a value stays in the unit itself although it is below 1 (0.35 V, not 350 mV).
fn habit(unit: Unit) -> (i32, i32, f64) {
    match unit {
        // No meter on a bench tells nanovolts.
        Unit::Volt | Unit::Watt | Unit::VoltAmpere => (-6, 3, 0.1),
        Unit::Ampere => (-15, 0, 1.0),
        Unit::Ohm => (-3, 9, 1.0),
        Unit::Siemens => (-12, 0, 1.0),
        // 1000 µF and 4700 µF, never millifarads.
        Unit::Farad => (-12, -6, 1.0),
        Unit::Henry | Unit::Second => (-9, 0, 1.0),
        Unit::VoltPerKelvin => (-6, 0, 1.0),
        Unit::Hertz => (0, 9, 1.0),
        Unit::Metre => (-3, -3, 1.0),
        Unit::Celsius
        | Unit::Kelvin
        | Unit::KelvinPerWatt
        | Unit::Hour
        | Unit::AmpereSquaredSecond
        | Unit::Decibel
        | Unit::Ratio => (0, 0, 0.0),
    }
}

/// A thousandth of the smallest prefix in use, below which nothing real is left.
fn nothing(unit: Unit) -> f64 {
    let (least, ..) = habit(unit);
    if least == 0 { 1e-9 } else { 1e-3 }
}

/// Rounds to significant figures in decimal, so that 999.96 becomes 1.00 k and not 1000.
#[must_use]
pub fn rounded(value: f64, figures: usize) -> f64 {
    format!("{:.*e}", figures.max(1) - 1, value)
        .parse()
        .unwrap_or(value)
}

fn prefix_for(value: f64, unit: Unit) -> (&'static str, i32) {
    let (least, most, stay) = habit(unit);
    let magnitude = value.abs();
    if magnitude >= stay && magnitude < 1.0 && least <= 0 && most >= 0 {
        return ("", 0);
    }
    let fitting = PREFIXES
        .iter()
        .filter(|(_, power)| (least..=most).contains(power));
    let mut chosen = ("", 0);
    for (index, (prefix, power)) in fitting.enumerate() {
        if index == 0 || magnitude >= scaled(1.0, -power) {
            chosen = (prefix, *power);
        }
    }
    chosen
}

/// `value · 10^-power`, rounded once.
fn scaled(value: f64, power: i32) -> f64 {
    let ten = libm::pow(10.0, f64::from(power.abs()));
    if power >= 0 { value / ten } else { value * ten }
}

/// Decimals that show `figures` significant figures of a number already scaled.
fn decimals(scaled: f64, figures: usize) -> usize {
    let text = format!("{:.*e}", figures.max(1) - 1, scaled.abs());
    let exponent: i32 = text
        .rsplit_once('e')
        .and_then(|(_, e)| e.parse().ok())
        .unwrap_or(0);
    usize::try_from(i32::try_from(figures.max(1)).unwrap_or(3) - 1 - exponent).unwrap_or(0)
}

fn signed(text: &str) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text.to_owned(),
    }
}

fn with_unit(number: &str, prefix: &str, unit: Unit) -> String {
    let symbol = unit.symbol();
    if prefix.is_empty() && symbol.is_empty() {
        number.to_owned()
    } else {
        format!("{number} {prefix}{symbol}")
    }
}

/// A value with three significant figures: `4.70 kΩ`, `−0.350 V`, `85.0 °C`, `0 V`.
#[must_use]
pub fn format(value: f64, unit: Unit) -> String {
    format_to(value, unit, 3)
}

/// A value with `figures` significant figures: `4.70 kΩ`, `−0.350 V`, `85.0 °C`, `0 V`.
/// What is not finite is printed as an em dash.
#[must_use]
pub fn format_to(value: f64, unit: Unit, figures: usize) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    let value = rounded(value, figures);
    let (prefix, power) = prefix_for(value, unit);
    let number = scaled(value, power);
    if number.abs() < nothing(unit) {
        let (_, most, _) = habit(unit);
        let prefix = if most >= 0 { "" } else { prefix };
        return with_unit("0", prefix, unit);
    }
    let text = format!("{:.*}", decimals(number, figures), number);
    with_unit(&signed(&text), prefix, unit)
}

/// A value as short as it can be written to six figures: `4.7 kΩ`, `1000 µF`, `12 V`.
#[must_use]
pub fn format_short(value: f64, unit: Unit) -> String {
    let long = format_to(value, unit, 6);
    let (number, rest) = match long.split_once(' ') {
        Some((number, rest)) => (number, Some(rest)),
        None => (long.as_str(), None),
    };
    let number = if number.contains('.') {
        number.trim_end_matches('0').trim_end_matches('.')
    } else {
        number
    };
    match rest {
        Some(rest) => format!("{number} {rest}"),
        None => number.to_owned(),
    }
}

/// Two ends under one prefix: `−5.00..5.00 V`.
#[must_use]
pub fn format_range(low: f64, high: f64, unit: Unit, figures: usize) -> String {
    if !low.is_finite() || !high.is_finite() {
        return format!(
            "{}..{}",
            format_to(low, unit, figures),
            format_to(high, unit, figures)
        );
    }
    let largest = rounded(if low.abs() > high.abs() { low } else { high }, figures);
    let (prefix, power) = prefix_for(largest, unit);
    if scaled(largest, power).abs() < nothing(unit) {
        return format_to(0.0, unit, figures);
    }
    let places = decimals(scaled(largest, power), figures);
    let end = |value: f64| signed(&format!("{:.*}", places, scaled(value, power)));
    with_unit(&format!("{}..{}", end(low), end(high)), prefix, unit)
}

/// A share as per cent: `5 %`, `−12.5 %`.
#[must_use]
pub fn format_percent(share: f64, figures: usize) -> String {
    format!("{} %", format_to(share * 100.0, Unit::Ratio, figures))
}

/// A figure with its spread as one would write it: `4.7 kΩ ± 5 %`, `1000 µF −20/+50 %`,
/// `25 °C ± 10 K`, `12 V`, or a range when the nominal is its middle and zero lies inside.
#[must_use]
pub fn format_spread(spread: &Spread, unit: Unit) -> String {
    let Spread { low, nominal, high } = *spread;
    if !spread.is_spread() {
        return format_short(nominal, unit);
    }
    let crosses_zero = low <= 0.0 && high >= 0.0;
    if unit == Unit::Celsius || nominal == 0.0 || crosses_zero {
        return short_range(low, high, unit);
    }
    let (below, above) = (
        (nominal - low) / nominal.abs(),
        (high - nominal) / nominal.abs(),
    );
    let even = (below - above).abs() < 1e-9;
    let whole = |share: f64| (share * 100.0 - (share * 100.0).round()).abs() < 1e-6;
    // A spread of a third or more reads better as its ends, and so does an uneven one that nobody
    // gave in per cent.
    if below > 0.34 && above > 0.34 || !(even || whole(below) && whole(above)) {
        return short_range(low, high, unit);
    }
    let value = format_short(nominal, unit);
    let percent = |share: f64| short(share * 100.0);
    if even {
        format!("{value} ± {} %", percent(below))
    } else {
        format!("{value} −{}/+{} %", percent(below), percent(above))
    }
}

fn short(number: f64) -> String {
    format_short(rounded(number, 3), Unit::Ratio)
}

fn short_range(low: f64, high: f64, unit: Unit) -> String {
    let largest = if low.abs() > high.abs() { low } else { high };
    let (prefix, power) = prefix_for(largest, unit);
    let end = |value: f64| format_short(scaled(value, power), Unit::Ratio);
    with_unit(&format!("{}..{}", end(low), end(high)), prefix, unit)
}

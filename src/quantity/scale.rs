//! Unit symbols and SI prefixes as people write them, and the power of ten each stands for.

use super::{ParseError, Unit};
use std::ops::Range;

/// SI prefixes that appear on parts, with their power of ten.
const PREFIXES: &[(&str, i32)] = &[
    ("f", -15),
    ("p", -12),
    ("n", -9),
    ("µ", -6),
    ("μ", -6),
    ("u", -6),
    ("m", -3),
    ("", 0),
    ("k", 3),
    ("M", 6),
    ("G", 9),
    ("T", 12),
];

/// Spellings of a unit without prefix, with the power of ten each adds. The first is ours.
fn spellings(unit: Unit) -> &'static [(&'static str, i32)] {
    match unit {
        Unit::Volt => &[("V", 0)],
        Unit::Ampere => &[("A", 0)],
        // U+03A9 and the deprecated ohm sign U+2126.
        Unit::Ohm => &[
            ("Ω", 0),
            ("\u{2126}", 0),
            ("ohm", 0),
            ("Ohm", 0),
            ("ohms", 0),
            ("R", 0),
        ],
        Unit::Siemens => &[("S", 0), ("A/V", 0)],
        Unit::Farad => &[("F", 0)],
        Unit::Henry => &[("H", 0)],
        Unit::Watt => &[("W", 0)],
        Unit::VoltAmpere => &[("VA", 0)],
        Unit::Celsius => &[("°C", 0), ("℃", 0), ("degC", 0)],
        Unit::Kelvin => &[("K", 0)],
        Unit::KelvinPerWatt => &[("K/W", 0), ("°C/W", 0)],
        Unit::VoltPerKelvin => &[("V/K", 0), ("V/°C", 0)],
        Unit::Hertz => &[("Hz", 0)],
        Unit::Second => &[("s", 0)],
        Unit::Hour => &[("h", 0)],
        Unit::Metre => &[("m", 0), ("cm", -2)],
        Unit::AmpereSquaredSecond => &[("A²s", 0), ("A2s", 0), ("A^2s", 0)],
        Unit::Decibel => &[("dB", 0)],
        Unit::Ratio => &[("", 0), ("%", -2), ("ppm", -6), ("V/V", 0), ("V/mV", 3)],
    }
}

/// Units that take no prefix: nobody writes m°C, and `M` before them is a slip.
fn takes_prefix(unit: Unit) -> bool {
    !matches!(
        unit,
        Unit::Celsius
            | Unit::Kelvin
            | Unit::KelvinPerWatt
            | Unit::Hour
            | Unit::AmpereSquaredSecond
            | Unit::Decibel
            | Unit::Ratio
    )
}

/// Power of ten of a unit as written (`kΩ` → 3), or `None` when it is not that unit.
pub(super) fn power(token: &str, unit: Unit) -> Option<i32> {
    spellings(unit).iter().find_map(|(symbol, own)| {
        let prefix = token.strip_suffix(symbol)?;
        if !takes_prefix(unit) || *own != 0 {
            return prefix.is_empty().then_some(*own);
        }
        // Kilo is often written large on resistors, and nowhere else.
        if unit == Unit::Ohm && prefix == "K" {
            return Some(3);
        }
        PREFIXES
            .iter()
            .find(|(p, _)| *p == prefix)
            .map(|(_, power)| power + own)
    })
}

/// Power of ten of a letter of IEC 60062 standing alone or in place of the decimal point.
pub(super) fn code_power(letter: char, unit: Unit) -> Option<i32> {
    let power = match letter {
        'p' => -12,
        'n' => -9,
        'u' | 'µ' | 'μ' => -6,
        'm' => -3,
        'R' | 'r' | 'Ω' | '\u{2126}' | 'F' | 'H' | 'V' | 'A' => 0,
        'k' | 'K' => 3,
        'M' => 6,
        'G' => 9,
        'T' => 12,
        _ => return None,
    };
    let known = match unit {
        Unit::Ohm => matches!(
            letter,
            'R' | 'r' | 'Ω' | '\u{2126}' | 'k' | 'K' | 'M' | 'G' | 'T'
        ),
        Unit::Farad => matches!(letter, 'p' | 'n' | 'u' | 'µ' | 'μ' | 'm' | 'F'),
        Unit::Henry => matches!(letter, 'n' | 'u' | 'µ' | 'μ' | 'm' | 'H'),
        Unit::Volt => letter == 'V',
        Unit::Ampere => letter == 'A',
        _ => false,
    };
    known.then_some(power)
}

/// Tolerance letters of IEC 60062 (symmetrical ones), as a share.
pub(super) fn tolerance_letter(letter: char) -> Option<f64> {
    Some(match letter {
        'B' => 0.001,
        'C' => 0.0025,
        'D' => 0.005,
        'F' => 0.01,
        'G' => 0.02,
        'J' => 0.05,
        'K' => 0.1,
        'M' => 0.2,
        'N' => 0.3,
        _ => return None,
    })
}

/// What people write after a unit that is no part of it.
pub(super) const REMARKS: &[&str] = &["ac", "dc", "rms", "pk", "pp", "p-p", "max", "min", "typ"];

/// Where such a remark belongs.
pub(super) const REMARK_HINT: &str =
    "leave the remark out: the kind and the key say whether it is AC, rms, a peak or a limit";

/// Why a token is not the unit asked for.
pub(super) fn wrong_unit(token: &str, unit: Unit, at: Range<usize>, number: &str) -> ParseError {
    if token.chars().count() == 1 && PREFIXES.iter().any(|(p, _)| *p == token) {
        return ParseError::new(at, format!("`{token}` is a prefix without a unit"))
            .hint(prefix_hint(token, unit, number));
    }
    let other = Unit::ALL
        .iter()
        .find(|u| **u != Unit::Ratio && power(token, **u).is_some());
    let wanted = format!("{} ({})", unit.quantity(), example_symbol(unit));
    if let Some(other) = other {
        return ParseError::new(
            at,
            format!("`{token}` is {}, and {wanted} is needed", other.quantity()),
        );
    }
    if REMARKS.iter().any(|remark| {
        let lower = token.to_lowercase();
        let unit_part = lower.strip_suffix(remark).map_or(0, str::len);
        token
            .get(..unit_part)
            .is_some_and(|own| !own.is_empty() && power(own, unit).is_some())
    }) {
        return ParseError::new(at, format!("`{token}` is a unit with a remark")).hint(REMARK_HINT);
    }
    // Right letters, wrong case: say which case means what.
    let folded = token.to_lowercase();
    for (prefix, _) in PREFIXES {
        for (symbol, _) in spellings(unit) {
            let right = format!("{prefix}{symbol}");
            if right.to_lowercase() == folded && right != token {
                let why = if token.starts_with('M') && prefix.starts_with('m') {
                    "; `M` is mega, `m` is milli"
                } else {
                    ""
                };
                return ParseError::new(
                    at,
                    format!("`{token}` is not a unit: capitals matter{why}"),
                )
                .hint(format!("write `{number} {right}`"));
            }
        }
    }
    if unit == Unit::Celsius && (token == "C" || token == "K") {
        return ParseError::new(at, format!("`{token}` is not a temperature as read here"))
            .hint(format!("write `{number} °C`"));
    }
    ParseError::new(
        at,
        format!("`{token}` is not a unit of {}", unit.quantity()),
    )
    .hint(format!(
        "write for example `{number} {}`",
        example_symbol(unit)
    ))
}

fn prefix_hint(token: &str, unit: Unit, number: &str) -> String {
    if unit == Unit::Ohm && token == "m" {
        format!("`{number} MΩ` is mega, `{number} mΩ` is milli: write the one you mean")
    } else {
        format!("write `{number} {token}{}`", unit.symbol())
    }
}

/// The symbol as one would write it on a typical part.
pub(super) fn example_symbol(unit: Unit) -> &'static str {
    match unit {
        Unit::Farad => "µF",
        Unit::Metre => "mm",
        Unit::Ratio => "%",
        _ => unit.symbol(),
    }
}

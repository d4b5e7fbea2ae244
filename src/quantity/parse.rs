//! Reading quantities: `12 V`, `4k7`, `4.7 kΩ ± 5 %`, `1000 µF -20/+50 %`, `-5..5 V`, `1/4 W`.
//!
//! The caller says which unit it needs; a bare number is refused unless a pure number is meant.
//! Values are built as decimal text and converted once, so `4k7` and `4700 Ω` are the same float.

use super::amount::{Amount, amount, skip_spaces};
use super::scale::{self, example_symbol};
use super::{ParseError, Spread, Unit};

/// Longer than any quantity a person writes.
const LONGEST: usize = 120;

/// A quantity as read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Parsed {
    /// Low, nominal and high. A plain range has its middle as nominal.
    pub spread: Spread,
    /// `true` when the text gave a tolerance or a range.
    pub has_tolerance: bool,
}

/// Reads a value with an optional tolerance, or a range.
///
/// # Errors
/// What is wrong, with the byte range of the offending piece.
pub fn parse_spread(text: &str, unit: Unit) -> Result<Parsed, ParseError> {
    check_text(text)?;
    let (first, at) = amount(text, skip_spaces(text, 0), unit)?;
    let at = skip_spaces(text, at);
    if let Some(dots) = dots(&text[at..]) {
        let (second, end) = amount(text, skip_spaces(text, at + dots), unit)?;
        let end = skip_spaces(text, end);
        if end < text.len() {
            return Err(leftover(text, end, "after a range")
                .hint("a range has no tolerance of its own: give the two ends only"));
        }
        let power = second.needs_power(text, unit)?;
        let (low, high) = (
            first.value(first.power.unwrap_or(power)),
            second.value(power),
        );
        if low > high {
            return Err(ParseError::new(
                first.range.start..second.range.end,
                "the range runs downwards",
            )
            .hint("put the lower end first"));
        }
        let spread = Spread {
            low,
            nominal: f64::midpoint(low, high),
            high,
        };
        return Ok(Parsed {
            spread,
            has_tolerance: true,
        });
    }
    if text[at..].starts_with(['–', '—']) || text[at..].starts_with("to ") {
        return Err(leftover(text, at, "after the value"));
    }
    let power = first.needs_power(text, unit)?;
    let nominal = first.value(power);
    if at == text.len() {
        return Ok(match first.tolerance {
            Some(share) => Parsed {
                spread: Spread::relative(nominal, share),
                has_tolerance: true,
            },
            None => Parsed {
                spread: Spread::exact(nominal),
                has_tolerance: false,
            },
        });
    }
    let (below, above) = tolerance(text, at, nominal, unit)?;
    Ok(Parsed {
        spread: Spread {
            low: nominal - below,
            nominal,
            high: nominal + above,
        },
        has_tolerance: true,
    })
}

/// Reads a range, `LOW..HIGH UNIT` or a value with its tolerance; a single value is refused.
///
/// # Errors
/// What is wrong, with the byte range of the offending piece.
pub fn parse_range(text: &str, unit: Unit) -> Result<Spread, ParseError> {
    let parsed = parse_spread(text, unit)?;
    if parsed.has_tolerance {
        return Ok(parsed.spread);
    }
    Err(ParseError::new(
        0..text.len(),
        "a range is needed here, and this is one value",
    )
    .hint(format!(
        "write both ends, for example `-5..5 {}`",
        example_symbol(unit)
    )))
}

/// Reads one value; a tolerance or range is refused.
///
/// # Errors
/// What is wrong, with the byte range of the offending piece.
pub fn parse_value(text: &str, unit: Unit) -> Result<f64, ParseError> {
    let parsed = parse_spread(text, unit)?;
    if parsed.has_tolerance {
        return Err(ParseError::new(
            0..text.len(),
            "one value is needed here, without tolerance or range",
        ));
    }
    Ok(parsed.spread.nominal)
}

/// Reads `120 x 100 x 50 mm` into metres.
///
/// # Errors
/// What is wrong, with the byte range of the offending piece.
pub fn parse_size(text: &str) -> Result<[f64; 3], ParseError> {
    check_text(text)?;
    let mut at = 0;
    let mut amounts = Vec::new();
    loop {
        let (next, end) = amount(text, skip_spaces(text, at), Unit::Metre)?;
        amounts.push(next);
        at = skip_spaces(text, end);
        match text[at..].chars().next() {
            None => break,
            Some(c @ ('x' | 'X' | '×')) => at += c.len_utf8(),
            Some(_) => {
                return Err(leftover(text, at, "in a size")
                    .hint("write length x width x height, for example `120 x 100 x 50 mm`"));
            }
        }
    }
    let [a, b, c] = amounts.as_slice() else {
        return Err(ParseError::new(
            0..text.len(),
            format!("a size has three lengths, and this has {}", amounts.len()),
        )
        .hint("write length x width x height, for example `120 x 100 x 50 mm`"));
    };
    let power = c.needs_power(text, Unit::Metre)?;
    let lengths = [a, b, c].map(|l| l.value(l.power.unwrap_or(power)));
    if lengths.iter().any(|l| *l <= 0.0) {
        return Err(ParseError::new(0..text.len(), "a length is not above zero"));
    }
    Ok(lengths)
}

fn check_text(text: &str) -> Result<(), ParseError> {
    if text.trim().is_empty() {
        return Err(ParseError::new(0..text.len(), "nothing is written here"));
    }
    if text.len() > LONGEST {
        return Err(ParseError::new(
            0..text.len(),
            "this is too long for a quantity",
        ));
    }
    if let Some(comma) = text.find(',') {
        return Err(ParseError::new(
            comma..comma + 1,
            "a comma is not read in numbers: it is a decimal point to some and a thousands mark to others",
        )
        .hint(format!("with a decimal point this is `{}`", text.trim().replace(',', "."))));
    }
    Ok(())
}

fn dots(rest: &str) -> Option<usize> {
    ["...", "..", "…"]
        .iter()
        .find(|d| rest.starts_with(**d))
        .map(|d| d.len())
}

/// Reads a tolerance; returns how far it reaches below and above, in the unit.
fn tolerance(text: &str, at: usize, nominal: f64, unit: Unit) -> Result<(f64, f64), ParseError> {
    let rest = &text[at..];
    if let Some(mark) = ["±", "+/-", "+/−", "+-", "-/+"]
        .iter()
        .find(|m| rest.starts_with(**m))
    {
        let start = skip_spaces(text, at + mark.len());
        let (side, end) = side(text, start, nominal, unit)?;
        let end = skip_spaces(text, end);
        if end < text.len() {
            return Err(leftover(text, end, "after the tolerance"));
        }
        let each = side
            .each
            .ok_or_else(|| bare_tolerance(text, start..end, unit))?;
        let reach = side.number * each;
        check_reach(text, start..end, reach, nominal)?;
        return Ok((reach, reach));
    }
    if !rest.starts_with(['+', '-', '−']) {
        return Err(leftover(text, at, "after the value"));
    }
    let (first, end) = side(text, at, nominal, unit)?;
    let end = skip_spaces(text, end);
    if !text[end..].starts_with('/') {
        return Err(
            ParseError::new(at..text.len(), "a tolerance with one side only")
                .hint("write both sides, for example `-20/+50 %`, or a range with `..`"),
        );
    }
    let start = skip_spaces(text, end + 1);
    let (second, end) = side(text, start, nominal, unit)?;
    let end = skip_spaces(text, end);
    if end < text.len() {
        return Err(leftover(text, end, "after the tolerance"));
    }
    let each = second
        .each
        .ok_or_else(|| bare_tolerance(text, at..end, unit))?;
    // The first side takes the second's unit: `-20/+50 %`.
    let first_reach = first.number * first.each.unwrap_or(each);
    let second_reach = second.number * each;
    let (below, above) = if first_reach <= 0.0 && second_reach >= 0.0 {
        (-first_reach, second_reach)
    } else if first_reach >= 0.0 && second_reach <= 0.0 {
        (-second_reach, first_reach)
    } else {
        return Err(
            ParseError::new(at..end, "the two sides of a tolerance need opposite signs")
                .hint("write for example `-20/+50 %`"),
        );
    };
    check_reach(text, at..end, below, nominal)?;
    Ok((below, above))
}

/// One side of a tolerance.
struct Side {
    /// The number as written.
    number: f64,
    /// What one of that number is in the unit of the value; `None` when it carries no unit.
    each: Option<f64>,
}

fn side(text: &str, at: usize, nominal: f64, unit: Unit) -> Result<(Side, usize), ParseError> {
    let ten_to = |power: i32| libm::pow(10.0, f64::from(power));
    let (found, end) = match amount(text, at, Unit::Ratio) {
        Ok((share, end)) => {
            let each = share.power.map(|power| ten_to(power) * nominal.abs());
            let number = share.value(0);
            return Ok((Side { number, each }, end));
        }
        // Not a share: an absolute tolerance, in K or °C about a temperature.
        Err(_) if unit == Unit::Celsius => {
            amount(text, at, Unit::Kelvin).or_else(|_| amount(text, at, unit))?
        }
        Err(_) => amount(text, at, unit)?,
    };
    let each = Some(ten_to(found.needs_power(text, unit)?));
    let number = found.value(0);
    Ok((Side { number, each }, end))
}

fn bare_tolerance(text: &str, at: std::ops::Range<usize>, unit: Unit) -> ParseError {
    let number = text[at.clone()].trim();
    ParseError::new(at.clone(), "the tolerance has no unit").hint(format!(
        "write `± {number} %` or `± {number} {}`",
        scale::example_symbol(unit)
    ))
}

fn check_reach(
    text: &str,
    at: std::ops::Range<usize>,
    below: f64,
    nominal: f64,
) -> Result<(), ParseError> {
    if below < 0.0 {
        return Err(ParseError::new(at, "a tolerance cannot be negative"));
    }
    if text[at.clone()].contains('%') && below > nominal.abs() {
        return Err(ParseError::new(
            at,
            "a tolerance of more than 100 % downwards leaves nothing",
        ));
    }
    Ok(())
}

fn leftover(text: &str, at: usize, place: &str) -> ParseError {
    let rest = text[at..].trim_end();
    let error = ParseError::new(
        at..at + rest.len(),
        format!("`{rest}` is not understood {place}"),
    );
    if rest.starts_with(['–', '—']) || rest.starts_with("to ") {
        return error.hint("write a range with two dots: `5..35 °C`");
    }
    if scale::REMARKS.contains(&rest.to_lowercase().as_str()) {
        return error.hint(scale::REMARK_HINT);
    }
    if rest.ends_with('%') && rest.starts_with(|c: char| c.is_ascii_digit()) {
        return error.hint(format!("write a tolerance as `± {rest}`"));
    }
    error
}

impl Amount {
    /// The power of ten, or the error that the unit is missing.
    fn needs_power(&self, text: &str, unit: Unit) -> Result<i32, ParseError> {
        match self.power {
            Some(power) => Ok(power),
            None if unit == Unit::Ratio => Ok(0),
            None => {
                let number = &text[self.range.clone()];
                Err(ParseError::new(
                    self.range.clone(),
                    format!("`{number}` has no unit, and {} is needed", unit.quantity()),
                )
                .hint(match unit {
                    Unit::Farad => format!("write `{number} µF`, `{number} nF` or `{number} pF`"),
                    Unit::Ohm => format!("write `{number} Ω`, or with its letter: `4k7`, `330R`"),
                    _ => format!("write `{number} {}`", example_symbol(unit)),
                }))
            }
        }
    }
}

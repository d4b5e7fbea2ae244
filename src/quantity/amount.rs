//! One number with its unit, as the pieces from which a quantity is read.

use super::scale;
use super::{ParseError, Unit};
use std::ops::Range;

/// A number as written, with the power of ten of its unit.
#[derive(Debug, Clone)]
pub(super) struct Amount {
    /// Decimal digits with sign and point, without grouping.
    decimal: String,
    /// Denominator of a fraction such as 1/4.
    denominator: Option<f64>,
    /// Power of ten of prefix, unit and letter code; `None` when no unit was written.
    pub(super) power: Option<i32>,
    /// Tolerance letter of IEC 60062, as a share.
    pub(super) tolerance: Option<f64>,
    /// Where the number stands.
    pub(super) range: Range<usize>,
}

impl Amount {
    /// The value at a power of ten, rounded once.
    pub(super) fn value(&self, power: i32) -> f64 {
        let (mantissa, exponent) = match self.decimal.split_once('e') {
            Some((m, e)) => (m, e.parse::<i32>().unwrap_or(0)),
            None => (self.decimal.as_str(), 0),
        };
        let value: f64 = format!("{mantissa}e{}", exponent + power)
            .parse()
            .unwrap_or(f64::NAN);
        value / self.denominator.unwrap_or(1.0)
    }
}

pub(super) fn is_space(c: char) -> bool {
    c.is_whitespace() || c == '\u{2009}' || c == '\u{202f}' || c == '\u{a0}'
}

pub(super) fn skip_spaces(text: &str, at: usize) -> usize {
    at + text[at..].len() - text[at..].trim_start_matches(is_space).len()
}

fn digits(text: &str, at: usize) -> usize {
    text[at..].bytes().take_while(u8::is_ascii_digit).count()
}

fn peek(text: &str, at: usize) -> Option<char> {
    text[at..].chars().next()
}

fn digit_at(text: &str, at: usize) -> bool {
    peek(text, at).is_some_and(|c| c.is_ascii_digit())
}

/// Reads one number with its unit from `at`; returns it and where it ends.
pub(super) fn amount(text: &str, start: usize, unit: Unit) -> Result<(Amount, usize), ParseError> {
    let mut at = start;
    let mut decimal = String::new();
    match peek(text, at) {
        Some('-' | '−') => {
            decimal.push('-');
            at += peek(text, at).map_or(0, char::len_utf8);
        }
        Some('+') => at += 1,
        Some('±') => {
            return Err(ParseError::new(
                at..text.len(),
                "a tolerance without a value before it",
            ));
        }
        _ => {}
    }
    at = skip_spaces(text, at);
    let number = at;
    let begins = digit_at(text, at) || (peek(text, at) == Some('.') && digit_at(text, at + 1));
    if !begins {
        return leading_letter(text, start, number, decimal, unit);
    }
    at = integer(text, at, &mut decimal)?;
    let mut whole = true;
    if peek(text, at) == Some('.') && !text[at..].starts_with("..") {
        whole = false;
        let count = digits(text, at + 1);
        if decimal.is_empty() || decimal == "-" {
            decimal.push('0');
        }
        decimal.push('.');
        decimal.push_str(&text[at + 1..at + 1 + count]);
        if count == 0 {
            decimal.push('0');
        }
        at += 1 + count;
        if peek(text, at) == Some('.') && !text[at..].starts_with("..") {
            return Err(ParseError::new(
                number..at + 1,
                "a number with two decimal points",
            ));
        }
    }
    if let Some(length) = exponent(text, at) {
        decimal.push_str(&text[at..at + length].replace('−', "-").replace('+', ""));
        at += length;
        whole = false;
    }
    let mut denominator = None;
    if whole && peek(text, at) == Some('/') && digit_at(text, at + 1) {
        let count = digits(text, at + 1);
        let below: f64 = text[at + 1..at + 1 + count].parse().unwrap_or(0.0);
        if below == 0.0 {
            return Err(ParseError::new(
                number..at + 1 + count,
                "a fraction over zero",
            ));
        }
        denominator = Some(below);
        at += 1 + count;
        whole = false;
    }
    if let Some((letter, count)) = code(text, at, unit) {
        if !whole {
            return Err(ParseError::new(
                number..at + letter.len_utf8() + count,
                "a letter code takes the place of the decimal point, and this has both",
            ));
        }
        return coded(text, start, at, decimal, letter, count, unit);
    }
    let amount = Amount {
        decimal,
        denominator,
        power: None,
        tolerance: None,
        range: start..at,
    };
    finish(text, amount, at, unit)
}

/// Digits, which may be grouped in threes by a thin or no-break space.
fn integer(text: &str, mut at: usize, decimal: &mut String) -> Result<usize, ParseError> {
    let first = at;
    let count = digits(text, at);
    decimal.push_str(&text[at..at + count]);
    at += count;
    while let Some(space) = peek(text, at).filter(|c| is_space(*c)) {
        let next = at + space.len_utf8();
        let group = digits(text, next);
        if group == 0 {
            break;
        }
        if space.is_ascii() || group != 3 || count > 3 {
            return Err(
                ParseError::new(first..next + group, "a space inside the number").hint(format!(
                    "write `{}`, or put in the missing decimal point",
                    text[first..next + group].replace(is_space, "")
                )),
            );
        }
        decimal.push_str(&text[next..next + group]);
        at = next + group;
    }
    Ok(at)
}

/// Length of an exponent such as `e-9`. A capital E is refused elsewhere: `4E7` may mean 4.7.
fn exponent(text: &str, at: usize) -> Option<usize> {
    let rest = text[at..].strip_prefix('e')?;
    let sign = match rest.chars().next() {
        Some(c @ ('-' | '−' | '+')) => c.len_utf8(),
        _ => 0,
    };
    let count = digits(rest, sign);
    (count > 0 && count < 4).then_some(1 + sign + count)
}

/// A letter that stands for the decimal point: the letter and how many digits follow.
fn code(text: &str, at: usize, unit: Unit) -> Option<(char, usize)> {
    let letter = peek(text, at).filter(|c| c.is_alphabetic() || *c == '\u{2126}')?;
    let count = digits(text, at + letter.len_utf8());
    (count > 0 && unit != Unit::AmpereSquaredSecond).then_some((letter, count))
}

/// `R47`, `n47`: the letter comes first.
fn leading_letter(
    text: &str,
    start: usize,
    at: usize,
    mut decimal: String,
    unit: Unit,
) -> Result<(Amount, usize), ParseError> {
    if let Some((letter, count)) = code(text, at, unit)
        && scale::code_power(letter, unit).is_some()
    {
        decimal.push('0');
        return coded(text, start, at, decimal, letter, count, unit);
    }
    let rest = text[at..].trim_end();
    let error = ParseError::new(
        start..at + rest.len(),
        if rest.is_empty() {
            "a number is missing here".to_owned()
        } else {
            format!("`{rest}` does not begin with a number")
        },
    );
    Err(if rest.starts_with(['–', '—']) {
        error.hint("write the minus sign as `-`")
    } else if rest.starts_with(['<', '>', '~', '≤', '≥', '≈']) {
        error.hint("give a value with its tolerance, or a range with `..`")
    } else {
        error.hint(format!(
            "write for example `12 {}`",
            scale::example_symbol(unit)
        ))
    })
}

fn coded(
    text: &str,
    start: usize,
    at: usize,
    mut decimal: String,
    letter: char,
    count: usize,
    unit: Unit,
) -> Result<(Amount, usize), ParseError> {
    let after = at + letter.len_utf8();
    let whole = &text[start..after + count];
    let Some(power) = scale::code_power(letter, unit) else {
        let error = ParseError::new(
            start..after + count,
            format!(
                "`{whole}`: the letter `{letter}` does not code {}",
                unit.quantity()
            ),
        );
        return Err(match letter {
            'E' | 'e' => error.hint(format!(
                "write `{decimal}.{} {}` with a decimal point",
                &text[after..after + count],
                scale::example_symbol(unit)
            )),
            _ => error.hint(format!(
                "write a number and its unit, for example `12 {}`",
                scale::example_symbol(unit)
            )),
        });
    };
    decimal.push('.');
    decimal.push_str(&text[after..after + count]);
    let mut end = after + count;
    let mut amount = Amount {
        decimal,
        denominator: None,
        power: Some(power),
        tolerance: None,
        range: start..end,
    };
    if let Some(letter) = peek(text, end)
        && let Some(share) = scale::tolerance_letter(letter)
        && !text[end + 1..].starts_with(|c: char| c.is_alphanumeric())
        && unit.symbol() != letter.to_string()
    {
        amount.tolerance = Some(share);
        end += 1;
    }
    // A unit may still follow the code: `4k7 Ω`.
    let token_at = skip_spaces(text, end);
    let length = token(&text[token_at..]);
    if length > 0 {
        let word = &text[token_at..token_at + length];
        if scale::power(word, unit) != Some(0) {
            return Err(ParseError::new(
                start..token_at + length,
                format!("`{word}` after the letter code `{whole}`"),
            )
            .hint(format!(
                "the letter already gives the size: write `{whole}`"
            )));
        }
        end = token_at + length;
    }
    Ok((amount, end))
}

/// Length of the unit at the start of a text.
fn token(rest: &str) -> usize {
    let mut end = 0;
    for (at, c) in rest.char_indices() {
        let inside = c.is_alphabetic()
            || matches!(c, '°' | '%' | '²' | '^' | '℃' | '\u{2126}')
            || (c == '/' && rest[at + 1..].starts_with(|n: char| n.is_alphabetic() || n == '°'))
            || (c == '2' && matches!(&rest[..at], "A" | "A^"));
        if !inside {
            break;
        }
        // The `x` of a size is no unit.
        if matches!(c, 'x' | '×') && at == 0 {
            break;
        }
        end = at + c.len_utf8();
    }
    end
}

fn finish(
    text: &str,
    mut amount: Amount,
    end: usize,
    unit: Unit,
) -> Result<(Amount, usize), ParseError> {
    let number = text[amount.range.clone()].trim();
    if !amount.value(0).is_finite() || amount.value(0).abs() > 1e24 {
        return Err(ParseError::new(
            amount.range,
            format!("`{number}` is far too large"),
        ));
    }
    let at = skip_spaces(text, end);
    let length = token(&text[at..]);
    if length == 0 {
        return Ok((amount, end));
    }
    let word = &text[at..at + length];
    let mut letters = word.chars();
    let lone = (letters.next(), letters.next());
    let power = match lone {
        // `330R`, `10k`, `100n`: a letter of the code at the end.
        (Some(letter), None) if unit != Unit::Ohm || letter != 'm' => {
            scale::power(word, unit).or_else(|| scale::code_power(letter, unit))
        }
        _ => scale::power(word, unit),
    };
    let Some(power) = power else {
        return Err(scale::wrong_unit(word, unit, at..at + length, number));
    };
    if unit == Unit::Farad && power > 0 {
        return Err(ParseError::new(
            amount.range.start..at + length,
            format!("`{number} {word}` is millions of what a capacitor holds: `M` is mega"),
        )
        .hint(format!(
            "write `{number} µF` for micro or `{number} mF` for milli"
        )));
    }
    amount.power = Some(power);
    Ok((amount, at + length))
}

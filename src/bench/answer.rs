//! What a tired person types at the bench: readings with commas, in small letters and without
//! units, and commands that are nearly right.

use crate::quantity::{Unit, parse_value};
use crate::source::nearest;

/// One line, understood or not.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A reading: its value, and how it is written down.
    Reading(f64, String),
    /// Leave the step out, for a reason.
    Skip(String),
    /// To the step before.
    Back,
    /// A remark.
    Note(String),
    /// The unit was worked on.
    Rework(String),
    /// Measure again what did not pass.
    Again,
    /// Stop here; go on another time.
    Pause,
    /// What can be typed.
    Help,
    /// Nothing.
    Blank,
    /// Not understood: what to type instead.
    Unclear(String),
}

const WORDS: &[&str] = &[
    "skip", "back", "note", "rework", "again", "pause", "quit", "help",
];

/// Reads one line; `unit` is what the step measures.
#[must_use]
pub fn answer(line: &str, unit: Unit) -> Answer {
    let line = line.trim();
    if line.is_empty() {
        return Answer::Blank;
    }
    if line == "?" {
        return Answer::Help;
    }
    let (first, rest) = line.split_once(char::is_whitespace).unwrap_or((line, ""));
    let rest = rest.trim();
    let word = first.to_lowercase();
    if is_open(line) {
        return open(unit);
    }
    if word.starts_with(|c: char| c.is_ascii_digit() || "+-−–.,±".contains(c)) {
        return reading(line, unit);
    }
    let said = |make: fn(String) -> Answer, what: &str| {
        if rest.is_empty() {
            Answer::Unclear(format!("Say {what}: `{word} …`"))
        } else {
            make(rest.to_owned())
        }
    };
    match word.as_str() {
        "skip" => said(Answer::Skip, "why the step is left out"),
        "note" => said(Answer::Note, "what is to be noted"),
        "rework" => said(Answer::Rework, "what was mended"),
        "back" => Answer::Back,
        "again" => Answer::Again,
        "pause" | "quit" | "exit" | "q" => Answer::Pause,
        "help" | "h" => Answer::Help,
        _ => Answer::Unclear(match nearest(&word, WORDS.iter().copied()) {
            Some(near) => format!("`{first}` is not understood. Did you mean `{near}`?"),
            None => format!(
                "`{first}` is not understood. Type a reading such as `{}`, or `help`.",
                example(unit)
            ),
        }),
    }
}

fn example(unit: Unit) -> &'static str {
    match unit {
        Unit::Ohm => "4.7 kΩ",
        _ => "5.98 V",
    }
}

fn is_open(line: &str) -> bool {
    let plain: String = line
        .to_lowercase()
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '.')
        .collect();
    matches!(
        plain.trim_end_matches(['ω', 'Ω']),
        "ol" | "open" | "inf" | "∞" | "overload"
    )
}

fn open(unit: Unit) -> Answer {
    if unit == Unit::Ohm {
        return Answer::Reading(f64::INFINITY, "OL Ω".to_owned());
    }
    Answer::Unclear(
        "The voltage is beyond the meter's range. Choose the next higher range and read again."
            .to_owned(),
    )
}

fn reading(line: &str, unit: Unit) -> Answer {
    let text = line.replace(['−', '–'], "-");
    let text = match decimal_comma(&text) {
        Ok(text) => text,
        Err(question) => return Answer::Unclear(question),
    };
    let split = text
        .find(|c: char| c.is_alphabetic() || c == '\u{2126}')
        .unwrap_or(text.len());
    let (number, letters) = text.split_at(split);
    let number: String = number.chars().filter(|c| !c.is_whitespace()).collect();
    let Some(symbol) = symbol(letters.trim(), unit) else {
        return Answer::Unclear(format!(
            "`{}` is not what this step measures. Type a reading such as `{}`.",
            letters.trim(),
            example(unit)
        ));
    };
    let written = format!("{number} {symbol}");
    match parse_value(&written, unit) {
        Ok(value) if unit == Unit::Volt && value.abs() > 1000.0 => Answer::Unclear(format!(
            "{written} is more than a hand-held meter can show. Type the reading again."
        )),
        Ok(value) if unit == Unit::Ohm && value < 0.0 => {
            Answer::Unclear("A resistance is not below zero. Type the reading again.".to_owned())
        }
        Ok(value) => Answer::Reading(value, written),
        Err(error) => Answer::Unclear(format!(
            "`{line}` is not understood: {}. Type a reading such as `{}`.",
            error.reason,
            example(unit)
        )),
    }
}

/// `5,98` is 5.98; `1,500` may be either, and is asked about.
fn decimal_comma(text: &str) -> Result<String, String> {
    let Some((whole, rest)) = text.split_once(',') else {
        return Ok(text.to_owned());
    };
    let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
    let leading_zero = whole.trim_start_matches(['-', '+']).trim() == "0";
    if rest.contains(',') || whole.contains('.') || (digits == 3 && !leading_zero) {
        let after = &rest[..digits];
        return Err(format!(
            "Is `{text}` {whole}.{after} or {whole}{after}? Type it with a point or without a comma."
        ));
    }
    Ok(format!("{whole}.{rest}"))
}

/// The unit meant by what follows the number; the step's own where nothing does.
fn symbol(letters: &str, unit: Unit) -> Option<&'static str> {
    let lower = letters.to_lowercase().replace('\u{2126}', "ω");
    match unit {
        Unit::Ohm => Some(match (letters, lower.as_str()) {
            (_, "" | "r" | "ω" | "ohm" | "ohms") => "Ω",
            (_, "k" | "kω" | "kohm" | "kohms" | "kr") => "kΩ",
            // A milliohm is nothing this procedure asks for.
            (_, "m" | "mω" | "mohm" | "mohms" | "meg" | "megohm") => "MΩ",
            _ => return None,
        }),
        _ => Some(match lower.as_str() {
            "" | "v" | "volt" | "volts" | "vdc" | "v dc" => "V",
            "mv" | "millivolt" | "millivolts" => "mV",
            _ => return None,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn volts(line: &str) -> Answer {
        answer(line, Unit::Volt)
    }

    #[test]
    fn what_tired_people_type_is_understood() {
        for (line, value, written) in [
            ("5,98", 5.98, "5.98 V"),
            ("5.98v", 5.98, "5.98 V"),
            ("-6 V", -6.0, "-6 V"),
            ("− 6,02 v", -6.02, "-6.02 V"),
            ("  +350 mv ", 0.35, "+350 mV"),
            ("0,350", 0.35, "0.350 V"),
            (".5", 0.5, ".5 V"),
        ] {
            assert_eq!(
                volts(line),
                Answer::Reading(value, written.into()),
                "{line}"
            );
        }
        for (line, value) in [
            ("6k", 6e3),
            ("4.7 K", 4.7e3),
            ("330", 330.0),
            ("1 meg", 1e6),
        ] {
            let Answer::Reading(found, _) = answer(line, Unit::Ohm) else {
                panic!("{line}");
            };
            assert!((found - value).abs() < 1e-9 * value, "{line}: {found}");
        }
        assert_eq!(
            answer("o.l", Unit::Ohm),
            Answer::Reading(f64::INFINITY, "OL Ω".into())
        );
    }

    #[test]
    fn what_may_mean_two_things_is_asked() {
        for line in [
            "1,500", "6k", "6 ohm", "12 kV", "2000", "OL", "skip", "bck", "yes", "5.9.8",
        ] {
            assert!(matches!(volts(line), Answer::Unclear(_)), "{line}");
        }
        assert_eq!(
            volts("skp no clip"),
            Answer::Unclear("`skp` is not understood. Did you mean `skip`?".into())
        );
        assert_eq!(volts("  "), Answer::Blank);
        assert_eq!(volts("SKIP no clip"), Answer::Skip("no clip".into()));
    }
}

//! The meter: how far its readings may be off, and how it loads what it measures.

use crate::quantity::{Unit, format_percent, format_short, parse_value};

/// A hand-held meter as its manual specifies it.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// What it is called.
    pub name: String,
    /// Accuracy on the voltage ranges.
    pub accuracy: Accuracy,
    /// Accuracy on the resistance ranges.
    pub resistance: Accuracy,
    /// What its last digit is worth.
    pub display: Display,
    /// Input resistance on the voltage ranges [Ω].
    pub input: f64,
    /// Reads true rms? Otherwise it shows 1.11 times the mean of the rectified voltage, which is
    /// right for sines only. `None` when the record does not say.
    pub true_rms: Option<bool>,
    /// What the record does not give, and what was taken instead, ready to print.
    pub assumed: Vec<&'static str>,
}

/// `0.5 % + 2 digits`: a share of the reading and a number of steps of the last digit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Share of the reading (0.005 for 0.5 %).
    pub share: f64,
    /// Steps of the last digit.
    pub digits: f64,
}

/// What the last digit is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Display {
    /// Counts of the display: 2000 for 3½ digits, whose largest reading is 1999.
    Counts(u32),
    /// The step itself, on every range [the reading's unit].
    Step(f64),
}

impl Default for Meter {
    /// A common hand-held meter (common practice); lead resistance of up to 0.5 Ω is in the digits
    /// of its resistance ranges.
    fn default() -> Self {
        Self {
            name: "hand-held meter".into(),
            accuracy: Accuracy {
                share: 0.005,
                digits: 2.0,
            },
            resistance: Accuracy {
                share: 0.01,
                digits: 5.0,
            },
            display: Display::Counts(2000),
            input: 1e7,
            true_rms: None,
            assumed: Vec::new(),
        }
    }
}

impl Meter {
    /// Full scale of the range that shows a value: the lowest that reaches beyond it. Ranges go in
    /// tens, 200 mV or 200 Ω the lowest on a display of 2000 counts.
    #[must_use]
    pub fn range(&self, value: f64, unit: Unit) -> f64 {
        let counts = match self.display {
            Display::Counts(counts) => f64::from(counts),
            Display::Step(step) => return step * 2000.0,
        };
        let mut full = counts * if unit == Unit::Ohm { 0.1 } else { 1e-4 };
        // A reading of full scale itself does not fit: 1999 is the most that 2000 counts show.
        while full <= value.abs() * (1.0 + 1e-12) && full < 1e9 {
            full *= 10.0;
        }
        full
    }

    /// Limit of error of a reading on a given range: share of the reading and digits.
    #[must_use]
    pub fn error(&self, reading: f64, range: f64, unit: Unit) -> f64 {
        let accuracy = if unit == Unit::Ohm {
            self.resistance
        } else {
            self.accuracy
        };
        let step = match self.display {
            Display::Counts(counts) => range / f64::from(counts),
            Display::Step(step) => step,
        };
        accuracy.share * reading.abs() + accuracy.digits * step
    }

    /// Limit of error of a reading on the range that suits it.
    #[must_use]
    pub fn limit(&self, reading: f64, unit: Unit) -> f64 {
        self.error(reading, self.range(reading, unit), unit)
    }

    /// Standard uncertainty of a reading: its limit of error taken as the half-width of a
    /// rectangular distribution, limit / √3 (JCGM 100, 4.3.7).
    #[must_use]
    pub fn uncertainty(&self, reading: f64, unit: Unit) -> f64 {
        self.limit(reading, unit) / libm::sqrt(3.0)
    }

    /// What the meter shows of a voltage behind a source resistance: it loads the point.
    #[must_use]
    pub fn loaded(&self, voltage: f64, source_resistance: f64) -> f64 {
        voltage * self.input / (self.input + source_resistance.max(0.0))
    }

    /// Reads a meter from one line: its name, and in any order after it accuracy, counts, input
    /// resistance and `true rms`, with commas between: `bench meter, 0.5 % + 2 digits, 2000 counts`.
    ///
    /// # Errors
    /// What is not understood, ready to print.
    pub fn parse(text: &str) -> Result<Self, String> {
        let mut meter = Self {
            assumed: vec!["accuracy", "resistance", "counts", "input"],
            ..Self::default()
        };
        let mut named = false;
        for piece in text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
            let mut given = |what: &str| meter.assumed.retain(|assumed| *assumed != what);
            let counts = piece
                .strip_suffix("counts")
                .and_then(|counts| counts.trim().parse::<u32>().ok())
                .filter(|counts| *counts >= 100);
            if let Some(accuracy) = Accuracy::parse(piece) {
                given("accuracy");
                meter.accuracy = accuracy;
            } else if let Some(counts) = counts {
                given("counts");
                meter.display = Display::Counts(counts);
            } else if let Ok(ohms) = parse_value(piece, Unit::Ohm)
                && ohms > 0.0
            {
                given("input");
                meter.input = ohms;
            } else if matches!(piece.to_lowercase().as_str(), "true rms" | "true-rms") {
                meter.true_rms = Some(true);
            } else if named || piece.starts_with(|c: char| c.is_ascii_digit()) {
                return Err(format!(
                    "`{piece}` is not understood. Write the meter as `bench meter, 0.5 % + 2 \
                     digits, 2000 counts, 10 MΩ, true rms`."
                ));
            } else {
                named = true;
                piece.clone_into(&mut meter.name);
            }
        }
        Ok(meter)
    }

    /// In words: `bench meter, ± (0.5 % + 2 digits), 2000 counts, 10 MΩ`.
    #[must_use]
    pub fn describe(&self) -> String {
        let display = match self.display {
            Display::Counts(counts) => format!("{counts} counts"),
            Display::Step(step) => format!("last digit {}", format_short(step, Unit::Volt)),
        };
        let mut words = format!(
            "{}, ± ({}), {display}, {}",
            self.name,
            self.accuracy.describe(),
            format_short(self.input, Unit::Ohm)
        );
        if self.true_rms == Some(true) {
            words.push_str(", true rms");
        }
        words
    }
}

impl Accuracy {
    /// As it is written: `0.5 % + 2 digits`.
    #[must_use]
    pub fn describe(&self) -> String {
        let share = format_percent(self.share, 3);
        let share = share.trim_end_matches(" %");
        let share = if share.contains('.') {
            share.trim_end_matches('0').trim_end_matches('.')
        } else {
            share
        };
        let digits = if (self.digits - 1.0).abs() < 1e-12 {
            "digit"
        } else {
            "digits"
        };
        format!("{share} % + {} {digits}", self.digits)
    }

    /// Reads `0.5 % + 2 digits`, `1 %`, `± (0.8 % + 1 digit)`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let text = text
            .trim()
            .trim_start_matches('±')
            .trim_start_matches("+/-")
            .trim();
        let text = text
            .strip_prefix('(')
            .and_then(|inner| inner.strip_suffix(')'))
            .unwrap_or(text);
        let (share, digits) = match text.split_once('+') {
            Some((share, digits)) => (share, Some(digits)),
            None => (text, None),
        };
        let share: f64 = share.trim().strip_suffix('%')?.trim().parse().ok()?;
        let digits: f64 = match digits {
            None => 0.0,
            Some(digits) => {
                let number = digits.trim().trim_end_matches(char::is_alphabetic).trim();
                let word = digits.trim()[number.len()..].trim();
                if !matches!(word, "digit" | "digits" | "dgt" | "d" | "counts" | "count") {
                    return None;
                }
                number.parse().ok()?
            }
        };
        let sane = (0.0..=50.0).contains(&share) && (0.0..=100.0).contains(&digits);
        sane.then_some(Self {
            share: share / 100.0,
            digits,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limit(reading: f64, accuracy: &str, step: f64) -> f64 {
        let meter = Meter {
            accuracy: Accuracy::parse(accuracy).expect("an accuracy"),
            display: Display::Step(step),
            ..Meter::default()
        };
        meter.limit(reading, Unit::Volt)
    }

    /// Accuracy examples of test-equipment makers' pages (confirmed; the fifth at second hand).
    #[test]
    fn published_examples_are_reached() {
        for (reading, accuracy, step, published) in [
            (100.0, "0.8 % + 2 digits", 0.1, 1.0),
            // A maker's page gives 99.8..101.2 V here; 98.8..101.2 V is right.
            (100.0, "1 % + 2 digits", 0.1, 1.2),
            (2.0, "0.5 % + 3 digits", 1e-3, 0.013),
            (2.0, "0.08 % + 2 digits", 1e-3, 0.0036),
            (120.0, "0.7 % + 2 digits", 0.1, 1.04),
        ] {
            assert!((limit(reading, accuracy, step) - published).abs() < 1e-12);
        }
        // Printed as 0.0098 V.
        assert!((limit(1.755, "0.5 % + 1 digit", 1e-3) - 0.0098).abs() < 5e-5);
    }

    #[test]
    fn the_range_is_the_next_above() {
        let meter = Meter::default();
        for (value, unit, full) in [
            (1.9, Unit::Volt, 2.0),
            (2.0, Unit::Volt, 20.0),
            (-25.0, Unit::Volt, 200.0),
            (0.01, Unit::Volt, 0.2),
            (150.0, Unit::Ohm, 200.0),
            (4700.0, Unit::Ohm, 20e3),
        ] {
            assert!(
                (meter.range(value, unit) / full - 1.0).abs() < 1e-9,
                "{value}"
            );
        }
    }

    #[test]
    fn an_accuracy_is_read_as_manuals_write_it() {
        assert_eq!(Accuracy::parse("0.5 % + 2"), None);
        assert_eq!(Accuracy::parse("half a per cent"), None);
        assert_eq!(Accuracy::parse("0.5 %").map(|a| a.digits), Some(0.0));
        let accuracy = Accuracy::parse("± (0.5 % + 2 dgt)").expect("an accuracy");
        assert_eq!(accuracy.describe(), "0.5 % + 2 digits");
    }

    /// Ten megohms behind one megohm read an eleventh low (Ohm's law).
    #[test]
    fn the_meter_loads_what_it_measures() {
        assert!((Meter::default().loaded(11.0, 1e6) - 10.0).abs() < 1e-12);
    }
}

//! The meter and how far its readings may be off.

/// A meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// What it is called.
    pub name: String,
    /// Accuracy by its specification.
    pub accuracy: Option<Accuracy>,
    /// Counts of its display (2000 for 3½ digits).
    pub counts: Option<u32>,
    /// Step of its last digit, when the file gives it instead of the counts [the reading's unit].
    pub resolution: Option<f64>,
    /// Input resistance [Ω].
    pub input: f64,
    /// `true` when the file did not give the input resistance and 10 MΩ was taken.
    pub input_assumed: bool,
    /// Reads true rms?
    pub true_rms: Option<bool>,
}

/// `0.5 % + 2 digits`: a share of the reading and a number of steps of the last digit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Share of the reading (0.005 for 0.5 %).
    pub share: f64,
    /// Steps of the last digit.
    pub digits: f64,
}

impl Meter {
    /// Step of the last digit on the range that shows `reading`: the smallest power of ten with
    /// which the counts reach that far. `None` when neither counts nor resolution are known.
    #[must_use]
    pub fn step(&self, reading: f64) -> Option<f64> {
        if self.resolution.is_some() {
            return self.resolution;
        }
        let counts = f64::from(self.counts?);
        // The lowest usual range of a hand meter ends at 200 mV.
        let reach = reading.abs().max(0.1);
        let power = libm::ceil(libm::log10(reach / counts) - 1e-9);
        Some(libm::pow(10.0, power))
    }

    /// How far the true value may lie from a reading, either way, by the meter's specification:
    /// `share · |reading| + digits · step`. `None` when the specification is not known.
    #[must_use]
    pub fn uncertainty(&self, reading: f64) -> Option<f64> {
        let accuracy = self.accuracy?;
        let steps = if accuracy.digits > 0.0 {
            accuracy.digits * self.step(reading)?
        } else {
            0.0
        };
        Some(accuracy.share * reading.abs() + steps)
    }
}

impl Accuracy {
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

//! What a hand-held meter adds to a reading: its accuracy and its load.

/// A meter's DC-voltage specification.
#[derive(Debug, Clone, PartialEq)]
pub struct Meter {
    /// Name as written, e.g. `bench meter`.
    pub name: String,
    /// Share of reading, e.g. 0.005.
    pub reading: f64,
    /// Digits of the last place.
    pub digits: f64,
    /// Counts of the display, e.g. 2000 (1999 is the largest reading).
    pub counts: f64,
    /// Input resistance [Ω].
    pub input_resistance: f64,
}

impl Default for Meter {
    /// A common hand-held meter: ± (0.5 % of reading + 2 digits), 2000 counts, 10 MΩ
    /// (common practice).
    fn default() -> Self {
        Self {
            name: "hand-held meter, ± (0.5 % + 2 digits), 2000 counts, 10 MΩ".into(),
            reading: 0.005,
            digits: 2.0,
            counts: 2000.0,
            input_resistance: 1e7,
        }
    }
}

impl Meter {
    /// The range for a voltage [V]: full scale.
    #[must_use]
    pub fn range(&self, voltage: f64) -> f64 {
        let mut full = self.counts * 1e-4;
        while full <= voltage.abs() && full < 1e3 {
            full *= 10.0;
        }
        full
    }

    /// Limit of error of a reading on the range that its highest expected value needs [V].
    #[must_use]
    pub fn error(&self, reading: f64, range: f64) -> f64 {
        self.reading * reading.abs() + self.digits * range / self.counts
    }

    /// What the meter shows of a voltage behind a source resistance: it loads the point.
    #[must_use]
    pub fn loaded(&self, voltage: f64, source_resistance: f64) -> f64 {
        voltage * self.input_resistance / (self.input_resistance + source_resistance.max(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::Meter;

    fn error(reading: f64, share: f64, digits: f64, resolution: f64) -> f64 {
        let meter = Meter {
            reading: share,
            digits,
            counts: 2000.0,
            ..Meter::default()
        };
        meter.error(reading, resolution * 2000.0)
    }

    /// Published accuracy examples (test-equipment makers' pages, confirmed).
    #[test]
    fn published_examples_are_reached() {
        assert!((error(100.0, 0.008, 2.0, 0.1) - 1.0).abs() < 1e-12);
        // A maker's page gives 99.8..101.2 V here; 98.8..101.2 V is right.
        assert!((error(100.0, 0.01, 2.0, 0.1) - 1.2).abs() < 1e-12);
        assert!((error(2.0, 0.005, 3.0, 1e-3) - 0.013).abs() < 1e-12);
        assert!((error(2.0, 0.0008, 2.0, 1e-3) - 0.0036).abs() < 1e-12);
    }

    #[test]
    fn the_range_is_the_next_above() {
        let meter = Meter::default();
        assert!((meter.range(1.9) - 2.0).abs() < 1e-9);
        assert!((meter.range(2.0) - 20.0).abs() < 1e-9);
        assert!((meter.range(-25.0) - 200.0).abs() < 1e-9);
    }
}

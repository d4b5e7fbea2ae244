//! A value with its lowest and highest possible reading.

/// Low, nominal and high of one figure, in the unit of whatever holds it. `low ≤ nominal ≤ high`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Spread {
    /// Lowest value.
    pub low: f64,
    /// Nominal (typical) value.
    pub nominal: f64,
    /// Highest value.
    pub high: f64,
}

impl Spread {
    /// A figure without spread.
    #[must_use]
    pub fn exact(value: f64) -> Self {
        Self {
            low: value,
            nominal: value,
            high: value,
        }
    }

    /// Nominal with a relative tolerance on both sides (`0.05` for ± 5 %).
    #[must_use]
    pub fn relative(nominal: f64, tolerance: f64) -> Self {
        let reach = (nominal * tolerance).abs();
        Self {
            low: nominal - reach,
            nominal,
            high: nominal + reach,
        }
    }

    /// True when low and high differ.
    #[must_use]
    pub fn is_spread(&self) -> bool {
        self.low < self.high
    }
}

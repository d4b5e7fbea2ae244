//! The units that designs, catalogues and reports speak in.

/// A unit of measure. Values are held in it without prefix (volts, farads, degrees Celsius …).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unit {
    /// V
    Volt,
    /// A
    Ampere,
    /// Ω
    Ohm,
    /// S
    Siemens,
    /// F
    Farad,
    /// H
    Henry,
    /// W
    Watt,
    /// VA
    VoltAmpere,
    /// °C
    Celsius,
    /// K (a temperature difference)
    Kelvin,
    /// K/W
    KelvinPerWatt,
    /// V/K
    VoltPerKelvin,
    /// Hz
    Hertz,
    /// s
    Second,
    /// h
    Hour,
    /// m
    Metre,
    /// A²s
    AmpereSquaredSecond,
    /// dB
    Decibel,
    /// A pure number; printed as per cent where a share is meant.
    Ratio,
}

impl Unit {
    /// Every unit.
    pub const ALL: &'static [Self] = &[
        Self::Volt,
        Self::Ampere,
        Self::Ohm,
        Self::Siemens,
        Self::Farad,
        Self::Henry,
        Self::Watt,
        Self::VoltAmpere,
        Self::Celsius,
        Self::Kelvin,
        Self::KelvinPerWatt,
        Self::VoltPerKelvin,
        Self::Hertz,
        Self::Second,
        Self::Hour,
        Self::Metre,
        Self::AmpereSquaredSecond,
        Self::Decibel,
        Self::Ratio,
    ];

    /// What is measured in it, with its article, for messages.
    #[must_use]
    pub fn quantity(self) -> &'static str {
        match self {
            Self::Volt => "a voltage",
            Self::Ampere => "a current",
            Self::Ohm => "a resistance",
            Self::Siemens => "a conductance",
            Self::Farad => "a capacitance",
            Self::Henry => "an inductance",
            Self::Watt => "a power",
            Self::VoltAmpere => "an apparent power",
            Self::Celsius => "a temperature",
            Self::Kelvin => "a temperature difference",
            Self::KelvinPerWatt => "a thermal resistance",
            Self::VoltPerKelvin => "a temperature coefficient",
            Self::Hertz => "a frequency",
            Self::Second => "a time",
            Self::Hour => "a life in hours",
            Self::Metre => "a length",
            Self::AmpereSquaredSecond => "a melting integral",
            Self::Decibel => "a level",
            Self::Ratio => "a pure number",
        }
    }

    /// The symbol printed after a value.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Volt => "V",
            Self::Ampere => "A",
            Self::Ohm => "Ω",
            Self::Siemens => "S",
            Self::Farad => "F",
            Self::Henry => "H",
            Self::Watt => "W",
            Self::VoltAmpere => "VA",
            Self::Celsius => "°C",
            Self::Kelvin => "K",
            Self::KelvinPerWatt => "K/W",
            Self::VoltPerKelvin => "V/K",
            Self::Hertz => "Hz",
            Self::Second => "s",
            Self::Hour => "h",
            Self::Metre => "m",
            Self::AmpereSquaredSecond => "A²s",
            Self::Decibel => "dB",
            Self::Ratio => "",
        }
    }
}

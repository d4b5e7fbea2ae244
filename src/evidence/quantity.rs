//! What is observed of nets and parts.

use crate::quantity::Unit;

/// What is observed of a net, against `gnd` [V].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measure {
    /// Mean over a mains period.
    Mean,
    /// Lowest instant.
    Minimum,
    /// Highest instant.
    Maximum,
    /// Peak-to-peak.
    Ripple,
}

/// What is observed of a part in the steady state, unless it says otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stress {
    /// Highest instantaneous voltage the working way round [V]: capacitor `positive − negative`
    /// (either way for an unpolarised one), resistor, switch and fuse either way, LED forward.
    PeakVoltage,
    /// Highest instantaneous voltage the wrong way round [V]: diode `cathode − anode`,
    /// electrolytic `negative − positive`. Negative when it never reverses.
    ReverseVoltage,
    /// Mean current [A]: diode forward, source delivering, regulator out, op-amp out, contact.
    CurrentMean,
    /// Rms current [A]: capacitor ripple current, winding current, resistor, contact.
    CurrentRms,
    /// Highest instantaneous current [A], repeating every period.
    CurrentPeak,
    /// Highest instantaneous current after switch-on at the worst phase [A].
    Surge,
    /// Peak of the half-cycle of 8.3 ms that heats a junction as much as the surge after switch-on
    /// does, or the surge itself where that is less [A].
    SurgeHalfCycle,
    /// Mean dissipation [W].
    Dissipation,
    /// Rms volt-amperes delivered by a winding or adaptor [VA].
    ApparentPower,
    /// Highest instantaneous input voltage of a regulator, input to common, in its own polarity [V].
    InputVoltage,
    /// Highest instantaneous input-to-output voltage of a regulator [V].
    InputOutput,
    /// Lowest instantaneous input-to-output voltage of a regulator [V].
    Headroom,
    /// Highest instantaneous voltage by which a regulator's output stands beyond its input [V].
    BackBias,
    /// Lowest distance of an op-amp's output to its positive supply [V].
    OutputHeadroomHigh,
    /// Lowest distance of an op-amp's output to its negative supply [V].
    OutputHeadroomLow,
    /// Total supply of an op-amp [V].
    Supply,
    /// Mean collector current of an optocoupler [A].
    CollectorCurrent,
    /// Mean collector current over mean LED current of an optocoupler; 0 while the LED is dark.
    TransferRatio,
    /// Power a supply delivers [W].
    Delivered,
    /// Temperature of the air in the box around the part [°C].
    Air,
    /// Junction (or hot-spot) temperature [°C].
    Junction,
}

impl Stress {
    /// Its unit.
    #[must_use]
    pub fn unit(self) -> Unit {
        match self {
            Self::PeakVoltage
            | Self::ReverseVoltage
            | Self::InputVoltage
            | Self::InputOutput
            | Self::Headroom
            | Self::BackBias
            | Self::OutputHeadroomHigh
            | Self::OutputHeadroomLow
            | Self::Supply => Unit::Volt,
            Self::CurrentMean
            | Self::CurrentRms
            | Self::CurrentPeak
            | Self::CollectorCurrent
            | Self::Surge
            | Self::SurgeHalfCycle => Unit::Ampere,
            Self::TransferRatio => Unit::Ratio,
            Self::Dissipation | Self::Delivered => Unit::Watt,
            Self::ApparentPower => Unit::VoltAmpere,
            Self::Air | Self::Junction => Unit::Celsius,
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::PeakVoltage => "peak voltage",
            Self::ReverseVoltage => "peak reverse voltage",
            Self::CurrentMean => "mean current",
            Self::CurrentRms => "rms current",
            Self::CurrentPeak => "repetitive peak current",
            Self::Surge => "switch-on surge",
            Self::SurgeHalfCycle => "switch-on surge as a half-cycle",
            Self::Dissipation => "dissipation",
            Self::ApparentPower => "apparent power",
            Self::InputVoltage => "input voltage",
            Self::InputOutput => "input-to-output voltage",
            Self::Headroom => "least headroom",
            Self::BackBias => "output above input",
            Self::OutputHeadroomHigh => "output to positive supply",
            Self::OutputHeadroomLow => "output to negative supply",
            Self::Supply => "supply voltage",
            Self::CollectorCurrent => "mean collector current",
            Self::TransferRatio => "collector current over LED current",
            Self::Delivered => "power delivered",
            Self::Air => "air temperature",
            Self::Junction => "junction temperature",
        }
    }
}

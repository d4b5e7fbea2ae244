//! Derating: which share of its rating a part may be used at, by policy and kind.
//!
//! Benign is indoor, attended service; severe is a hot van and a touring rack. The figures of the
//! System Reliability Center's table were seen; those of the other standards are from memory.

use crate::catalogue::Kind;
use crate::design::Derating;

/// An allowed share of a rating, and who says so.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowance {
    /// Share of the rating, 0..=1.
    pub share: f64,
    /// Which derating it is: `benign derating`.
    pub words: &'static str,
}

impl Allowance {
    /// In words: `80 % of 35.0 V, benign derating`.
    #[must_use]
    pub fn of(&self, rating: &str) -> String {
        format!("{:.0} % of {rating}, {}", self.share * 100.0, self.words)
    }
}

fn choose(
    policy: Derating,
    severe: (f64, &'static str),
    benign: (f64, &'static str),
) -> Option<Allowance> {
    let (share, words) = match policy {
        Derating::Severe => severe,
        Derating::Benign => benign,
        Derating::None => return None,
    };
    Some(Allowance { share, words })
}

/// Working voltage of a capacitor, share of its rated voltage; `None` where nothing is derated.
#[must_use]
pub fn capacitor_voltage(policy: Derating, kind: Kind) -> Option<Allowance> {
    match kind {
        Kind::Electrolytic => choose(policy, (0.7, "severe derating"), (0.8, "benign derating")),
        Kind::Tantalum => choose(
            policy,
            (0.5, "severe derating, low-impedance rail"),
            (0.5, "derating for a low-impedance rail"),
        ),
        _ => choose(policy, (0.6, "severe derating"), (0.7, "benign derating")),
    }
}

/// Reverse voltage of a diode, share of its repetitive rating.
#[must_use]
pub fn diode_voltage(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.7, "severe derating"), (0.8, "benign derating"))
}

/// Switch-on surge of a diode, share of its one-cycle rating.
#[must_use]
pub fn diode_surge(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.5, "severe derating"), (0.75, "benign derating"))
}

/// Power of resistors, potentiometers and zeners, share of the rating.
#[must_use]
pub fn power(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.5, "severe derating"), (0.6, "benign derating"))
}

/// Current of an LED, share of its continuous rating.
#[must_use]
pub fn led_current(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.6, "severe derating"), (0.75, "benign derating"))
}

/// Input voltage of a linear regulator, share of its absolute maximum.
#[must_use]
pub fn regulator_input(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.8, "severe derating"), (0.9, "benign derating"))
}

/// Output current of a linear regulator, share of its rating.
#[must_use]
pub fn regulator_current(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.75, "severe derating"), (0.8, "benign derating"))
}

/// Contact current, share of the resistive rating.
#[must_use]
pub fn contact_current(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.5, "severe derating"), (0.75, "benign derating"))
}

/// Current through a connector, share of its rating.
#[must_use]
pub fn connector_current(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.7, "severe derating"), (0.85, "benign derating"))
}

/// Voltage between a connector's contacts, share of its rated voltage. The table gives the share
/// of the voltage withstood, which is higher: of the rated one it is on the safe side.
#[must_use]
pub fn connector_voltage(policy: Derating) -> Option<Allowance> {
    choose(policy, (0.7, "severe derating"), (0.8, "benign derating"))
}

/// Highest junction temperature to run at [°C], of a part whose limit is `limit`, in words.
#[must_use]
pub fn junction(policy: Derating, limit: f64) -> Option<(f64, &'static str)> {
    match policy {
        Derating::Severe => Some((
            (limit - 40.0).min(95.0),
            "severe derating: 40 K below its limit and 95 °C at most",
        )),
        Derating::Benign => Some((
            (limit - 25.0).min(110.0),
            "benign derating: 25 K below its limit and 110 °C at most",
        )),
        Derating::None => None,
    }
}

/// How far below its temperature limit a capacitor is to stay [K].
#[must_use]
pub fn capacitor_temperature(policy: Derating, kind: Kind) -> Option<f64> {
    if policy == Derating::None {
        return None;
    }
    Some(match kind {
        Kind::Electrolytic | Kind::Tantalum => 20.0,
        _ => 10.0,
    })
}

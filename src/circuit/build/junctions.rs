//! Diodes of every sort and transistors.

use super::Builder;
use crate::catalogue::{self, Drop, Kind, Property};
use crate::circuit::{Bipolar, Breakdown, Junction, Model, Mosfet, Node};
use crate::design::Part;
use crate::situations::Level;

/// Temperature at which the catalogue's fits hold [K].
const REFERENCE_TEMPERATURE: f64 = 298.15;
/// Conductance across every junction [S]; keeps a reversed one from floating.
const SHUNT: f64 = 1e-12;

/// kT/q [V] at a temperature [K].
#[must_use]
pub fn thermal_voltage(temperature: f64) -> f64 {
    1.380_649e-23 * temperature / 1.602_176_634e-19
}

/// A silicon junction of no particular type (0.7 V at a few milliamperes).
pub(super) fn ideal_junction(thermal_voltage: f64, series_resistance: f64) -> Junction {
    Junction {
        saturation_current: 1e-14,
        ideality: 1.0,
        series_resistance,
        shunt_conductance: SHUNT,
        thermal_voltage,
        breakdown: None,
    }
}

/// Saturation current at a temperature: `Is · (T/T0)^(Xti/N) · exp(−Eg/(N·k) · (1/T − 1/T0))`,
/// with Eg [eV] and Xti the usual silicon (1.11 eV, 3) values, the temperature law of the
/// Shockley model as textbooks give it; for a Schottky barrier 0.69 eV and 2.
fn warm_saturation(current: f64, ideality: f64, temperature: f64, gap: f64, exponent: f64) -> f64 {
    let ratio = temperature / REFERENCE_TEMPERATURE;
    let boltzmann = 8.617_333_262e-5;
    current
        * libm::pow(ratio, exponent / ideality)
        * libm::exp(
            -gap / (ideality * boltzmann) * (1.0 / temperature - 1.0 / REFERENCE_TEMPERATURE),
        )
}

impl Builder<'_> {
    pub(super) fn semiconductor(&mut self, part: &Part) {
        let name = part.reference.clone();
        match part.kind {
            Kind::Bridge => {
                let Some(junction) = self.junction(part) else {
                    self.lacks(part, "forward characteristic");
                    return;
                };
                let legs = [
                    ("ac1", "positive", "ac1+"),
                    ("ac2", "positive", "ac2+"),
                    ("negative", "ac1", "ac1-"),
                    ("negative", "ac2", "ac2-"),
                ];
                for (anode, cathode, leg) in legs {
                    if let Some((anode, cathode)) = self.pair(part, &[(anode, cathode)]) {
                        self.diode(format!("{name}.{leg}"), anode, cathode, junction);
                    }
                }
            }
            Kind::Bipolar => self.bipolar(part),
            Kind::Mosfet => self.mosfet(part),
            _ => {
                if let Some((anode, cathode)) = self.pair(part, &[("anode", "cathode"), ("a", "b")])
                {
                    if let Some(junction) = self.junction(part) {
                        self.diode(name, anode, cathode, junction);
                    } else {
                        self.lacks(part, "forward characteristic or breakdown voltage");
                    }
                }
            }
        }
    }

    pub(super) fn diode(
        &mut self,
        name: impl Into<String>,
        anode: Node,
        cathode: Node,
        junction: Junction,
    ) {
        self.push(
            name,
            Model::Diode {
                anode,
                cathode,
                junction,
            },
        );
    }

    pub(super) fn junction(&self, part: &Part) -> Option<Junction> {
        let temperature = self.temperature(part);
        let mut junction = ideal_junction(thermal_voltage(temperature), 0.1);
        if matches!(part.kind, Kind::Zener | Kind::TransientSuppressor) {
            let resistance = Self::nominal(part, Property::DynamicResistance).unwrap_or(5.0);
            let current = Self::nominal(part, Property::TestCurrent).unwrap_or(5e-3);
            let ideality = 1.0;
            let drift = Self::nominal(part, Property::TemperatureCoefficient).unwrap_or(0.0);
            let voltage =
                self.figure(part, Property::Value)? + drift * (temperature - REFERENCE_TEMPERATURE);
            // The datasheet's dynamic resistance holds the knee's own N·Vt/I as well.
            let knee = ideality * junction.thermal_voltage / current;
            junction.series_resistance = (resistance - knee).max(0.1);
            junction.breakdown = Some(Breakdown {
                voltage: voltage - current * junction.series_resistance,
                current,
                ideality,
            });
            return Some(junction);
        }
        let (saturation, ideality, resistance) = self.forward(part)?;
        let (gap, exponent) = if part.word("technology") == Some("schottky") {
            (0.69, 2.0)
        } else {
            (1.11, 3.0)
        };
        junction.saturation_current =
            warm_saturation(saturation, ideality, temperature, gap, exponent);
        junction.ideality = ideality;
        junction.series_resistance = resistance;
        junction.breakdown = part
            .figure(Property::ReverseVoltage)
            .map(|limit| Breakdown {
                // Makers guarantee the rating; real parts break down some way above it.
                voltage: 1.2 * limit.spread.nominal,
                current: 1e-5,
                ideality: 10.0,
            });
        Some(junction)
    }

    /// Is [A], N and Rs [Ω] of a junction at 25 °C: the design's own figures where it gives them,
    /// else the catalogue's fit at the level of the part's forward drop.
    fn forward(&self, part: &Part) -> Option<(f64, f64, f64)> {
        let nominal = |property| Self::nominal(part, property);
        if let (Some(saturation), Some(ideality)) = (
            nominal(Property::SaturationCurrent),
            nominal(Property::Ideality),
        ) {
            return Some((
                saturation,
                ideality,
                nominal(Property::SeriesResistance).unwrap_or(0.1),
            ));
        }
        let fits = catalogue::fits_for(part.kind, part.type_name.as_deref(), part.word("colour"))?;
        let fit = fits.at(match self.drop_level(part) {
            Level::Low => Drop::Low,
            Level::High => Drop::High,
            // There are three fits and nothing between them: an extreme inside lies within half of
            // the way, nearest to the typical one.
            Level::Nominal | Level::Between(_) => Drop::Typical,
        });
        Some((fit.saturation_current, fit.ideality, fit.series_resistance))
    }

    fn bipolar(&mut self, part: &Part) {
        let (Some(base), Some(collector), Some(emitter)) = (
            self.terminal(part, "base"),
            self.terminal(part, "collector"),
            self.terminal(part, "emitter"),
        ) else {
            return;
        };
        let temperature = self.temperature(part);
        let bipolar = Bipolar {
            pnp: part.word("polarity") == Some("pnp"),
            saturation_current: warm_saturation(
                Self::nominal(part, Property::SaturationCurrent).unwrap_or(1e-14),
                1.0,
                temperature,
                1.11,
                3.0,
            ),
            forward_gain: self.figure_or(part, Property::Gain, 100.0),
            reverse_gain: 2.0,
            thermal_voltage: thermal_voltage(temperature),
        };
        self.push(
            part.reference.as_str(),
            Model::Bipolar {
                base,
                collector,
                emitter,
                bipolar,
            },
        );
    }

    fn mosfet(&mut self, part: &Part) {
        let (Some(gate), Some(drain), Some(source)) = (
            self.terminal(part, "gate"),
            self.terminal(part, "drain"),
            self.terminal(part, "source"),
        ) else {
            return;
        };
        let current = Self::nominal(part, Property::Current).unwrap_or(0.2);
        let transconductance = Self::nominal(part, Property::Transconductance).unwrap_or(0.1);
        let mosfet = Mosfet {
            p_channel: part.word("polarity") == Some("p-channel"),
            threshold: self.figure_or(part, Property::Threshold, 2.0).abs(),
            // gm = √(2 k I) at the rated current gives k.
            transconductance: transconductance * transconductance / (2.0 * current),
            on_resistance: self.figure_or(part, Property::Resistance, 1.0),
            body: ideal_junction(thermal_voltage(self.temperature(part)), 0.1),
        };
        self.push(
            part.reference.as_str(),
            Model::Mosfet {
                gate,
                drain,
                source,
                mosfet,
            },
        );
    }
}

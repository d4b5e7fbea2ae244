//! Resistors, potentiometers, capacitors, inductors, fuses, lamps, sensors, links and loads.

use super::Builder;
use crate::catalogue::{Kind, Property};
use crate::circuit::{Model, Node, Regulator};
use crate::design::{Part, Structure};

/// Resistance of a wire link or a closed contact whose maker says nothing [Ω].
pub(super) const CONTACT: f64 = 0.02;

impl Builder<'_> {
    pub(super) fn passive(&mut self, part: &Part) {
        let name = part.reference.as_str();
        if part.kind == Kind::Potentiometer {
            self.potentiometer(part);
            return;
        }
        let pairs = [("a", "b"), ("positive", "negative"), ("anode", "cathode")];
        let Some((a, b)) = self.pair(part, &pairs) else {
            return;
        };
        match part.kind {
            Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film => {
                self.capacitor(part, a, b);
            }
            Kind::Inductor => {
                let inductance = self.figure_or(part, Property::Value, 1e-3);
                let resistance = self.figure_or(part, Property::Resistance, 0.1);
                self.push(
                    name,
                    Model::Inductor {
                        a,
                        b,
                        inductance,
                        resistance,
                    },
                );
            }
            Kind::Load => self.load(part, a, b),
            _ => {
                if let Some(resistance) = self.ohms(part) {
                    self.resistor(name, a, b, resistance);
                } else {
                    self.lacks(part, "resistance");
                }
            }
        }
    }

    /// The resistance of a two-terminal part that is one.
    fn ohms(&self, part: &Part) -> Option<f64> {
        match part.kind {
            Kind::Resistor => self.figure(part, Property::Value),
            Kind::Thermistor => {
                // R(T) = R25 · exp(B (1/T − 1/298.15)), the B-parameter equation.
                let r25 = self.figure(part, Property::Value)?;
                let beta = self.figure(part, Property::Beta).unwrap_or(0.0);
                Some(r25 * libm::exp(beta * (1.0 / self.temperature(part) - 1.0 / 298.15)))
            }
            Kind::Fuse => self.figure(part, Property::Resistance).or_else(|| {
                // A fuse drops of the order of 0.2 V at its rating (common practice).
                Self::nominal(part, Property::Current).map(|current| 0.2 / current)
            }),
            Kind::Ptc => self
                .figure(part, Property::Resistance)
                .or_else(|| self.figure(part, Property::Value))
                .or_else(|| Self::nominal(part, Property::HoldCurrent).map(|hold| 0.3 / hold)),
            Kind::Lamp => self.figure(part, Property::Resistance).or_else(|| {
                Some(
                    Self::nominal(part, Property::Voltage)?
                        / Self::nominal(part, Property::Current)?,
                )
            }),
            Kind::Sensor => {
                let range = part.figure(Property::Resistance)?.spread;
                let travel = self.situation.state.travel.get(&part.reference).copied();
                Some(sensor(
                    range.low,
                    range.high,
                    travel.unwrap_or(0.5),
                    &part.structure,
                ))
            }
            Kind::WireLink => Some(self.figure_or(part, Property::Resistance, CONTACT)),
            _ => None,
        }
    }

    /// Two resistances in series with the wiper between; the ends keep their end resistance.
    fn potentiometer(&mut self, part: &Part) {
        let Some(total) = self.figure(part, Property::Value) else {
            self.lacks(part, "value");
            return;
        };
        let end = self.figure_or(part, Property::EndResistance, 0.0);
        let travel = self
            .situation
            .state
            .travel
            .get(&part.reference)
            .copied()
            .unwrap_or(0.5);
        let share = law(
            part.word("law").unwrap_or("linear"),
            &part.structure,
            travel,
        );
        let wiper = self.terminal(part, "wiper");
        let ends = [("cw", "top", 1.0 - share), ("ccw", "bottom", share)];
        let nodes: Vec<Option<Node>> = ends
            .iter()
            .map(|(terminal, ..)| self.terminal(part, terminal))
            .collect();
        if let Some(wiper) = wiper {
            for ((_, section, share), node) in ends.iter().zip(&nodes) {
                if let Some(node) = node {
                    let name = format!("{}.{section}", part.reference);
                    self.resistor(name, *node, wiper, end + share * total);
                }
            }
        } else if let [Some(top), Some(bottom)] = nodes[..] {
            self.resistor(
                format!("{}.top", part.reference),
                top,
                bottom,
                total + 2.0 * end,
            );
        }
    }

    fn capacitor(&mut self, part: &Part, positive: Node, negative: Node) {
        let Some(capacitance) = self.figure(part, Property::Value) else {
            self.lacks(part, "value");
            return;
        };
        let esr = self.figure_or(part, Property::Esr, 0.01);
        let leakage = match (
            Self::nominal(part, Property::LeakageCurrent),
            Self::nominal(part, Property::Rating),
        ) {
            (Some(current), Some(rating)) => current / rating,
            _ => 0.0,
        };
        self.push(
            part.reference.as_str(),
            Model::Capacitor {
                positive,
                negative,
                capacitance,
                esr,
                leakage,
            },
        );
    }

    /// A load given as a current draws it for as long as there is voltage to draw it with; one
    /// given as a resistance is a resistor.
    fn load(&mut self, part: &Part, a: Node, b: Node) {
        let name = part.reference.as_str();
        if let Some(resistance) = self.figure(part, Property::Resistance) {
            self.resistor(name, a, b, resistance);
        } else if let Some(current) = self.figure(part, Property::Current) {
            let current = current.max(1e-9);
            let regulator = Regulator {
                negative: false,
                reference: 1e3,
                line: 0.0,
                line_from: 0.0,
                output_resistance: 1.0,
                dropout: 0.0,
                dropout_resistance: 0.5 / current,
                limit: current,
                smoothing: current * 1e-3,
                quiescent: 0.0,
                quiescent_knee: 1.0,
                reverse: None,
                beyond: None,
            };
            self.push(
                name,
                Model::Regulator {
                    input: a,
                    output: b,
                    common: b,
                    regulator,
                },
            );
        } else {
            self.lacks(part, "current or resistance");
        }
    }
}

/// Share of a potentiometer's resistance between `ccw` and the wiper at a travel of 0..=1.
///
/// Audio: 15 % at mid travel, two straight pieces, as carbon tracks are made; reverse-audio is its
/// mirror. A table is interpolated.
#[must_use]
pub fn law(law: &str, structure: &Structure, travel: f64) -> f64 {
    const MID: f64 = 0.15;
    let audio = |x: f64| {
        if x < 0.5 {
            2.0 * MID * x
        } else {
            MID + (1.0 - MID) * (2.0 * x - 1.0)
        }
    };
    if let Structure::Law(points) = structure {
        return interpolate(points, travel);
    }
    match law {
        "audio" => audio(travel),
        "reverse-audio" => 1.0 - audio(1.0 - travel),
        _ => travel,
    }
}

/// A sensor's resistance: by its table if it has one, else even steps, on a logarithmic scale when
/// its range covers more than a factor of twenty.
fn sensor(low: f64, high: f64, travel: f64, structure: &Structure) -> f64 {
    if let Structure::Law(points) = structure {
        return low + (high - low) * interpolate(points, travel);
    }
    if low > 0.0 && high > 20.0 * low {
        low * libm::pow(high / low, travel)
    } else {
        low + (high - low) * travel
    }
}

fn interpolate(points: &[(f64, f64)], x: f64) -> f64 {
    let Some(after) = points.iter().position(|point| point.0 >= x) else {
        return points.last().map_or(x, |point| point.1);
    };
    if after == 0 {
        return points[0].1;
    }
    let (x0, y0) = points[after - 1];
    let (x1, y1) = points[after];
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}

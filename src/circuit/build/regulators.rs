//! Linear regulators, fixed and adjustable, and shunt references.

use super::Builder;
use super::junctions::{ideal_junction, thermal_voltage};
use crate::catalogue::{Kind, Property};
use crate::circuit::{Beyond, Model, Regulator, ShuntReference};
use crate::design::Part;
use crate::quantity::Spread;
use crate::situations::{Level, Parameter};

/// A fixed regulator's own divider from output to ground, which keeps an unloaded output from
/// drifting up to the input [Ω]. From memory, the order of magnitude in makers' schematics;
/// adjustable types have none and need a least load outside.
const INNER_DIVIDER: f64 = 10e3;

/// What a unit at an end of its spread still falls by from no load to the rated current [V], and
/// so how far it may be from that end: a solved circuit needs some output resistance.
const END_DROP: f64 = 1e-4;

impl Builder<'_> {
    pub(super) fn regulator(&mut self, part: &Part) {
        if part.kind == Kind::ShuntReference {
            self.shunt_reference(part);
            return;
        }
        let common = if part.kind == Kind::AdjustableRegulator {
            "adjust"
        } else {
            "ground"
        };
        let (Some(input), Some(output)) = (self.terminal(part, "in"), self.terminal(part, "out"))
        else {
            return;
        };
        // An open ground or adjust pin is a fault of its own; the node floats and says so.
        let common = self
            .terminal(part, common)
            .unwrap_or_else(|| self.node(&format!("{}.{common}", part.reference)));
        if let Some(regulator) = self.regulator_model(part) {
            self.push(
                part.reference.as_str(),
                Model::Regulator {
                    input,
                    output,
                    common,
                    regulator,
                },
            );
            if part.kind == Kind::Regulator {
                let name = format!("{} inner divider", part.reference);
                self.resistor(name, output, common, INNER_DIVIDER);
            }
        } else {
            self.lacks(part, "output, current or drop-out voltage");
        }
    }

    /// What a maker publishes over input, load and temperature together is where the output of
    /// some unit may stand anywhere in that range, and of none beyond it. So there are three
    /// units. The nominal one has typical line and load regulation: the ripple that reaches the
    /// output is its own, and the corner search finds the largest there. The highest and the
    /// lowest one stand at the published end at every input and load of the specified range, and
    /// leave it outside: with the input by the larger of the line regulation and the ripple
    /// rejection, with the load by the load regulation. Between them all of it is interpolated.
    ///
    /// A sloped unit at the end of the spread would either fall short of the end at some input or
    /// pass it at another, by up to 0.15 V for a 5 V type. Where no input range is given, the ends
    /// are taken to hold at `line_from` alone.
    fn regulator_model(&self, part: &Part) -> Option<Regulator> {
        let adjustable = part.kind == Kind::AdjustableRegulator;
        let (property, quiescent) = if adjustable {
            (Property::Reference, Property::AdjustCurrent)
        } else {
            (Property::Output, Property::QuiescentCurrent)
        };
        let reference = self.figure(part, property)?.abs();
        let rated = Self::nominal(part, Property::Current)?;
        let dropout = self.figure(part, Property::Dropout)?;
        let light = Self::nominal(part, Property::DropoutLight)
            .unwrap_or(0.8 * dropout)
            .min(dropout);
        // Ripple reaches the output divided by the ripple rejection; the same ratio stands for the
        // line regulation, which makers measure from about five volts above the output.
        let rejection = part
            .figure(Property::RippleRejection)
            .map_or(40.0, |f| f.spread.low);
        let limit = Self::nominal(part, Property::PeakCurrent)
            .or_else(|| Self::nominal(part, Property::ShortCircuitCurrent))
            .unwrap_or(2.0 * rated);
        let load = part
            .figure(Property::LoadRegulation)
            .map_or(Spread::exact(0.01 * reference), |f| f.spread);
        let line = libm::pow(10.0, -rejection / 20.0);
        let centre = Self::nominal(part, property)?.abs();
        let line_from = centre + 5.0;
        let typical = (load.nominal / rated).max(1e-3);
        let level = self
            .situation
            .corner
            .level(&Parameter::Figure(part.reference.clone(), property));
        let way = match level {
            Level::Low | Level::High => 1.0,
            Level::Nominal => 0.0,
            Level::Between(way) => f64::from(way).abs() / 1000.0,
        };
        let outward = if reference < centre { -way } else { way };
        let flat = END_DROP / rated;
        let specified_load = part
            .figure(Property::LoadRange)
            .map_or(rated, |f| f.spread.high);
        let output_resistance = typical + way * (flat - typical);
        let beyond = (way > 0.0).then(|| {
            let (from, to) =
                Self::specified_input(part, reference, dropout).unwrap_or((line_from, line_from));
            let sheet = part
                .figure(Property::LineRegulation)
                .map_or(0.0, |f| f.spread.high / (to - from).max(1.0));
            Beyond {
                from,
                to,
                slope: outward * line.max(sheet),
                load: specified_load,
                resistance: output_resistance.max(-outward * load.high / rated),
            }
        });
        Some(Regulator {
            negative: part.word("polarity") == Some("negative"),
            // The lowest unit comes down to its end at the highest load, never below.
            reference: reference + (-outward).max(0.0) * flat * specified_load,
            line: (1.0 - way) * line,
            line_from,
            output_resistance,
            dropout: light,
            dropout_resistance: ((dropout - light) / rated).max(1e-2),
            limit,
            smoothing: 2e-3 * rated,
            quiescent: self.figure_or(part, quiescent, 0.0).abs(),
            quiescent_knee: 0.5,
            // Output to input the pass transistor's junction conducts when the input falls away.
            reverse: Some(ideal_junction(thermal_voltage(self.temperature(part)), 1.0)),
            beyond,
        })
    }

    /// The inputs over which the output is specified, from `common` [V]: as stated, or for an
    /// adjustable type from its drop-out to its highest difference above the reference.
    fn specified_input(part: &Part, reference: f64, dropout: f64) -> Option<(f64, f64)> {
        if part.kind == Kind::AdjustableRegulator {
            let limit = Self::nominal(part, Property::InputOutputLimit)?;
            return Some((reference + dropout, reference + limit));
        }
        let range = part.figure(Property::InputRange)?.spread;
        let (from, to) = (range.low.abs(), range.high.abs());
        Some((from.min(to), from.max(to)))
    }

    fn shunt_reference(&mut self, part: &Part) {
        let (Some(cathode), Some(anode)) =
            (self.terminal(part, "cathode"), self.terminal(part, "anode"))
        else {
            return;
        };
        let reference = self.terminal(part, "reference").unwrap_or(cathode);
        let Some(voltage) = self.figure(part, Property::Reference) else {
            self.lacks(part, "reference voltage");
            return;
        };
        let shunt = ShuntReference {
            reference: voltage,
            bias: self.figure_or(part, Property::BiasCurrent, 0.0),
            dynamic_resistance: self.figure_or(part, Property::DynamicResistance, 0.2),
            minimum_current: self.figure_or(part, Property::MinimumCurrent, 1e-3),
            limit: self.figure_or(part, Property::Current, 0.1),
        };
        self.push(
            part.reference.as_str(),
            Model::ShuntReference {
                cathode,
                anode,
                reference,
                shunt,
            },
        );
    }
}

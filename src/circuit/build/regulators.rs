//! Linear regulators, fixed and adjustable, and shunt references.

use super::Builder;
use super::junctions::{ideal_junction, thermal_voltage};
use crate::catalogue::{Kind, Property};
use crate::circuit::{Model, Regulator, ShuntReference};
use crate::design::Part;
use crate::situations::{Level, Parameter};

/// A fixed regulator's own divider from output to ground, which keeps an unloaded output from
/// drifting up to the input [Ω]. From memory, the order of magnitude in makers' schematics;
/// adjustable types have none and need a least load outside.
const INNER_DIVIDER: f64 = 10e3;

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

    fn regulator_model(&self, part: &Part) -> Option<Regulator> {
        let adjustable = part.kind == Kind::AdjustableRegulator;
        let reference = self.figure(
            part,
            if adjustable {
                Property::Reference
            } else {
                Property::Output
            },
        )?;
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
        let load = Self::nominal(part, Property::LoadRegulation).unwrap_or(0.01 * reference.abs());
        let quiescent = if adjustable {
            Property::AdjustCurrent
        } else {
            Property::QuiescentCurrent
        };
        let output_resistance = (load / rated).max(1e-3);
        let line = libm::pow(10.0, -rejection / 20.0);
        let line_from = reference.abs() + 5.0;
        // A maker's spread is the output over input, load and temperature together: what the line
        // and load terms below add by themselves is taken off its ends first.
        let property = if adjustable {
            Property::Reference
        } else {
            Property::Output
        };
        let level = self
            .situation
            .corner
            .level(&Parameter::Figure(part.reference.clone(), property));
        let limit_in = Self::nominal(part, Property::InputLimit)
            .or_else(|| Self::nominal(part, Property::InputOutputLimit))
            .map_or(line_from, |limit| limit.abs().max(line_from));
        let centre = Self::nominal(part, property)?.abs();
        // An adjustable one's reference is spread through the divider outside, which this would
        // not follow: its ends are taken whole.
        let (up, down) = if adjustable {
            (0.0, 0.0)
        } else {
            (
                line * (limit_in - line_from),
                line * (5.0 - dropout).max(0.0) + output_resistance * rated,
            )
        };
        let way = |way: i16| f64::from(way).abs() / 1000.0;
        let reference = match level {
            Level::High => (reference.abs() - up).max(centre),
            Level::Nominal => centre,
            Level::Low => (reference.abs() + down).min(centre),
            Level::Between(to) if to < 0 => (reference.abs() + way(to) * down).min(centre),
            Level::Between(to) => (reference.abs() - way(to) * up).max(centre),
        };
        Some(Regulator {
            negative: part.word("polarity") == Some("negative"),
            reference,
            line,
            line_from,
            output_resistance,
            dropout: light,
            dropout_resistance: ((dropout - light) / rated).max(1e-2),
            limit,
            smoothing: 2e-3 * rated,
            quiescent: self.figure_or(part, quiescent, 0.0).abs(),
            quiescent_knee: 0.5,
            // Output to input the pass transistor's junction conducts when the input falls away.
            reverse: Some(ideal_junction(thermal_voltage(self.temperature()), 1.0)),
        })
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

//! Op-amps, one element for each unit.

use super::Builder;
use crate::catalogue::Property;
use crate::circuit::{Model, OpAmp};
use crate::design::{Part, Structure};

impl Builder<'_> {
    pub(super) fn op_amp(&mut self, part: &Part) {
        let (Some(supply_plus), Some(supply_minus)) = (
            self.terminal(part, "supply+"),
            self.terminal(part, "supply-"),
        ) else {
            return;
        };
        let single = vec![String::new()];
        let units = match &part.structure {
            Structure::Units(units) => units,
            _ => &single,
        };
        // The quiescent current is given for the whole package.
        let share = self.figure_or(part, Property::QuiescentCurrent, 1e-3) / units.len() as f64;
        let op_amp = OpAmp {
            gain: self.figure_or(part, Property::Gain, 1e5),
            offset: self.figure_or(part, Property::Offset, 0.0),
            bias: self.figure_or(part, Property::BiasCurrent, 0.0),
            high_headroom: self.figure_or(part, Property::OutputHeadroomHigh, 1.5),
            low_headroom: self.figure_or(part, Property::OutputHeadroomLow, 1.5),
            output_resistance: self.figure_or(part, Property::Resistance, 50.0),
            limit: self.figure_or(part, Property::OutputCurrent, 0.02),
            quiescent: share,
        };
        for unit in units {
            let (name, prefix) = if unit.is_empty() {
                (part.reference.clone(), String::new())
            } else {
                (format!("{}.{unit}", part.reference), format!("{unit}."))
            };
            let terminal = |builder: &mut Self, function: &str| {
                builder.terminal(part, &format!("{prefix}{function}"))
            };
            if let (Some(plus), Some(minus), Some(output)) = (
                terminal(self, "plus"),
                terminal(self, "minus"),
                terminal(self, "out"),
            ) {
                self.push(
                    name,
                    Model::OpAmp {
                        plus,
                        minus,
                        output,
                        supply_plus,
                        supply_minus,
                        op_amp,
                    },
                );
            }
        }
    }
}

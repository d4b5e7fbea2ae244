//! Switches and relays: a closed contact is a small resistance, an open one is nothing.

use super::Builder;
use super::passives::CONTACT;
use crate::catalogue::{Kind, Property};
use crate::design::{Part, Structure};

impl Builder<'_> {
    pub(super) fn contacts(&mut self, part: &Part) {
        let Structure::Contacts { poles, .. } = &part.structure else {
            return;
        };
        let position = self
            .situation
            .state
            .switches
            .get(&part.reference)
            .copied()
            .unwrap_or(0);
        let resistance = self.figure_or(part, Property::ContactResistance, CONTACT);
        for (name, pole) in poles {
            let Some(throw) = pole.throws.get(position).filter(|net| *net != "nc") else {
                continue;
            };
            if pole.common == "nc" {
                continue;
            }
            let common = self.node(&pole.common);
            let throw = self.node(throw);
            if common != throw {
                self.resistor(
                    format!("{}.{name}", part.reference),
                    common,
                    throw,
                    resistance,
                );
            }
        }
        if part.kind == Kind::Relay
            && let Some((a, b)) = self.pair(part, &[("coil1", "coil2")])
            && let Some(coil) = self.figure(part, Property::Resistance)
        {
            self.resistor(format!("{}.coil", part.reference), a, b, coil);
        }
    }
}

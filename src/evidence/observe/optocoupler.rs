//! What is read of an optocoupler: an LED and a transistor under one name.

use super::{Combine, Observer, Pick, carrying, ends};
use crate::circuit::Model;
use crate::design::Part;
use crate::evidence::Stress;

impl Observer<'_> {
    /// Currents of the LED, voltage across the transistor, and the ratio of the two currents.
    pub(super) fn optocoupler(
        &mut self,
        part: &Part,
        elements: &[usize],
        models: &[Model],
        powers: &[usize],
    ) {
        let find = |wanted: fn(&Model) -> bool| {
            let at = models.iter().position(wanted)?;
            Some((elements[at], &models[at]))
        };
        let led = find(|model| matches!(model, Model::Diode { .. }));
        let transistor = find(|model| matches!(model, Model::Bipolar { .. }));
        let lit = led.map(|(element, model)| self.probe(carrying(element, model)));
        let carried = transistor.map(|(element, model)| self.probe(carrying(element, model)));
        let one = |probe: usize, pick: Pick| vec![(probe, pick, 1.0)];
        if let (Some(lit), Some((_, model))) = (lit, led) {
            self.stress(
                part,
                Stress::CurrentMean,
                Combine::Sum,
                one(lit, Pick::Average),
            );
            self.stress(
                part,
                Stress::CurrentPeak,
                Combine::Sum,
                one(lit, Pick::Largest),
            );
            if let Some((anode, inside)) = ends(model) {
                let back = self.voltage(inside, anode);
                self.stress(
                    part,
                    Stress::ReverseVoltage,
                    Combine::Sum,
                    one(back, Pick::Maximum),
                );
            }
        }
        if let (Some(carried), Some((_, model))) = (carried, transistor) {
            let current = one(carried, Pick::Average);
            self.stress(
                part,
                Stress::CollectorCurrent,
                Combine::Sum,
                current.clone(),
            );
            if let Some((collector, emitter)) = ends(model) {
                let across = self.voltage(collector, emitter);
                self.stress(
                    part,
                    Stress::PeakVoltage,
                    Combine::Sum,
                    one(across, Pick::Largest),
                );
            }
            if let Some(lit) = lit {
                let mut both = current;
                both.push((lit, Pick::Average, 1.0));
                self.stress(part, Stress::TransferRatio, Combine::Quotient, both);
            }
        }
        let heat = powers
            .iter()
            .map(|power| (*power, Pick::Average, 1.0))
            .collect();
        self.stress(part, Stress::Dissipation, Combine::Sum, heat);
    }
}

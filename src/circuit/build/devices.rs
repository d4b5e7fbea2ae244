//! Jacks and what is plugged into them: instruments, controllers, a lead with nothing on it.

use super::Builder;
use super::passives::{CONTACT, law};
use crate::catalogue::Figure;
use crate::circuit::{Model, Node, Wave};
use crate::design::{Connection, Controller, Input, Part, Structure};
use crate::situations::{Parameter, Plugged};

/// Input impedance taken when the instrument file gives none [Ω]: the highest, so that the box
/// is seen at its least loaded. The loading checks then say that the figure is missing.
const UNKNOWN_IMPEDANCE: f64 = 1e7;

impl Builder<'_> {
    pub(super) fn jack(&mut self, part: &Part) {
        let nothing = Plugged::Nothing;
        let plugged = self
            .situation
            .state
            .plugs
            .get(&part.reference)
            .unwrap_or(&nothing);
        match plugged {
            Plugged::Nothing => {
                for (contact, normal) in [("tip", "tip-normal"), ("ring", "ring-normal")] {
                    let name = format!("{}.{normal}", part.reference);
                    if let Some((a, b)) = self.pair(part, &[(contact, normal)])
                        && a != b
                    {
                        self.resistor(name, a, b, CONTACT);
                    }
                }
            }
            Plugged::TwoContactLead => {
                if let Some((ring, sleeve)) = self.pair(part, &[("ring", "sleeve")])
                    && ring != sleeve
                {
                    self.resistor(format!("{}.lead", part.reference), ring, sleeve, CONTACT);
                }
            }
            Plugged::Device { index, wiring, on } => {
                let connections = self.design.connections.get(&part.reference);
                match connections.and_then(|list| list.get(*index)) {
                    Some(Connection::Instrument {
                        instrument,
                        input,
                        cable,
                    }) => {
                        if let Some(input) = instrument.inputs.get(input) {
                            self.instrument(part, input, cable, *on);
                        }
                    }
                    Some(Connection::Controller { controller, cable }) => {
                        self.controller(part, controller, cable, *wiring);
                    }
                    None => {}
                }
            }
        }
    }

    /// Far-end contact of a lead: the box's own contact, or its sleeve where a two-contact lead
    /// or plug joins ring to sleeve. A contact that the box's jack lacks is a node of its own.
    fn contact(&mut self, part: &Part, contact: &str, cable: &str) -> Node {
        let contact = if contact == "ring" && cable == "TS" {
            "sleeve"
        } else {
            contact
        };
        self.terminal(part, contact)
            .unwrap_or_else(|| self.node(&format!("{}.{contact}", part.reference)))
    }

    /// A two-contact lead joins the ring of a three-contact jack to its sleeve.
    fn lead(&mut self, part: &Part, cable: &str) {
        if cable == "TS"
            && let Some((ring, sleeve)) = self.pair(part, &[("ring", "sleeve")])
            && ring != sleeve
        {
            self.resistor(format!("{}.lead", part.reference), ring, sleeve, CONTACT);
        }
    }

    fn device(&self, part: &Part, name: &str, figure: &Figure) -> f64 {
        let parameter = Parameter::Device(part.reference.clone(), name.to_owned());
        self.situation.corner.level(&parameter).of(figure.spread)
    }

    /// The instrument's input: its impedance from signal to sleeve, and the supply it puts on a
    /// contact. Switched off, its supply is at 0 V behind the same resistance.
    fn instrument(&mut self, part: &Part, input: &Input, cable: &str, on: bool) {
        self.lead(part, cable);
        let name = &part.reference;
        let sleeve = self.contact(part, "sleeve", cable);
        let signal = self.contact(part, &input.signal, cable);
        let impedance = input
            .impedance
            .as_ref()
            .map_or(UNKNOWN_IMPEDANCE, |figure| {
                self.device(part, "input impedance", figure)
            });
        if signal != sleeve {
            self.resistor(format!("{name}.input"), signal, sleeve, impedance);
        }
        if let Some(supply) = &input.supply {
            let voltage = self.device(part, "supply voltage", &supply.voltage);
            let resistance = self
                .device(part, "supply resistance", &supply.through)
                .max(1e-3);
            let positive = self.contact(part, &supply.contact, cable);
            if positive != sleeve {
                self.push(
                    format!("{name}.supply"),
                    Model::VoltageSource {
                        positive,
                        negative: sleeve,
                        wave: Wave::Steady(if on { voltage } else { 0.0 }),
                        resistance,
                    },
                );
            }
        }
    }

    /// A controller's element between contacts, its wiper at the travel of its jack.
    fn controller(&mut self, part: &Part, controller: &Controller, cable: &str, wiring: usize) {
        self.lead(part, cable);
        let Some(wiring) = controller.wirings.get(wiring) else {
            return;
        };
        let name = &part.reference;
        let total = self.device(part, "element", &controller.element);
        let travel = self
            .situation
            .state
            .travel
            .get(name)
            .copied()
            .unwrap_or(0.5);
        let share = law(&controller.law, &Structure::Plain, travel);
        let series = controller
            .series
            .as_ref()
            .map_or(0.0, |figure| figure.spread.nominal);
        let contact = self.contact(part, &wiring.wiper, cable);
        let wiper = if series > 0.0 {
            let inner = self.node(&format!("{name}.wiper"));
            self.resistor(format!("{name}.series"), inner, contact, series);
            inner
        } else {
            contact
        };
        for (end, section, share) in [
            (&wiring.top, "top", 1.0 - share),
            (&wiring.bottom, "bottom", share),
        ] {
            if end.is_empty() {
                continue;
            }
            let end = self.contact(part, end, cable);
            if end != wiper {
                self.resistor(format!("{name}.{section}"), end, wiper, share * total);
            }
        }
    }
}

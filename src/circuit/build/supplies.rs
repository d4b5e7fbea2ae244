//! Adaptors, transformers and batteries: an EMF behind a resistance.

use super::Builder;
use crate::catalogue::{Kind, Property};
use crate::circuit::{Model, Node, Wave};
use crate::design::Part;
use crate::quantity::Spread;
use crate::situations::Parameter;

/// What stands for an open supply lead [Ω].
const OPEN: f64 = 1e9;

impl Builder<'_> {
    pub(super) fn supply(&mut self, part: &Part) {
        match part.kind {
            Kind::AcAdaptor => {
                if let Some((live, common)) =
                    self.pair(part, &[("live", "common"), ("positive", "negative")])
                {
                    self.winding(part, &part.reference.clone(), live, common);
                }
            }
            Kind::Transformer => self.transformer(part),
            Kind::DcAdaptor => self.dc_adaptor(part),
            _ => self.battery(part),
        }
    }

    fn transformer(&mut self, part: &Part) {
        let halves = [
            ("secondary1", "centre", "1"),
            ("centre", "secondary2", "2"),
            ("a1", "a2", "a"),
            ("b1", "b2", "b"),
        ];
        let mut any = false;
        for (start, end, name) in halves {
            if let (Some(start), Some(end)) = (self.terminal(part, start), self.terminal(part, end))
            {
                self.winding(part, &format!("{}.{name}", part.reference), start, end);
                any = true;
            }
        }
        if any {
            return;
        }
        if let Some((start, end)) = self.pair(part, &[("secondary1", "secondary2")]) {
            self.winding(part, &part.reference.clone(), start, end);
        }
    }

    /// A winding: EMF `√2 · V0 · (mains ÷ nominal mains)` behind `(V0 − V) / I`, both from the
    /// rated point. With the mains off the winding's resistance remains.
    fn winding(&mut self, part: &Part, name: &str, positive: Node, negative: Node) {
        let Some(rated) = Self::nominal(part, Property::Output) else {
            self.lacks(part, "output voltage");
            return;
        };
        let Some(current) = Self::nominal(part, Property::Current)
            .or_else(|| Self::nominal(part, Property::Va).map(|va| va / rated))
        else {
            self.lacks(part, "rated current");
            return;
        };
        let nominal = Self::nominal(part, Property::OpenCircuit).unwrap_or(rated);
        let open = self.figure(part, Property::OpenCircuit).unwrap_or(rated);
        let emf = if self.situation.state.powered {
            open * self.mains_share()
        } else {
            0.0
        };
        let frequency = self
            .design
            .conditions
            .mains
            .map_or(50.0, |mains| mains.frequency);
        // Off, nothing in the circuit has a period.
        let wave = if emf == 0.0 {
            Wave::Steady(0.0)
        } else {
            Wave::Sine {
                peak: core::f64::consts::SQRT_2 * emf,
                frequency,
                phase: 0.0,
            }
        };
        self.push(
            name,
            Model::VoltageSource {
                positive,
                negative,
                wave,
                resistance: ((nominal - rated) / current).max(1e-3),
            },
        );
    }

    /// Regulated: its output behind one per cent of its rated load. Unregulated: open-circuit
    /// voltage, in proportion to the mains, behind the resistance of its rated point; its own
    /// ripple is not modelled.
    fn dc_adaptor(&mut self, part: &Part) {
        let Some((positive, negative)) = self.pair(part, &[("positive", "negative")]) else {
            return;
        };
        let Some(rated) = Self::nominal(part, Property::Output) else {
            self.lacks(part, "output voltage");
            return;
        };
        let current = Self::nominal(part, Property::Current).unwrap_or(1.0);
        let (emf, resistance) = if part.word("regulated") == Some("false") {
            let nominal = Self::nominal(part, Property::OpenCircuit).unwrap_or(rated);
            let open = self.figure(part, Property::OpenCircuit).unwrap_or(rated);
            (open * self.mains_share(), (nominal - rated) / current)
        } else {
            (
                self.figure_or(part, Property::Output, rated),
                0.01 * rated / current,
            )
        };
        self.steady(part, positive, negative, emf, resistance);
    }

    fn battery(&mut self, part: &Part) {
        let Some((positive, negative)) = self.pair(part, &[("positive", "negative")]) else {
            return;
        };
        let Some(emf) = battery_emf(
            part,
            self.situation
                .corner
                .level(&Parameter::Charge(part.reference.clone())),
        ) else {
            self.lacks(part, "voltage");
            return;
        };
        let resistance = self.figure_or(part, Property::Resistance, 1.0);
        self.steady(part, positive, negative, emf, resistance);
    }

    /// A steady source; disconnected when the box is off.
    fn steady(&mut self, part: &Part, positive: Node, negative: Node, emf: f64, resistance: f64) {
        let on = self.situation.state.powered;
        self.push(
            part.reference.as_str(),
            Model::VoltageSource {
                positive,
                negative,
                wave: Wave::Steady(if on { emf } else { 0.0 }),
                resistance: if on { resistance.max(1e-3) } else { OPEN },
            },
        );
    }
}

/// Low is flat, high is fresh; nominal lies midway.
fn battery_emf(part: &Part, charge: crate::situations::Level) -> Option<f64> {
    let of = |property| part.figure(property).map(|figure| figure.spread);
    let output = of(Property::Output);
    let fresh = of(Property::Fresh).or(output)?;
    let flat = of(Property::Flat).unwrap_or(fresh);
    Some(charge.of(Spread {
        low: flat.low,
        nominal: 0.5 * (fresh.nominal + flat.nominal),
        high: fresh.high,
    }))
}

//! The optocoupler: an LED whose current drives the base of a transistor across the barrier.
//!
//! Made of models that have their own equations: the LED is a junction behind its series
//! resistance, over which an ideal amplifier, fed on the transistor's side from an inner source,
//! sees the LED's current; through a resistor it drives the base with
//! `Ib = (DRIVE·I_LED/rated − Vbe)/R`, `R = DRIVE·β/(CTR·rated)`, so that in its active region the
//! transistor carries `CTR·I_LED`, less 1.3 % at a hundredth of the rated current and less than
//! that above. It saturates as a transistor does. No speed, no dark current, and no fall of the
//! ratio at small currents: makers give it at 5 or 10 mA. Nothing crosses the barrier but light.

use super::Builder;
use super::junctions::thermal_voltage;
use crate::catalogue::Property;
use crate::circuit::{Bipolar, Model, Node, OpAmp, Wave};
use crate::design::Part;

/// What drives the base at the LED's rated current [V]: large against its 0.6 V.
const DRIVE: f64 = 5e3;
/// Current gain β of the phototransistor; the ratio alone says what it carries.
const GAIN: f64 = 200.0;

impl Builder<'_> {
    pub(super) fn optocoupler(&mut self, part: &Part) {
        let name = &part.reference;
        let lit = self.pair(part, &[("anode", "cathode")]);
        let output = self.pair(part, &[("collector", "emitter")]);
        let (Some(ratio), Some(rated)) = (
            self.figure(part, Property::CurrentTransferRatio),
            Self::nominal(part, Property::Current),
        ) else {
            self.lacks(part, "current transfer ratio or rated LED current");
            return;
        };
        let sensed = lit.and_then(|(anode, cathode)| self.light(part, anode, cathode));
        let Some((collector, emitter)) = output else {
            return;
        };
        let base = self.node(&format!("{name}.base"));
        let bipolar = Bipolar {
            pnp: false,
            saturation_current: 1e-14,
            forward_gain: GAIN,
            reverse_gain: 2.0,
            thermal_voltage: thermal_voltage(self.temperature(part)),
        };
        self.push(
            format!("{name}.transistor"),
            Model::Bipolar {
                base,
                collector,
                emitter,
                bipolar,
            },
        );
        let resistance = DRIVE * GAIN / (ratio * rated);
        let Some((inside, cathode, series)) = sensed else {
            self.resistor(format!("{name} dark"), base, emitter, resistance);
            return;
        };
        let supply = self.node(&format!("{name}.light"));
        // Twice the drive, of which the amplifier's middle is taken off again as its offset.
        self.push(
            format!("{name} light supply"),
            Model::VoltageSource {
                positive: supply,
                negative: emitter,
                wave: Wave::Steady(2.0 * DRIVE),
                resistance: 1.0,
            },
        );
        let gain = DRIVE / (rated * series);
        self.push(
            format!("{name} light"),
            Model::OpAmp {
                plus: inside,
                minus: cathode,
                output: base,
                supply_plus: supply,
                supply_minus: emitter,
                op_amp: OpAmp {
                    gain,
                    offset: -DRIVE / gain,
                    bias: 0.0,
                    high_headroom: 0.0,
                    low_headroom: 0.0,
                    output_resistance: resistance,
                    limit: rated,
                    quiescent: 0.0,
                },
            },
        );
    }

    /// The LED; the node behind its junction, its cathode and the resistance between them.
    fn light(&mut self, part: &Part, anode: Node, cathode: Node) -> Option<(Node, Node, f64)> {
        let Some(mut junction) = self.junction(part) else {
            self.lacks(part, "forward characteristic");
            return None;
        };
        let series = junction.series_resistance.max(0.1);
        junction.series_resistance = 0.0;
        let inside = self.node(&format!("{}.inside", part.reference));
        self.diode(format!("{}.led", part.reference), anode, inside, junction);
        self.resistor(
            format!("{}.led resistance", part.reference),
            inside,
            cathode,
            series,
        );
        Some((inside, cathode, series))
    }
}

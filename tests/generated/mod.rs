//! Designs of any size, for tests of what is drawn and written.

#![allow(
    clippy::unwrap_used,
    reason = "a test stops at what it does not expect"
)]

/// A generator with a published recurrence (PCG's 64-bit multiplier).
struct Random(u64);

impl Random {
    fn below(&mut self, count: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % count
    }
}

/// A box of about so many parts: a supply, then stages that each take their signal from an earlier
/// one, so that nets branch and run far.
pub fn generated(count: usize, seed: u64) -> String {
    let mut random = Random(seed);
    let mut parts: Vec<String> = vec![
        "PS1: {kind: ac-adaptor, output: 15 V, current: 500 mA, class: II, nets: {live: ac, common: gnd}}".into(),
        "D1: {type: 1N4004, nets: {anode: ac, cathode: raw}}".into(),
        "C1: {kind: electrolytic, value: 470 µF, rating: 35 V, nets: {positive: raw, negative: gnd}}".into(),
        "U1: {type: 7812, package: TO-220, pins: {1: raw, 2: gnd, 3: rail}}".into(),
        "R1: {kind: resistor, value: 10 kΩ, nets: {a: rail, b: gnd}}".into(),
    ];
    let mut nets = vec!["rail".to_owned()];
    let mut stage = 1;
    while parts.len() < count {
        stage += 1;
        let s = stage;
        let from = nets[random.below(nets.len())].clone();
        let to = format!("n{s}");
        let other = nets[random.below(nets.len())].clone();
        match random.below(9) {
            0 => {
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 4.7 kΩ, nets: {{a: {from}, b: {to}}}}}"
                ));
                parts.push(format!(
                    "C{s}: {{kind: film, value: 100 nF, rating: 63 V, nets: {{a: {to}, b: gnd}}}}"
                ));
            }
            1 => {
                parts.push(format!("RV{s}: {{kind: potentiometer, value: 10 kΩ, law: linear, control: Knob {s}, nets: {{cw: {from}, wiper: {to}, ccw: gnd}}}}"));
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 100 kΩ, nets: {{a: {to}, b: gnd}}}}"
                ));
            }
            2 => {
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 2.2 kΩ, nets: {{a: rail, b: l{s}}}}}"
                ));
                parts.push(format!(
                    "LED{s}: {{kind: led, colour: red, nets: {{anode: l{s}, cathode: gnd}}}}"
                ));
                continue;
            }
            3 => {
                parts.push(format!("Q{s}: {{type: 2N3904, package: TO-92, nets: {{base: {from}, collector: rail, emitter: {to}}}}}"));
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 1 kΩ, nets: {{a: {to}, b: gnd}}}}"
                ));
            }
            4 => {
                parts.push(format!("U{s}: {{type: LM358, package: DIP-8, units: {{A: {{plus: {from}, minus: m{s}, out: {to}}}, B: {{plus: {other}, minus: p{s}, out: p{s}}}}}, nets: {{supply+: rail, supply-: gnd}}}}"));
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 22 kΩ, nets: {{a: {to}, b: m{s}}}}}"
                ));
                parts.push(format!(
                    "RA{s}: {{kind: resistor, value: 10 kΩ, nets: {{a: m{s}, b: gnd}}}}"
                ));
                parts.push(format!(
                    "RB{s}: {{kind: resistor, value: 10 kΩ, nets: {{a: p{s}, b: gnd}}}}"
                ));
            }
            5 => {
                parts.push(format!("SW{s}: {{kind: switch, control: Choice {s}, positions: [low, mid, high], poles: {{A: {{common: {to}, throws: [{from}, nc, {other}]}}}}}}"));
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 47 kΩ, nets: {{a: {to}, b: gnd}}}}"
                ));
            }
            6 => {
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 1 kΩ, nets: {{a: {from}, b: {to}}}}}"
                ));
                parts.push(format!(
                    "D{s}: {{kind: zener, value: 5.1 V, nets: {{anode: gnd, cathode: {to}}}}}"
                ));
            }
            7 => {
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 1 kΩ, nets: {{a: {from}, b: {to}}}}}"
                ));
                parts.push(format!("J{s}: {{kind: jack, contacts: TRS, nets: {{tip: {to}, ring: {other}, sleeve: gnd}}}}"));
            }
            _ => {
                parts.push(format!(
                    "R{s}: {{kind: resistor, value: 10 kΩ, nets: {{a: {from}, b: {to}}}}}"
                ));
                parts.push(format!(
                    "RA{s}: {{kind: resistor, value: 10 kΩ, nets: {{a: {other}, b: {to}}}}}"
                ));
            }
        }
        nets.push(to);
    }
    format!(
        "preplug: design/1\ntitle: Generated\nconditions:\n  mains: {{voltage: 230 V ± 10 %, frequency: 50 Hz}}\n  ambient: 5..35 °C\nparts:\n  {}\n",
        parts.join("\n  ")
    )
}

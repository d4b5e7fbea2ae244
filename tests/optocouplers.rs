//! The optocoupler, read from a design file and solved: what its LED and its transistor carry
//! follows from Ohm's law and the ratio alone. Its model is put together from a junction, an
//! amplifier and a transistor, whose slopes are tested with them (`tests/device_models.rs`).

mod fixture;

use fixture::bench::{ROOM, battery, bench, close, solved};
use preplug::evidence::{Evidence, Measure, Stress};

/// An LED fed through 1 kΩ from its own 5 V, a collector resistor at 9 V. The LED's equation is
/// given in the file: 1.2 V at 3.8 mA, near enough to a constant for what is asked here.
fn design(ratio: &str, collector: &str, feed: f64) -> String {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(9.0),
            &format!(
                "BT2: {{kind: battery, fresh: {feed} V, flat: {:.4} V, current: 1 A, resistance: 0.001 Ω ± 1 %, nets: {{positive: far, negative: far0}}}}",
                feed - 0.0001
            ),
            "R1: {kind: resistor, value: 1 kΩ ± 0.001 %, power: 1/4 W, nets: {a: far, b: k}}",
            &format!(
                "R2: {{kind: resistor, value: {collector} ± 0.001 %, power: 5 W, nets: {{a: v, b: c}}}}"
            ),
            &format!(
                "U1: {{kind: optocoupler, current-transfer-ratio: {ratio}, current: 50 mA, collector-voltage: 35 V, reverse-voltage: 6 V, nets: {{anode: k, cathode: far0, collector: c, emitter: gnd}}}}"
            ),
        ],
    );
    format!("{text}isolated: [far, far0, k]\n")
}

fn highest(evidence: &Evidence, stress: Stress) -> f64 {
    let found = evidence.stress("U1", stress, |_| true);
    found.expect("computed").high
}

/// In its active region the transistor carries the ratio times the LED's current, over two
/// decades; the LED's current is what its resistor lets through.
#[test]
fn the_transistor_carries_the_ratio_times_the_current() {
    for (feed, ratio, within) in [
        (2.0, 0.5, 0.02),
        (5.0, 0.5, 5e-3),
        (5.0, 1.0, 5e-3),
        (5.0, 2.0, 5e-3),
        (40.0, 1.0, 2e-3),
    ] {
        let text = design(&format!("{} % ± 0.001 %", ratio * 100.0), "10 Ω", feed);
        let (_, evidence) = solved(&text);
        let lit = highest(&evidence, Stress::CurrentMean);
        let mean = |net: &str| {
            let found = evidence.net(net, Measure::Mean, |_| true);
            found.expect("computed")
        };
        let fed = (mean("far").nominal - mean("k").nominal) / 1e3;
        let told = evidence.stress("U1", Stress::CurrentMean, |_| true);
        close("Ohm's law", told.expect("computed").nominal, fed, 1e-4);
        let carried = highest(&evidence, Stress::CollectorCurrent);
        close(&format!("{feed} V"), carried, ratio * lit, within);
        let through = evidence.stress("R2", Stress::CurrentMean, |_| true);
        close("through R2", through.expect("computed").high, carried, 1e-4);
    }
}

/// With 10 kΩ at its collector it saturates: 9 V less at most 0.2 V over 10 kΩ.
#[test]
fn it_saturates() {
    let (_, evidence) = solved(&design("100 % ± 0.001 %", "10 kΩ", 5.0));
    let low = evidence
        .net("c", Measure::Mean, |_| true)
        .expect("computed")
        .low;
    assert!((0.0..0.2).contains(&low), "{low}");
    let carried = highest(&evidence, Stress::CollectorCurrent);
    close("collector", carried, (9.0 - low) / 10e3, 1e-4);
}

/// Nothing but light crosses: dark, the transistor carries nothing, and what the isolated side
/// takes from its battery goes back to it.
#[test]
fn nothing_crosses_the_barrier() {
    let dark = design("100 % ± 0.001 %", "10 kΩ", 0.02);
    let (_, evidence) = solved(&dark);
    assert!(highest(&evidence, Stress::CollectorCurrent) < 1e-6);
    let text = design("100 % ± 0.001 %", "10 kΩ", 5.0);
    let (_, evidence) = solved(&text);
    let current = |part: &str| {
        let found = evidence.stress(part, Stress::CurrentMean, |_| true);
        found.expect("computed").high
    };
    close("round", current("BT2"), current("U1"), 1e-9);
    close("other side", current("BT1"), current("R2"), 1e-6);
}

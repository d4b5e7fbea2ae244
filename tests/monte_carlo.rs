//! Boxes drawn at random, against closed forms.

mod fixture;

use fixture::bench::{ROOM, battery, bench, close, solved};
use preplug::evidence::Evidence;
use preplug::evidence::carlo::statistics::{moments, quantile};
use preplug::evidence::carlo::{Quantity, Spreading};

/// A regulator with its loads, and a divider beside it.
fn drawn(runs: usize, seed: u64) -> Evidence {
    let text = bench(
        &format!("monte-carlo: {{runs: {runs}, seed: {seed}}}\n"),
        ROOM,
        &[
            &battery(10.0),
            "R1: {kind: resistor, value: 1 kΩ ± 10 %, power: 1 W, nets: {a: v, b: out}}",
            "R2: {kind: resistor, value: 1 kΩ ± 10 %, power: 1 W, nets: {a: out, b: gnd}}",
            "U1: {type: 78L05, nets: {in: v, out: out5, ground: gnd}}",
            "R3: {kind: resistor, value: 10 kΩ ± 1 %, power: 1 W, nets: {a: out5, b: gnd}}",
            "LED1: {kind: led, colour: red, current: 20 mA, nets: {anode: out5, cathode: k}}",
            "R4: {kind: resistor, value: 1 kΩ ± 20 %, power: 1 W, nets: {a: k, b: gnd}}",
        ],
    );
    solved(&text).1
}

fn spread<'a>(evidence: &'a Evidence, net: &str) -> &'a Spreading {
    let carlo = evidence.carlo.as_ref().expect("boxes were drawn");
    assert_eq!(carlo.unsolved, 0);
    let wanted = Quantity::Net(net.to_owned());
    let found = carlo.spreads.iter().find(|one| one.quantity == wanted);
    found.expect("the quantity")
}

/// The output of a 78L05 between its published ends 4.75 and 5.25 V, every value as likely as any
/// other: the mean is 5 V, the standard deviation 0.5 V/√12, the 2.5 % quantile 4.7625 V.
#[test]
fn a_rectangular_figure_comes_out_rectangular() {
    let evidence = drawn(4000, 7);
    let out = spread(&evidence, "out5");
    assert_eq!(out.values.len(), 4000);
    let (low, high) = out.extremes;
    let (mean, deviation) = moments(&out.values);
    close("mean", mean, 0.5 * (low + high), 0.002);
    close("deviation", deviation, (high - low) / 12.0_f64.sqrt(), 0.02);
    let tail = quantile(&out.values, 0.025);
    let exact = low + 0.025 * (high - low);
    assert!(
        tail.interval.0 <= exact && exact <= tail.interval.1,
        "{tail:?} for {exact}"
    );
    // The same by first order, of which the regulator's own output is nearly all.
    let (first_order, agrees) = out.first_order;
    assert!(agrees);
    close("first order", first_order, deviation, 0.03);
    assert_eq!(out.shares[0].0.describe(), "U1 output");
    assert!(out.shares[0].1 > 0.95);
    assert_eq!(out.beyond, 0);
}

/// The same seed draws the same boxes on one thread and on two; another seed draws others.
#[test]
fn the_seed_decides() {
    let on = |threads: usize, seed: u64| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        let evidence = pool.expect("threads").install(|| drawn(100, seed));
        spread(&evidence, "out5").values.clone()
    };
    let bits = |values: &[f64]| values.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
    assert_eq!(bits(&on(1, 3)), bits(&on(2, 3)));
    assert_ne!(bits(&on(1, 3)), bits(&on(1, 4)));
}

/// None where none are asked for.
#[test]
fn none_are_drawn_where_none_are_wanted() {
    assert!(drawn(0, 1).carlo.is_none());
}

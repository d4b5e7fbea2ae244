//! What the parts' own heat does to the circuit, against closed forms and common practice.

mod fixture;

use fixture::bench::{ROOM, battery, bench, close, solved};
use preplug::evidence::{Evidence, Measure, Stress};
use preplug::situations::Situation;

fn nominal(situation: &Situation, warmed: bool) -> bool {
    situation.state.powered && situation.corner.is_nominal() && situation.warmed.is_some() == warmed
}

fn mean(evidence: &Evidence, net: &str, warmed: bool) -> f64 {
    let extent = evidence.net(net, Measure::Mean, |s| nominal(s, warmed));
    extent
        .unwrap_or_else(|missing| panic!("{}", missing.what))
        .nominal
}

/// A thermistor of 100 Ω and B = 3000 K behind 100 Ω on 12 V, 100 K/W to the air at 25 °C. Its
/// temperature is the root of T = 25 + 100·P(R(T)) with R(T) = R25·exp(B·(1/T − 1/T25)) and
/// P = U²·R/(R + 100)², found here by bisection.
#[test]
fn a_thermistor_heats_itself() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(12.0),
            "R1: {kind: resistor, value: 100 Ω ± 0.01 %, power: 5 W, nets: {a: v, b: m}}",
            "RT1: {kind: thermistor, value: 100 Ω ± 0.01 %, beta: 3000 K ± 0.01 %, power: 1 W, junction-to-ambient: 100 K/W, nets: {a: m, b: gnd}}",
        ],
    );
    let (_, evidence) = solved(&text);
    let resistance = |at: f64| 100.0 * libm::exp(3000.0 * (1.0 / (at + 273.15) - 1.0 / 298.15));
    let power = |r: f64| 144.0 * r / ((r + 100.0) * (r + 100.0));
    let (mut low, mut high) = (25.0, 200.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if 25.0 + 100.0 * power(resistance(middle)) > middle {
            low = middle;
        } else {
            high = middle;
        }
    }
    let divided = |r: f64| 12.0 * r / (r + 100.0);
    assert!(low > 40.0, "nothing warms");
    close(
        "just switched on",
        mean(&evidence, "m", false),
        divided(100.0),
        1e-3,
    );
    // Half a kelvin of the 3.3 % per kelvin at 25 °C.
    close(
        "warmed up",
        mean(&evidence, "m", true),
        divided(resistance(low)),
        0.01,
    );
    let at = evidence
        .stress("RT1", Stress::Junction, |s| nominal(s, true))
        .unwrap()
        .nominal;
    assert!((at - low).abs() < 0.5, "{at} °C against {low} °C");
}

/// Nothing here heeds temperature, so a resistor's hot spot rises kelvin for kelvin with the room,
/// by P·Rth over it: 12 V over 990 Ω, 240 K/W as given.
#[test]
fn a_hot_spot_follows_the_room_kelvin_for_kelvin() {
    let text = bench(
        "",
        "5..35 °C",
        &[
            &battery(12.0),
            "R1: {kind: resistor, value: 1 kΩ ± 1 %, power: 1/2 W, junction-to-ambient: 240 K/W, nets: {a: v, b: gnd}}",
        ],
    );
    let (_, evidence) = solved(&text);
    let points = &evidence.junctions_over_room["R1"];
    let rise = 240.0 * 144.0 / 990.0;
    assert_eq!(points.len(), 3);
    close("cold end", points[0].0, 5.0, 1e-9);
    close("warm end", points[2].0, 35.0, 1e-9);
    for (room, junction) in points {
        close("hot spot", *junction, room + rise, 2e-3);
    }
}

/// A silicon junction loses about 2 mV per kelvin at constant current (common practice; between 1
/// and 2.5 mV from an ampere to microamperes).
#[test]
fn a_warm_diode_drops_less() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(12.0),
            "R1: {kind: resistor, value: 20 Ω ± 0.01 %, power: 20 W, nets: {a: v, b: k}}",
            "D1: {type: 1N4001, nets: {anode: k, cathode: gnd}}",
        ],
    );
    let (_, evidence) = solved(&text);
    let junction = |warmed| {
        let found = evidence.stress("D1", Stress::Junction, |s| nominal(s, warmed));
        found.unwrap().nominal
    };
    let situation = evidence
        .situations
        .iter()
        .find(|s| nominal(s, true))
        .unwrap();
    let taken = situation.warmed.as_ref().unwrap()["D1"];
    assert!((taken - junction(true)).abs() <= 0.5, "not consistent");
    let rise = taken - 25.0;
    assert!(rise > 15.0, "{rise} K");
    let fall = 1e3 * (mean(&evidence, "k", false) - mean(&evidence, "k", true)) / rise;
    assert!((1.0..2.5).contains(&fall), "{fall} mV/K");
    // Less drop at the same current is less heat.
    assert!(junction(true) < junction(false));
}

/// Without a box to lose the heat through nothing can warm, and it is said.
#[test]
fn what_cannot_be_known_is_said() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(9.0),
            "R1: {kind: resistor, value: 100 Ω, power: 1 W, nets: {a: v, b: gnd}}",
        ],
    )
    .lines()
    .filter(|line| !line.contains("enclosure"))
    .fold(String::new(), |text, line| text + line + "\n");
    let (_, evidence) = solved(&text);
    assert!(evidence.situations.iter().all(|s| s.warmed.is_none()));
    assert!(
        evidence
            .not_analysed
            .iter()
            .any(|what| what.contains("own heat"))
    );
}

/// The same thermistor straight across the battery: at 25 °C it takes 1.4 W, at the 170 °C which
/// that gives 38 W. Nothing rests on such a situation.
#[test]
fn a_thermal_runaway_is_not_assessed() {
    let text = bench(
        "",
        ROOM,
        &[
            &battery(12.0),
            "RT1: {kind: thermistor, value: 100 Ω ± 0.01 %, beta: 3000 K ± 0.01 %, power: 5 W, junction-to-ambient: 100 K/W, nets: {a: v, b: gnd}}",
        ],
    );
    let (_, evidence) = solved(&text);
    let missing = evidence.stress("RT1", Stress::Dissipation, |s| s.state.powered);
    assert!(missing.unwrap_err().what.contains("do not settle"));
}

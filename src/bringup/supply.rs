//! A supply by itself, before it meets the box: the only step that shows a wrong adaptor, or one
//! whose plug has its poles the other way round, while it can still do no harm.

use super::{Expected, Limits, Meter, Phase, Step, Window};
use crate::catalogue::Kind;
use crate::circuit::{Model, Wave, build};
use crate::design::{Design, Part};
use crate::evidence::{Evidence, Stress};
use crate::quantity::{Unit, format_to};
use crate::records::Point;
use crate::situations::{Corner, Level, Situation, parameters, powered, states};
use std::collections::BTreeMap;

/// What a hand-held meter's alternating ranges err by beyond its direct ones, at mains frequency, and
/// what the shape of the mains adds, as a share (common practice).
const ALTERNATING: f64 = 0.02;
/// The meter's zero [V] (project choice).
const ZERO: f64 = 1e-3;

/// What a supply gives with nothing joined to it: extremes over mains, tolerance and charge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Open {
    /// What a meter may show, its own error left out: V, rms where it alternates.
    pub limits: Limits,
    /// All nominal.
    pub nominal: f64,
    /// Whether it alternates.
    pub alternating: bool,
}

/// What a supply gives by itself, from the very source that the box is solved with; `None` where
/// its figures do not suffice.
#[must_use]
pub fn open(design: &Design, supply: &str) -> Option<Open> {
    let state = states(design).0.into_iter().find(|state| state.powered)?;
    let at = |corner: Corner| -> Option<(f64, bool)> {
        let circuit = build(design, &Situation::new(state.clone(), corner));
        let mut elements = circuit.netlist.elements.iter();
        elements.find_map(|element| match &element.model {
            Model::VoltageSource { wave, .. } if element.name == supply => Some(match wave {
                Wave::Steady(voltage) => (*voltage, false),
                Wave::Sine { peak, .. } => (*peak / core::f64::consts::SQRT_2, true),
            }),
            _ => None,
        })
    };
    let (nominal, alternating) = at(Corner::nominal())?;
    let (mut lowest, mut highest) = (Corner::nominal(), Corner::nominal());
    for parameter in parameters(design) {
        for level in [Level::Low, Level::High] {
            let alone = at(Corner::nominal().with(parameter.clone(), level))?.0;
            if alone < nominal {
                lowest = lowest.with(parameter.clone(), level);
            } else if alone > nominal {
                highest = highest.with(parameter.clone(), level);
            }
        }
    }
    let share = if alternating { ALTERNATING } else { 0.0 };
    let (low, high) = (at(lowest)?.0, at(highest)?.0);
    Some(Open {
        limits: Limits {
            low: low - share * low.abs() - ZERO,
            high: high + share * high.abs() + ZERO,
        },
        nominal,
        alternating,
    })
}

/// What a healthy box draws at most from each supply, in a sentence to choose the first power's
/// limit by; empty where no supply can be named.
#[must_use]
pub fn draws(design: &Design, evidence: &Evidence) -> String {
    let drawn: Vec<String> = design
        .supplies()
        .map(|part| {
            let stress = match part.kind {
                Kind::AcAdaptor => Stress::CurrentRms,
                _ => Stress::CurrentMean,
            };
            evidence
                .stress(&part.reference, stress, powered)
                .map_or_else(
                    |_| format!("an unknown current (not computed) from {}", part.reference),
                    |most| {
                        let most = format_to(most.high, Unit::Ampere, 2);
                        format!("{most} from {}", part.reference)
                    },
                )
        })
        .collect();
    if drawn.is_empty() {
        return String::new();
    }
    format!(
        " A healthy box draws at most {}: a limit of about twice that will do; a fuse for it must be \
         a slow one, for the charge of the capacitors.",
        drawn.join(" and ")
    )
}

/// The steps, one for each supply.
pub(super) fn steps(design: &Design, meter: &Meter) -> Vec<Step> {
    design
        .supplies()
        .map(|part| step(design, meter, part))
        .collect()
}

fn step(design: &Design, meter: &Meter, part: &Part) -> Step {
    let supply = part.reference.as_str();
    let expected = open(design, supply).map_or_else(
        || Expected::Unknown("the design does not say what it gives by itself".to_owned()),
        |open| {
            let Limits { low, high } = open.limits;
            let range = meter.range(low.abs().max(high.abs()), Unit::Volt);
            let window = Window {
                low: low - meter.error(low, range, Unit::Volt),
                nominal: open.nominal,
                high: high + meter.error(high, range, Unit::Volt),
                limits: open.limits,
                range,
                at: (0, 0),
            };
            if open.alternating {
                Expected::Alternating(window)
            } else {
                Expected::Voltage(window)
            }
        },
    );
    let (probes, turned) = match part.kind {
        Kind::AcAdaptor => ("", "mains low, or not the adaptor that the design names"),
        _ => (
            ", red to +, black to −",
            "its poles the other way round, its charge low, or not the supply that the design names",
        ),
    };
    Step {
        number: 0,
        phase: Phase::Supply,
        set: String::new(),
        point: format!("{supply} between its leads{probes}"),
        net: supply.to_owned(),
        state: None,
        jack: None,
        place: Point {
            at: supply.to_owned(),
            net: supply.to_owned(),
            state: BTreeMap::new(),
            jack: None,
            alone: true,
            plugged: false,
            unit: Unit::Volt,
        },
        halt: expected.limits(),
        expected,
        stop: Some("outside: do not join it to the box".to_owned()),
        if_low: turned.to_owned(),
        if_high: match part.kind {
            Kind::Battery => {
                "another battery than the design names, or a fresher one: then enter this reading as \
                 `fresh` and review again"
            }
            _ => {
                "another supply than the design names, or one that gives more by itself than the \
                 design says: then enter this reading as its open-circuit voltage and review again"
            }
        }
        .to_owned(),
    }
}

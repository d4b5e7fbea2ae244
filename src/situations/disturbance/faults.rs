//! What fails singly: each lead open, each pair of leads short, values that drift away.

use super::edit::Edit;
use super::{Class, Disturbance, new, pairs, wired};
use crate::catalogue::{Kind, Property};
use crate::design::{Part, Structure};

/// How far a value drifts when it fails without opening: to half or to double, a project choice.
const DRIFT: [f64; 2] = [0.5, 2.0];
/// How far a reference or a regulator's output drifts, a project choice.
const REFERENCE_DRIFT: [f64; 2] = [0.8, 1.2];

/// Every single fault of a part.
pub(super) fn of(part: &Part) -> Vec<Disturbance> {
    let mut faults = Vec::new();
    match part.kind {
        Kind::Switch | Kind::Relay => contacts(part, &mut faults),
        Kind::OpAmp => op_amp(part, &mut faults),
        Kind::Jack | Kind::Plug => jack(part, &mut faults),
        Kind::Bipolar => bipolar(part, &mut faults),
        Kind::Mosfet => mosfet(part, &mut faults),
        Kind::Transformer => {
            let secondary: Vec<_> = wired(part)
                .into_iter()
                .filter(|(terminal, _)| !terminal.starts_with("primary"))
                .collect();
            opens(part, &secondary, &mut faults);
            shorts(part, &pairs(&secondary), &mut faults);
        }
        // The barrier is taken as whole.
        Kind::Optocoupler => {
            opens(part, &wired(part), &mut faults);
            shorts(
                part,
                &[("anode", "cathode"), ("collector", "emitter")],
                &mut faults,
            );
        }
        Kind::Connector => {
            let pins = wired(part);
            opens(part, &pins, &mut faults);
            let next: Vec<_> = pins.windows(2).flat_map(pairs).collect();
            shorts(part, &next, &mut faults);
        }
        _ => {
            let leads = wired(part);
            opens(part, &leads, &mut faults);
            shorts(part, &pairs(&leads), &mut faults);
        }
    }
    drifts(part, &mut faults);
    faults
}

fn fault(part: &Part, words: impl Into<String>, edit: Edit) -> Disturbance {
    new(part, Class::Fault, words, vec![edit])
}

fn opens(part: &Part, leads: &[(&str, &str)], faults: &mut Vec<Disturbance>) {
    if let [(first, _), _] = leads {
        faults.push(fault(part, "open", Edit::Open((*first).to_owned())));
        return;
    }
    for (lead, _) in leads {
        let (words, edit) = match (part.kind, *lead) {
            (Kind::Regulator | Kind::AdjustableRegulator, "out") => {
                ("no output".to_owned(), Edit::Open("out".to_owned()))
            }
            // Without its reference it takes no current.
            (Kind::ShuntReference, "reference") => (
                "reference open".to_owned(),
                Edit::Open("cathode".to_owned()),
            ),
            (_, lead) => (format!("{lead} open"), Edit::Open(lead.to_owned())),
        };
        faults.push(fault(part, words, edit));
    }
}

fn shorts(part: &Part, pairs: &[(&str, &str)], faults: &mut Vec<Disturbance>) {
    let two = part.terminals.len() == 2;
    for (one, other) in pairs {
        let through = matches!(part.kind, Kind::Regulator | Kind::AdjustableRegulator)
            && [*one, *other].contains(&"in")
            && [*one, *other].contains(&"out");
        let words = if two {
            "short".to_owned()
        } else if through {
            "in shorted to out: passes its input through".to_owned()
        } else {
            format!("{one} shorted to {other}")
        };
        let edit = Edit::Short {
            one: (*one).to_owned(),
            other: (*other).to_owned(),
        };
        faults.push(fault(part, words, edit));
    }
}

fn drifts(part: &Part, faults: &mut Vec<Disturbance>) {
    let (property, factors): (_, &[f64]) = match part.kind {
        Kind::Resistor | Kind::Thermistor | Kind::Potentiometer => (Property::Value, &DRIFT),
        Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film => {
            (Property::Value, &DRIFT[..1])
        }
        Kind::Zener | Kind::TransientSuppressor => (Property::Value, &REFERENCE_DRIFT),
        Kind::Regulator => (Property::Output, &REFERENCE_DRIFT),
        Kind::AdjustableRegulator | Kind::ShuntReference => (Property::Reference, &REFERENCE_DRIFT),
        _ => return,
    };
    if part.figure(property).is_none() {
        return;
    }
    for factor in factors {
        let words = format!("drifted to {:.0} %", factor * 100.0);
        faults.push(fault(part, words, Edit::Scale(property, *factor)));
    }
}

/// Each pole open, or stuck in each position whatever the lever says.
fn contacts(part: &Part, faults: &mut Vec<Disturbance>) {
    let Structure::Contacts { positions, poles } = &part.structure else {
        return;
    };
    for name in poles.keys() {
        let lead = format!("{name}.common");
        faults.push(fault(
            part,
            format!("contact {name} open"),
            Edit::Open(lead),
        ));
    }
    for (index, position) in positions.iter().enumerate() {
        let words = format!("stuck at {position}");
        faults.push(fault(part, words, Edit::Stuck(index)));
    }
    for (name, pole) in poles {
        for (index, near) in positions.iter().enumerate() {
            for (other, far) in positions.iter().enumerate().skip(index + 1) {
                let nets = (&pole.throws[index], &pole.throws[other]);
                if nets.0 != "nc" && nets.1 != "nc" && nets.0 != nets.1 {
                    let pair = (format!("{name}.{near}"), format!("{name}.{far}"));
                    shorts(part, &[(pair.0.as_str(), pair.1.as_str())], faults);
                }
            }
        }
    }
    if part.kind == Kind::Relay && part.net("coil1").is_some() {
        faults.push(fault(part, "coil open", Edit::Open("coil1".to_owned())));
        shorts(part, &[("coil1", "coil2")], faults);
    }
}

/// An output stuck at either supply, the supplies joined, either supply lost, inputs joined, an
/// output lost.
fn op_amp(part: &Part, faults: &mut Vec<Disturbance>) {
    let supplies = ["supply+", "supply-"];
    for supply in supplies {
        let words = format!("{supply} open");
        faults.push(fault(part, words, Edit::Open(supply.to_owned())));
    }
    shorts(part, &[("supply+", "supply-")], faults);
    let outputs: Vec<String> = part
        .terminals
        .keys()
        .filter(|terminal| terminal.rsplit('.').next() == Some("out"))
        .cloned()
        .collect();
    for out in &outputs {
        let input = |sign: &str| format!("{}{sign}", out.trim_end_matches("out"));
        faults.push(fault(part, format!("{out} open"), Edit::Open(out.clone())));
        for supply in supplies {
            shorts(part, &[(out, supply)], faults);
        }
        let (plus, minus) = (input("plus"), input("minus"));
        shorts(part, &[(&plus, &minus)], faults);
    }
}

/// Contacts open and joined; a normal contact is not a lead of its own.
fn jack(part: &Part, faults: &mut Vec<Disturbance>) {
    let contacts: Vec<_> = wired(part)
        .into_iter()
        .filter(|(terminal, _)| matches!(*terminal, "tip" | "ring" | "sleeve"))
        .collect();
    for (contact, _) in &contacts {
        let edit = Edit::Open((*contact).to_owned());
        faults.push(fault(part, format!("{contact} open"), edit));
    }
    for (one, other) in pairs(&contacts) {
        let edit = Edit::Short {
            one: one.to_owned(),
            other: other.to_owned(),
        };
        faults.push(fault(part, format!("{one} shorted to {other}"), edit));
    }
}

/// With one lead open the junction between the other two is left.
fn bipolar(part: &Part, faults: &mut Vec<Disturbance>) {
    let pnp = part.word("polarity") == Some("pnp");
    let junction = |other: &str| {
        let (anode, cathode) = if pnp {
            (other, "base")
        } else {
            ("base", other)
        };
        Edit::Junction {
            anode: anode.to_owned(),
            cathode: cathode.to_owned(),
        }
    };
    faults.push(fault(part, "base open", Edit::Open("base".to_owned())));
    faults.push(fault(part, "collector open", junction("emitter")));
    faults.push(fault(part, "emitter open", junction("collector")));
    shorts(part, &pairs(&wired(part)), faults);
}

/// With its gate open a MOSFET may stand open or closed: the body diode alone, or shorted.
fn mosfet(part: &Part, faults: &mut Vec<Disturbance>) {
    let (anode, cathode) = if part.word("polarity") == Some("p-channel") {
        ("drain", "source")
    } else {
        ("source", "drain")
    };
    let body = Edit::Junction {
        anode: anode.to_owned(),
        cathode: cathode.to_owned(),
    };
    faults.push(fault(part, "gate open, channel off", body));
    faults.push(fault(part, "drain open", Edit::Open("drain".to_owned())));
    faults.push(fault(part, "source open", Edit::Open("source".to_owned())));
    shorts(part, &pairs(&wired(part)), faults);
}

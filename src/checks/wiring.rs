//! Questions about the wiring that several checks ask: what hangs on a net, what drives it, and
//! which way round it is meant to be. Reads the design alone.

use super::prelude::{AC_SOURCES, POLARISED, REGULATORS, SOURCES};
use crate::catalogue::Kind;
use crate::design::{Design, Part, Structure};
use std::collections::BTreeSet;

/// Parts and terminals on a net, in the order of the file.
#[must_use]
pub fn on<'a>(design: &'a Design, net: &str) -> Vec<(&'a Part, &'a str)> {
    design
        .parts
        .values()
        .flat_map(|part| {
            part.terminals
                .iter()
                .filter(|(_, wired)| wired.as_str() == net)
                .map(move |(terminal, _)| (part, terminal.as_str()))
        })
        .collect()
}

/// +1 for a regulator of positive voltage, −1 for one of negative voltage.
#[must_use]
pub fn polarity(regulator: &Part) -> f64 {
    let negative = match regulator.word("polarity") {
        Some(word) => word == "negative",
        None => regulator
            .type_name
            .as_deref()
            .is_some_and(|name| name.contains("79") || name.contains("337")),
    };
    if negative { -1.0 } else { 1.0 }
}

/// The other end of a part with two terminals.
#[must_use]
pub fn across<'a>(part: &'a Part, terminal: &str) -> Option<&'a str> {
    let mut others = part.terminals.iter().filter(|(name, _)| *name != terminal);
    match (part.terminals.len(), others.next()) {
        (2, Some((_, net))) if net != "nc" => Some(net),
        _ => None,
    }
}

/// Terminals by which a part drives a net with little resistance of its own.
#[must_use]
pub fn drives(part: &Part, terminal: &str) -> bool {
    let last = terminal.rsplit('.').next().unwrap_or(terminal);
    match part.kind {
        Kind::Regulator | Kind::AdjustableRegulator | Kind::OpAmp => last == "out",
        Kind::DcAdaptor | Kind::Battery => terminal == "positive" || terminal == "negative",
        Kind::AcAdaptor => terminal == "live" || terminal == "common",
        Kind::Transformer => !terminal.starts_with("primary"),
        _ => false,
    }
}

/// Does a regulator, adaptor, battery or winding drive this net directly? `gnd` is none.
#[must_use]
pub fn is_supply(design: &Design, net: &str) -> bool {
    net != "gnd"
        && on(design, net)
            .iter()
            .any(|(part, terminal)| part.kind != Kind::OpAmp && drives(part, terminal))
}

/// Does current pass through this part unchanged in kind: fuse, switch, link, coil?
#[must_use]
pub fn passes(part: &Part) -> bool {
    matches!(
        part.kind,
        Kind::Fuse | Kind::Ptc | Kind::WireLink | Kind::Inductor | Kind::Switch
    )
}

/// The net and all that are joined to it through fuses, switches, links and coils, in any
/// position; `gnd` is not crossed.
#[must_use]
pub fn reach<'a>(design: &'a Design, net: &'a str) -> Vec<&'a str> {
    let mut nets = vec![net];
    let mut seen = 0;
    while let Some(here) = nets.get(seen).copied() {
        seen += 1;
        if here == "gnd" || here == "nc" {
            continue;
        }
        for (part, _) in on(design, here)
            .into_iter()
            .filter(|(part, _)| passes(part))
        {
            for (near, far_side) in joins(part) {
                let far = if near == here {
                    far_side
                } else if far_side == here {
                    near
                } else {
                    continue;
                };
                if far != "gnd" && far != "nc" && !nets.contains(&far) {
                    nets.push(far);
                }
            }
        }
    }
    nets
}

/// Every net joined to this one through parts, itself included, without crossing `gnd`, a
/// regulator or a supply.
#[must_use]
pub fn joined<'a>(design: &'a Design, net: &'a str) -> BTreeSet<&'a str> {
    let mut known = BTreeSet::from([net]);
    let mut open = vec![net];
    while let Some(here) = open.pop() {
        for (part, _) in on(design, here) {
            if REGULATORS.contains(&part.kind) || SOURCES.contains(&part.kind) {
                continue;
            }
            for far in part.terminals.values() {
                if far != "gnd" && far != "nc" && known.insert(far) {
                    open.push(far);
                }
            }
        }
    }
    known
}

/// Pairs of nets that a part of this sort can join.
fn joins(part: &Part) -> Vec<(&str, &str)> {
    if let Structure::Contacts { poles, .. } = &part.structure {
        return poles
            .values()
            .flat_map(|pole| {
                pole.throws
                    .iter()
                    .map(|throw| (pole.common.as_str(), throw.as_str()))
            })
            .collect();
    }
    let nets: Vec<&str> = part.terminals.values().map(String::as_str).collect();
    match nets[..] {
        [one, other] => vec![(one, other)],
        _ => Vec::new(),
    }
}

/// Nets other than `gnd` on which an adaptor or a winding puts alternating voltage.
#[must_use]
pub fn alternating(design: &Design) -> BTreeSet<&str> {
    design
        .parts
        .values()
        .filter(|part| AC_SOURCES.contains(&part.kind))
        .flat_map(|part| part.terminals.iter().filter(|(t, _)| drives(part, t)))
        .map(|(_, net)| net.as_str())
        .filter(|net| *net != "gnd" && *net != "nc")
        .flat_map(|net| reach(design, net))
        .collect()
}

/// The sign that regulators and, where none says, the promises expect of a net: +1, −1 or `None`.
#[must_use]
pub fn expected_sign(design: &Design, net: &str) -> Option<f64> {
    on(design, net).iter().find_map(|(part, terminal)| {
        let regulator = REGULATORS.contains(&part.kind) && matches!(*terminal, "in" | "out");
        (regulator && !alternating(design).contains(net)).then(|| polarity(part))
    })
}

/// The sign that polarised capacitors to `gnd` give a net: +1, −1 or `None`.
#[must_use]
pub fn capacitor_sign(design: &Design, net: &str) -> Option<f64> {
    on(design, net).iter().find_map(|(part, terminal)| {
        if !POLARISED.contains(&part.kind) || across(part, terminal) != Some("gnd") {
            return None;
        }
        Some(if *terminal == "positive" { 1.0 } else { -1.0 })
    })
}

/// Nets that hold their voltage whatever is drawn and that reach a part's lead without a resistor
/// between: `gnd`, what a supply drives, what a reservoir holds. Diodes are followed against the
/// current into the lead (`upstream`), or with the current out of it.
#[must_use]
pub fn stiff<'a>(
    design: &'a Design,
    part: &'a Part,
    terminal: &str,
    upstream: bool,
) -> BTreeSet<&'a str> {
    let mut known: BTreeSet<&str> = part.net(terminal).into_iter().collect();
    let mut open: Vec<&str> = known.iter().copied().collect();
    let mut held = BTreeSet::new();
    while let Some(net) = open.pop() {
        let others: Vec<_> = on(design, net)
            .into_iter()
            .filter(|(other, _)| other.reference != part.reference)
            .collect();
        if net == "gnd" || others.iter().any(|(other, lead)| holds_up(other, lead)) {
            held.insert(net);
            continue;
        }
        for (other, entered) in others {
            for far in carried(other, entered, net, upstream) {
                if far != "nc" && known.insert(far) {
                    open.push(far);
                }
            }
        }
    }
    held
}

/// Capacitance from which on a capacitor can feed an LED to death [F].
const RESERVOIR: f64 = 1e-6;

fn holds_up(part: &Part, lead: &str) -> bool {
    let reservoir = || {
        part.figure(crate::catalogue::Property::Value)
            .is_some_and(|figure| figure.spread.high >= RESERVOIR)
    };
    match part.kind {
        Kind::Bridge => lead == "positive" || lead == "negative",
        kind if super::prelude::CAPACITORS.contains(&kind) => reservoir(),
        _ => drives(part, lead),
    }
}

/// The nets to which a part carries current from this one without limiting it.
fn carried<'a>(part: &'a Part, entered: &str, net: &str, upstream: bool) -> Vec<&'a str> {
    match part.kind {
        Kind::Diode | Kind::Led if upstream != (entered == "cathode") => Vec::new(),
        Kind::Diode | Kind::Led | Kind::Zener | Kind::TransientSuppressor => {
            across(part, entered).into_iter().collect()
        }
        _ if passes(part) => joins(part)
            .into_iter()
            .filter_map(|(one, other)| {
                if one == net {
                    Some(other)
                } else {
                    (other == net).then_some(one)
                }
            })
            .collect(),
        _ => Vec::new(),
    }
}

/// The largest capacitor wired between two nets, and its nominal value [F].
#[must_use]
pub fn capacitor_between<'a>(
    design: &'a Design,
    one: &str,
    other: &str,
) -> Option<(&'a Part, f64)> {
    design
        .parts
        .values()
        .filter(|part| super::prelude::CAPACITORS.contains(&part.kind))
        .filter(|part| {
            let nets: Vec<&str> = part.terminals.values().map(String::as_str).collect();
            nets == [one, other] || nets == [other, one]
        })
        .filter_map(|part| {
            let value = part.figure(crate::catalogue::Property::Value)?;
            Some((part, value.spread.nominal))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// Every source of the box, in the order of the file.
pub fn sources(design: &Design) -> impl Iterator<Item = &Part> {
    design
        .parts
        .values()
        .filter(|part| SOURCES.contains(&part.kind))
}

/// The supply that a fuse, or another part, is wired straight to.
#[must_use]
pub fn straight_to_supply<'a>(design: &'a Design, part: &'a Part) -> Option<&'a Part> {
    part.terminals
        .values()
        .filter(|net| *net != "gnd")
        .flat_map(|net| on(design, net))
        .find(|(other, terminal)| SOURCES.contains(&other.kind) && drives(other, terminal))
        .map(|(source, _)| source)
}

/// Does a resistor stand between this jack contact's net and whatever drives it? True also when
/// nothing drives it.
#[must_use]
pub fn driven_directly<'a>(design: &'a Design, net: &str) -> Option<&'a Part> {
    on(design, net)
        .into_iter()
        .find(|(part, terminal)| drives(part, terminal))
        .map(|(part, _)| part)
}

/// Does a rectifier, a DC adaptor or a battery feed this net: is it before the regulators?
#[must_use]
pub fn is_fed(design: &Design, net: &str) -> bool {
    let alternating = alternating(design);
    reach(design, net).iter().any(|here| {
        on(design, here)
            .iter()
            .any(|(part, terminal)| match part.kind {
                Kind::Diode => across(part, terminal).is_some_and(|far| {
                    alternating.contains(far)
                        || (far != "gnd"
                            && far != net
                            && on(design, far).iter().any(|(p, t)| raw(p, t)))
                }),
                Kind::Bridge => matches!(*terminal, "positive" | "negative"),
                _ => raw(part, terminal),
            })
    })
}

fn raw(part: &Part, terminal: &str) -> bool {
    matches!(part.kind, Kind::DcAdaptor | Kind::Battery) && drives(part, terminal)
}

//! The nets as a whole: test points, isolated sides, and whether each net reaches `gnd`.

use super::names::{GROUND, Names, OPEN};
use crate::catalogue::Kind;
use crate::design::{Connection, Part, Structure};
use crate::source::{Diagnostic, Node, Reader, Severity, nearest};
use indexmap::IndexMap;
use std::collections::BTreeMap;

/// `isolated: [net, …]`: nets that have no path to `gnd` on purpose.
pub(super) fn isolated(root: &Node, reader: &mut Reader, names: &Names) -> Vec<String> {
    root.get("isolated")
        .and_then(|node| reader.items(node, "isolated"))
        .unwrap_or_default()
        .iter()
        .filter_map(|item| names.existing(item, "isolated", reader))
        .collect()
}

/// `test-points: {TP1: net}`.
pub(super) fn test_points(
    root: &Node,
    reader: &mut Reader,
    names: &Names,
) -> IndexMap<String, String> {
    root.get("test-points")
        .and_then(|node| reader.entries(node, "test-points"))
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| {
            let net = names.existing(&entry.value, "test-points", reader)?;
            Some((entry.key.clone(), net))
        })
        .collect()
}

/// `wires: {net: colour}`.
pub(super) fn wires(root: &Node, reader: &mut Reader, names: &Names) -> IndexMap<String, String> {
    root.get("wires")
        .and_then(|node| reader.entries(node, "wires"))
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| {
            let net = names.existing_at(&entry.key, entry.key_span, "wires", reader)?;
            let colour = reader.text(&entry.value, "a wire's colour")?;
            Some((net, colour.to_owned()))
        })
        .collect()
}

/// Every net is joined by two parts or more and has a path to `gnd` in some state.
pub(super) fn check(
    parts: &IndexMap<String, Part>,
    isolated: &[String],
    test_points: &IndexMap<String, String>,
    connections: &IndexMap<String, Vec<Connection>>,
    reader: &mut Reader,
    names: &Names,
) {
    // Where wiring could not be read, a net may well have its other end there.
    let whole = !reader.noted(UNREAD_WIRING);
    for (net, places) in names.uses().filter(|(net, _)| *net != GROUND && whole) {
        if let [place] = places
            && !test_points.values().any(|point| point == net)
        {
            let others = names
                .uses()
                .map(|(name, _)| name)
                .filter(|name| *name != net);
            let hint = match nearest(net, others.chain([GROUND])) {
                Some(near) => format!("did you mean `{near}`? What is left open is written `nc`"),
                None => "what is left open is written `nc`".to_owned(),
            };
            reader.note(
                Diagnostic::error("lonely-net", format!("nothing else is wired to `{net}`"))
                    .at(*place, "the only place")
                    .hint(hint),
            );
        }
    }
    // A part that could not be read may be the very one that joins two nets.
    if reader
        .diagnostics
        .iter()
        .any(|d| d.severity == Severity::Error)
    {
        return;
    }
    let mut islands = Islands::default();
    for part in parts.values() {
        for group in conducting(part, connections.contains_key(&part.reference)) {
            islands.join(&group);
        }
    }
    if names.first(GROUND).is_none() {
        let place = names.uses().next().and_then(|(_, places)| places.first());
        if let Some(place) = place {
            reader.note(
                Diagnostic::error("no-ground", "no part is wired to `gnd`")
                    .at(*place, "")
                    .hint("call the box's 0 V `gnd`"),
            );
        }
        return;
    }
    for (nets, windings_only) in islands.without(GROUND, parts) {
        if windings_only || nets.iter().any(|net| isolated.contains(net)) {
            continue;
        }
        let Some(place) = nets.first().and_then(|net| names.first(net)) else {
            continue;
        };
        let listed: Vec<String> = nets.iter().map(|net| format!("`{net}`")).collect();
        let (verb, them) = if listed.len() == 1 {
            ("has", "it")
        } else {
            ("have", "them")
        };
        reader.note(
            Diagnostic::error(
                "no-path-to-gnd",
                format!("{} {verb} no path to `gnd` in any state", listed.join(", ")),
            )
            .at(place, "")
            .hint(format!(
                "join {them} to the rest, or declare the side isolated: `isolated: [{}]`",
                nets.first().map_or("", String::as_str)
            )),
        );
    }
}

/// Mistakes after which the wiring is not known in full.
const UNREAD_WIRING: &[&str] = &[
    "duplicate-key",
    "missing-key",
    "unknown-key",
    "unknown-kind",
    "unknown-type",
    "kind-and-type-differ",
    "package-needed",
    "unknown-package",
    "unknown-pin-order",
    "unknown-pin",
    "pin-not-wired",
    "unknown-terminal",
    "terminal-not-wired",
    "unknown-unit",
    "not-wired",
    "bad-name",
    "reserved-net",
    "names-differ-in-case",
    "throws-and-positions-differ",
    "wrong-shape",
];

/// Groups of nets that a part joins by some path in some state.
fn conducting(part: &Part, plugged: bool) -> Vec<Vec<String>> {
    let pick = |terminals: &[&str]| -> Vec<String> {
        terminals
            .iter()
            .filter_map(|terminal| part.net(terminal).map(str::to_owned))
            .collect()
    };
    let all = || -> Vec<String> {
        let nets = part.terminals.values().filter(|net| *net != OPEN);
        nets.cloned().collect()
    };
    match (part.kind, &part.structure) {
        (Kind::Transformer, _) => vec![
            pick(&["primary1", "primary2"]),
            pick(&["secondary1", "centre", "secondary2"]),
            pick(&["a1", "a2"]),
            pick(&["b1", "b2"]),
        ],
        (Kind::Optocoupler, _) => {
            vec![pick(&["anode", "cathode"]), pick(&["collector", "emitter"])]
        }
        (_, Structure::Contacts { poles, .. }) => {
            let mut groups: Vec<Vec<String>> = poles
                .values()
                .map(|pole| {
                    let nets = std::iter::once(&pole.common).chain(&pole.throws);
                    nets.filter(|net| *net != OPEN).cloned().collect()
                })
                .collect();
            groups.push(pick(&["coil1", "coil2"]));
            groups
        }
        (Kind::Jack | Kind::Plug, _) if !plugged => vec![
            pick(&["tip", "tip-normal"]),
            pick(&["ring", "ring-normal"]),
            pick(&["sleeve"]),
        ],
        (Kind::Connector, _) if !plugged => all().into_iter().map(|net| vec![net]).collect(),
        _ => vec![all()],
    }
}

/// Sets of nets joined by some path.
#[derive(Default)]
struct Islands {
    parent: IndexMap<String, String>,
}

impl Islands {
    fn root(&self, net: &str) -> String {
        let mut net = net;
        while let Some(parent) = self.parent.get(net) {
            if parent == net {
                break;
            }
            net = parent;
        }
        net.to_owned()
    }

    fn join(&mut self, nets: &[String]) {
        for net in nets {
            self.parent
                .entry(net.clone())
                .or_insert_with(|| net.clone());
        }
        for pair in nets.windows(2) {
            let (a, b) = (self.root(&pair[0]), self.root(&pair[1]));
            if a != b {
                self.parent.insert(b, a);
            }
        }
    }

    /// The islands that a net is not on, each with its nets, and whether it is nothing but a
    /// winding, or the mains side of a transformer.
    fn without(&self, net: &str, parts: &IndexMap<String, Part>) -> Vec<(Vec<String>, bool)> {
        let home = self.root(net);
        let mut islands: IndexMap<String, Vec<String>> = IndexMap::new();
        for net in self.parent.keys() {
            let root = self.root(net);
            if root != home {
                islands.entry(root).or_default().push(net.clone());
            }
        }
        let mut on_winding: BTreeMap<&str, bool> = BTreeMap::new();
        let mut on_primary: Vec<&str> = Vec::new();
        for part in parts.values() {
            for (terminal, net) in &part.terminals {
                let winding = part.kind == Kind::Transformer;
                on_winding
                    .entry(net)
                    .and_modify(|only| *only &= winding)
                    .or_insert(winding);
                if winding && terminal.starts_with("primary") {
                    on_primary.push(net);
                }
            }
        }
        islands
            .into_values()
            .map(|nets| {
                let winding = nets
                    .iter()
                    .all(|net| on_winding.get(net.as_str()).copied().unwrap_or(false));
                let mains = nets.iter().any(|net| on_primary.contains(&net.as_str()));
                (nets, winding || mains)
            })
            .collect()
    }
}

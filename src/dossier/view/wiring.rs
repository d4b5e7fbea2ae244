//! The wiring list: wire by wire within each net, and the same by part.

use super::words::{counted, net_anchor, part_anchor};
use super::{Material, View};
use crate::design::Design;
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, Row, Table, code, link, strong, text,
};
use crate::dossier::draw::wiring::{End, Run, runs};

pub(super) fn add(material: &Material, view: &mut View) {
    let runs = runs(material.design);
    let wires: usize = runs.iter().map(|run| wires(material.design, run)).sum();
    let occurs = |terminal: &str| {
        runs.iter()
            .any(|run| run.ends.iter().any(|e| e.terminal == terminal))
    };
    view.field("has_ends", occurs("a") && occurs("b"));
    view.field("has_live", occurs("live"));
    view.field("nets_count", runs.len());
    view.field("wires_count", wires);
    view.offer(
        "wiring",
        true,
        vec![Block::Table(by_net(material.design, &runs))],
    );
    view.offer(
        "wiring-parts",
        false,
        vec![Block::Table(by_part(material, &runs))],
    );
}

/// Whether the enclosure is joined to this net.
fn bonded(design: &Design, run: &Run) -> bool {
    let enclosure = design.conditions.enclosure.as_ref();
    enclosure.and_then(|enclosure| enclosure.joined_to.as_deref()) == Some(run.net)
}

/// Wires of a net, the one to the enclosure among them.
fn wires(design: &Design, run: &Run) -> usize {
    run.ends.len().saturating_sub(1) + usize::from(bonded(design, run))
}

/// Wire by wire.
fn by_net(design: &Design, runs: &[Run]) -> Table {
    let mut rows = Vec::new();
    let coloured = runs.iter().any(|run| run.colour.is_some());
    for run in runs {
        let mut head = vec![code(run.net)];
        let wires = wires(design, run);
        let mut words = vec![counted(wires, "wire", "wires")];
        words.extend(run.colour.map(str::to_owned));
        words.extend(run.points.iter().map(|point| format!("test point {point}")));
        head.push(format!("\u{2002}{}", words.join(", ")).into());
        rows.push(Row {
            id: net_anchor(run.net),
            cells: vec![Cell::Text(head)],
            ..Row::group("")
        });
        let pairs = run
            .ends
            .windows(2)
            .map(|pair| (end(&pair[0]), end(&pair[1])));
        let bond = run.ends.last().filter(|_| bonded(design, run));
        let bond = bond.map(|last| (end(last), text("enclosure: bare metal, under a screw")));
        for (from, to) in pairs.chain(bond) {
            let mut cells = vec![Cell::Tick, Cell::Text(from), Cell::Text(to)];
            if coloured {
                cells.push(Cell::text(run.colour.unwrap_or_default()));
            }
            rows.push(Row::new(cells));
        }
    }
    let mut columns = vec![
        Column::new("", Align::Left).fixed(12.0),
        Column::new("From", Align::Left).share(1.0),
        Column::new("To", Align::Left).share(1.0),
    ];
    if coloured {
        columns.push(Column::new("Colour", Align::Left).share(0.5));
    }
    Table {
        id: "wiring".to_owned(),
        caption: text(
            "Wiring, wire by wire. A net may be led in another order, as long as every end named \
             under it is joined. Pins are counted as drawn under Polarity and pins.",
        ),
        columns,
        rows,
        empty: "The design has no nets.".to_owned(),
    }
}

/// Every terminal of every part, with what else hangs on its net.
fn by_part(material: &Material, runs: &[Run]) -> Table {
    let mut rows = Vec::new();
    for part in material.design.parts.values() {
        for (index, (terminal, net)) in part.terminals.iter().enumerate() {
            let here = End { part, terminal };
            let name: Vec<Inline> = if index == 0 {
                vec![link(part_anchor(&part.reference), part.reference.as_str())]
            } else {
                Vec::new()
            };
            let run = runs.iter().find(|run| run.net == net);
            let (net, others) = match run {
                Some(run) => (
                    link(net_anchor(net), net.as_str()),
                    others(run, &here, bonded(material.design, run)),
                ),
                None => ("left open".into(), Vec::new()),
            };
            rows.push(Row::new([
                Cell::Tick,
                Cell::Text(name),
                Cell::text(here.words()),
                Cell::Text(vec![net]),
                Cell::Text(others),
            ]));
        }
    }
    Table {
        id: "wiring-parts".to_owned(),
        caption: text(
            "The same by part, to check the finished board against: a meter must show each \
             terminal joined to what stands in its line, and to nothing else.",
        ),
        columns: vec![
            Column::new("", Align::Left).fixed(12.0),
            Column::new("Part", Align::Left),
            Column::new("Terminal", Align::Left),
            Column::new("Net", Align::Left),
            Column::new("Joined to", Align::Left).share(1.0),
        ],
        rows,
        empty: "The design has no parts.".to_owned(),
    }
}

/// Ends named in a line; a net with more is looked up under its name.
const NAMED: usize = 6;

fn others(run: &Run, here: &End, bonded: bool) -> Vec<Inline> {
    let same =
        |end: &End| end.part.reference == here.part.reference && end.terminal == here.terminal;
    let others: Vec<&End> = run.ends.iter().filter(|end| !same(end)).collect();
    if others.len() > NAMED {
        let bond = if bonded { " and the enclosure" } else { "" };
        return text(format!(
            "{} other ends{bond}, as listed by net",
            others.len()
        ));
    }
    let mut words = Vec::new();
    for (index, other) in others.into_iter().enumerate() {
        if index > 0 {
            words.push(",\u{2002}".into());
        }
        words.extend(end(other));
    }
    if bonded {
        words.push(",\u{2002}the enclosure".into());
    }
    words
}

/// `U1 pin 3 (in)`.
fn end(end: &End) -> Vec<Inline> {
    vec![
        strong(end.part.reference.as_str()),
        format!("\u{A0}{}", end.words()).into(),
    ]
}

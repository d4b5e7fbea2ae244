//! Method and sources: what was looked at and how, what was not, and where every input came from.

use super::words::{counted, gate_name, pedigree, stage_name};
use super::{Material, View};
use crate::catalogue::{Figure, Pedigree, Property};
use crate::checks::Outcome;
use crate::design::{Connection, Part};
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, Row, RowKind, Table, code, strong, text,
};
use crate::quantity::{Unit, format_spread};

pub(super) fn add(material: &Material, view: &mut View) {
    let evidence = material.evidence;
    view.field("checks_count", material.review.assessments.len());
    view.field("situations_count", evidence.situations.len());
    view.field("unsolved_count", evidence.unsolved.len());
    view.field("states_count", evidence.counts.states);
    view.field("parameters_count", evidence.counts.parameters);
    view.field("transients_count", evidence.counts.transients);
    view.offer("checks", true, vec![Block::Table(checks(material))]);
    let left_out: Vec<&String> = evidence
        .incomplete
        .iter()
        .chain(&evidence.not_analysed)
        .collect();
    let not_analysed = if left_out.is_empty() {
        vec![Block::Paragraph(text("Nothing was left out."))]
    } else {
        let items = left_out
            .into_iter()
            .map(|what| vec![Block::Paragraph(text(what.as_str()))])
            .collect();
        vec![Block::List {
            ordered: false,
            items,
        }]
    };
    view.offer("not-analysed", true, not_analysed);
    let unsolved: Vec<Vec<Block>> = evidence
        .unsolved
        .iter()
        .map(|(id, why)| {
            let words = format!("{}: {why}", evidence.describe(*id));
            vec![Block::Paragraph(text(words))]
        })
        .collect();
    view.offer(
        "unsolved",
        false,
        if unsolved.is_empty() {
            Vec::new()
        } else {
            vec![Block::List {
                ordered: false,
                items: unsolved,
            }]
        },
    );
    view.offer("pedigree", true, vec![Block::Table(inputs(material))]);
}

/// Every check with its count of outcomes and its sources.
fn checks(material: &Material) -> Table {
    let mut rows = Vec::new();
    let mut stage = None;
    for checked in &material.review.assessments {
        if stage != Some(checked.check.stage) {
            stage = Some(checked.check.stage);
            rows.push(Row::group(stage_name(checked.check.stage)));
        }
        let count = |of: fn(&Outcome) -> bool| {
            let count = checked.outcomes.iter().filter(|o| of(o)).count();
            Cell::text(if count == 0 {
                "·".to_owned()
            } else {
                count.to_string()
            })
        };
        let sources: Vec<String> = checked
            .check
            .sources
            .iter()
            .map(|source| format!("{} ({})", source.citation, source.mark.words()))
            .collect();
        rows.push(Row::new([
            Cell::code(checked.check.id),
            Cell::text(gate_name(checked.check.gate)),
            count(|o| matches!(o, Outcome::Holds { .. })),
            count(|o| matches!(o, Outcome::Fails { .. })),
            count(|o| matches!(o, Outcome::NotAssessed { .. })),
            count(|o| matches!(o, Outcome::DoesNotApply { .. })),
            Cell::text(sources.join("; ")),
        ]));
    }
    Table {
        id: "checks".to_owned(),
        caption: text(
            "Every check, the most severe gate it can block, what it said of how many places, and its sources.",
        ),
        columns: vec![
            Column::new("Check", Align::Left).fixed(112.0),
            Column::new("Gate", Align::Left),
            Column::new("Holds", Align::Right).fixed(23.0),
            Column::new("Fails", Align::Right).fixed(20.0),
            Column::new("Not ass.", Align::Right).fixed(20.0),
            Column::new("N/A", Align::Right).fixed(16.0),
            Column::new("Sources", Align::Left).share(1.0),
        ],
        rows,
        empty: "No check ran.".to_owned(),
    }
}

/// Every figure that entered, and where it came from; what is guessed or assumed stands out.
fn inputs(material: &Material) -> Table {
    let mut rows = Vec::new();
    for (names, part) in alike(material) {
        for (index, (property, figure)) in part.figures.iter().enumerate() {
            let name = if index == 0 { names.as_str() } else { "" };
            rows.push(input(
                name,
                &property_words(*property),
                figure,
                property.unit(part.kind),
            ));
        }
    }
    for connection in material.design.connections.values().flatten() {
        match connection {
            Connection::Instrument {
                instrument,
                input: name,
                ..
            } => {
                rows.push(Row::group(format!("{}, input {name}", instrument.title)));
                if let Some(found) = instrument.inputs.get(name) {
                    rows.push(input("", "accepts", &found.accepts, Unit::Volt));
                    let more = [
                        ("survives", &found.survives, Unit::Volt),
                        ("impedance", &found.impedance, Unit::Ohm),
                        ("capacitance", &found.capacitance, Unit::Farad),
                    ];
                    for (words, figure, unit) in more {
                        if let Some(figure) = figure {
                            rows.push(input("", words, figure, unit));
                        }
                    }
                    if let Some(supply) = &found.supply {
                        rows.push(input("", "supply", &supply.voltage, Unit::Volt));
                        rows.push(input("", "supply through", &supply.through, Unit::Ohm));
                    }
                }
            }
            Connection::Controller { controller, .. } => {
                rows.push(Row::group(controller.title.as_str()));
                rows.push(input("", "element", &controller.element, Unit::Ohm));
            }
        }
    }
    let doubtful = rows.iter().filter(|row| is_doubtful(row)).count();
    let mut caption = text("Pedigree of every input. ");
    caption.push(strong(counted(doubtful, "figure was", "figures were")));
    caption.push(" guessed or assumed, in value or in tolerance.".into());
    Table {
        id: "pedigree".to_owned(),
        caption,
        columns: vec![
            Column::new("Of", Align::Left).fixed(60.0),
            Column::new("Figure", Align::Left),
            Column::new("Value", Align::Left),
            Column::new("Where it came from", Align::Left).share(1.0),
        ],
        rows,
        empty: "No figure entered.".to_owned(),
    }
}

/// Parts with the same figures from the same sources, together.
fn alike<'a>(material: &Material<'a>) -> Vec<(String, &'a Part)> {
    let mut groups: Vec<(String, &Part)> = Vec::new();
    for part in material.design.parts.values() {
        match groups
            .iter_mut()
            .find(|(_, other)| other.kind == part.kind && other.figures == part.figures)
        {
            Some((names, _)) => {
                names.push_str(", ");
                names.push_str(&part.reference);
            }
            None => groups.push((part.reference.clone(), part)),
        }
    }
    groups
}

fn property_words(property: Property) -> String {
    property.key().replace('-', " ")
}

fn input(of: &str, what: &str, figure: &Figure, unit: Unit) -> Row {
    let doubtful = matches!(figure.pedigree, Pedigree::Guessed(_) | Pedigree::Assumed(_));
    let mut source: Vec<Inline> = if doubtful {
        vec![strong(pedigree(&figure.pedigree))]
    } else {
        text(pedigree(&figure.pedigree))
    };
    if figure.tolerance_assumed {
        source.push("; ".into());
        source.push(strong("tolerance assumed"));
    }
    Row::new([
        if of.is_empty() {
            Cell::empty()
        } else {
            Cell::Text(vec![code(of)])
        },
        Cell::text(what),
        Cell::text(format_spread(&figure.spread, unit)),
        Cell::Text(source),
    ])
}

fn is_doubtful(row: &Row) -> bool {
    row.kind == RowKind::Body
        && matches!(row.cells.last(), Some(Cell::Text(words)) if words.iter().any(|w| matches!(w, Inline::Strong(_))))
}

//! Method and sources: what was looked at and how, what was not, and where every input came from.

use super::words::{check_anchor, counted, gate_name, pedigree, property_words, stage_name};
use super::{Material, View};
use crate::catalogue::{Figure, Pedigree};
use crate::checks::Outcome;
use crate::design::Connection;
use crate::dossier::block::{Align, Block, Cell, Column, Inline, Row, Table, code, strong, text};
use crate::quantity::{Spread, Unit, format_spread, rounded};
use indexmap::IndexMap;

pub(super) fn add(material: &Material, view: &mut View) {
    let evidence = material.evidence;
    view.field("checks_count", material.review.assessments.len());
    view.field("situations_count", evidence.situations.len());
    view.field("unsolved_count", evidence.unsolved.len());
    view.field("states_count", evidence.counts.states);
    view.field("parameters_count", evidence.counts.parameters);
    view.field("transients_count", evidence.counts.transients);
    view.offer("checks", true, checks(material));
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

/// Every check with its count of outcomes and its sources; those that found nothing to look at
/// follow by name.
fn checks(material: &Material) -> Vec<Block> {
    let mut rows = Vec::new();
    let mut idle: Vec<Inline> = Vec::new();
    let mut idle_count = 0;
    let mut stage = None;
    for checked in &material.review.assessments {
        let count = |of: fn(&Outcome) -> bool, words: &str| {
            let count = checked.outcomes.iter().filter(|o| of(o)).count();
            (count > 0).then(|| format!("{count}\u{A0}{words}"))
        };
        let said: Vec<String> = [
            count(|o| matches!(o, Outcome::Fails { .. }), "fail"),
            count(|o| matches!(o, Outcome::NotAssessed { .. }), "not assessed"),
            count(|o| matches!(o, Outcome::Holds { .. }), "hold"),
        ]
        .into_iter()
        .flatten()
        .collect();
        if said.is_empty() {
            idle.push(if idle_count == 0 {
                "".into()
            } else {
                ", ".into()
            });
            idle.push(code(checked.check.id));
            idle_count += 1;
            continue;
        }
        if stage != Some(checked.check.stage) {
            stage = Some(checked.check.stage);
            rows.push(Row::group(stage_name(checked.check.stage)));
        }
        let sources: Vec<String> = checked
            .check
            .sources
            .iter()
            .map(|source| format!("{} ({})", source.citation, source.mark.words()))
            .collect();
        rows.push(Row {
            id: check_anchor(checked.check.id),
            ..Row::new([
                Cell::code(checked.check.id),
                Cell::text(gate_name(checked.check.gate)),
                Cell::text(said.join(", ")),
                Cell::text(sources.join("; ")),
            ])
        });
    }
    let mut blocks = vec![Block::Table(Table {
        id: "checks".to_owned(),
        caption: text(
            "The checks that found something to look at, the most severe gate each can block, \
             what it said of how many places, and its sources.",
        ),
        columns: vec![
            Column::new("Check", Align::Left).fixed(112.0),
            Column::new("Gate", Align::Left),
            Column::new("Said", Align::Left).fixed(44.0),
            Column::new("Sources", Align::Left).share(1.0),
        ],
        rows,
        empty: "No check found anything to look at.".to_owned(),
    })];
    if idle_count > 0 {
        let mut words = text(format!(
            "{} nothing of their kind in this design: ",
            counted(idle_count, "check found", "checks found")
        ));
        words.extend(idle);
        words.push(". Each says what it would look at with ".into());
        words.push(code("preplug explain ID"));
        words.push(".".into());
        blocks.push(Block::Paragraph(words));
    }
    blocks
}

/// Every figure that entered, and where it came from; what is guessed or assumed stands out.
fn inputs(material: &Material) -> Table {
    let mut inputs = Inputs::default();
    for part in material.design.parts.values() {
        for (property, figure) in &part.figures {
            let words = property_words(*property);
            inputs.take(&words, figure, property.unit(part.kind));
        }
        inputs.close(&part.reference);
    }
    inputs.settle();
    for connection in material.design.connections.values().flatten() {
        match connection {
            Connection::Instrument {
                instrument,
                input: name,
                ..
            } => {
                let group = format!("{}, input {name}", instrument.title);
                inputs.rows.push(Row::group(group));
                if let Some(found) = instrument.inputs.get(name) {
                    inputs.take("accepts", &found.accepts, Unit::Volt);
                    let more = [
                        ("survives", &found.survives, Unit::Volt),
                        ("impedance", &found.impedance, Unit::Ohm),
                        ("capacitance", &found.capacitance, Unit::Farad),
                    ];
                    for (words, figure, unit) in more {
                        if let Some(figure) = figure {
                            inputs.take(words, figure, unit);
                        }
                    }
                    if let Some(supply) = &found.supply {
                        inputs.take("supply", &supply.voltage, Unit::Volt);
                        inputs.take("supply through", &supply.through, Unit::Ohm);
                    }
                }
                inputs.close("");
                inputs.settle();
            }
            Connection::Controller { controller, .. } => {
                inputs.rows.push(Row::group(controller.title.as_str()));
                inputs.take("element", &controller.element, Unit::Ohm);
                inputs.close("");
                inputs.settle();
            }
        }
    }
    let mut caption = text("Pedigree of every input. ");
    caption.push(strong(counted(
        inputs.doubtful,
        "figure was",
        "figures were",
    )));
    caption.push(" guessed or assumed, in value or in tolerance; they stand out.".into());
    Table {
        id: "pedigree".to_owned(),
        caption,
        columns: vec![
            Column::new("Of", Align::Left).fixed(64.0),
            Column::new("Figures", Align::Left).share(1.2),
            Column::new("Where they came from", Align::Left).share(1.0),
        ],
        rows: inputs.rows,
        empty: "No figure entered.".to_owned(),
    }
}

/// Rows of figures. Those of one part that came from one source share a row, and so do parts with
/// the same figures from the same source.
#[derive(Default)]
struct Inputs {
    rows: Vec<Row>,
    /// The open part's figures by source, with whether they are doubtful.
    open: IndexMap<(String, bool), Vec<String>>,
    /// Source, doubt and figures, with the parts they belong to.
    closed: IndexMap<(String, bool, String), Vec<String>>,
    doubtful: usize,
}

/// A figure's spread as it is shown: what somebody wrote or measured as it is, else rounded to three
/// figures.
fn shown(figure: &Figure) -> Spread {
    let as_given = matches!(
        figure.pedigree,
        Pedigree::Written(_) | Pedigree::Measured(_) | Pedigree::Guessed(_)
    );
    let Spread { low, nominal, high } = figure.spread;
    if as_given {
        return figure.spread;
    }
    Spread {
        low: rounded(low, 3),
        nominal: rounded(nominal, 3),
        high: rounded(high, 3),
    }
}

impl Inputs {
    fn take(&mut self, what: &str, figure: &Figure, unit: Unit) {
        let mut source = pedigree(&figure.pedigree);
        if figure.tolerance_assumed {
            source.push_str("; tolerance assumed");
        }
        let doubtful = figure.tolerance_assumed
            || matches!(figure.pedigree, Pedigree::Guessed(_) | Pedigree::Assumed(_));
        self.doubtful += usize::from(doubtful);
        let value = format_spread(&shown(figure), unit).replace(' ', "\u{A0}");
        self.open
            .entry((source, doubtful))
            .or_default()
            .push(format!("{what} {value}"));
    }

    fn close(&mut self, of: &str) {
        for ((source, doubtful), figures) in self.open.drain(..) {
            self.closed
                .entry((source, doubtful, figures.join("; ")))
                .or_default()
                .push(of.to_owned());
        }
    }

    fn settle(&mut self) {
        let mut named = String::new();
        for ((source, doubtful, figures), of) in self.closed.drain(..) {
            let of = of.join(", ");
            self.rows.push(Row::new([
                // The same parts are named once.
                if of == named {
                    Cell::empty()
                } else {
                    Cell::text(of.as_str())
                },
                Cell::text(figures),
                Cell::Text(standing_out(&source, doubtful)),
            ]));
            named = of;
        }
    }
}

/// The source, its first word strong where it is doubtful.
fn standing_out(source: &str, doubtful: bool) -> Vec<Inline> {
    if !doubtful {
        return text(source);
    }
    match source.split_once(':') {
        Some((word, rest)) if !word.contains(' ') => {
            vec![strong(format!("{word}:")), rest.into()]
        }
        _ => vec![strong(source)],
    }
}

//! Columns into bands, as text into lines: broken where the fewest nets are cut.

use super::cell::{Cell, Label, SMALL};
use super::element::{Element, Shape};
use super::flow::{Class, Flow};
use super::place::Column;
use crate::dossier::font::{Face, Fonts};
use std::collections::BTreeSet;
use std::ops::Range;

/// A run of columns set side by side, with the nets that go on elsewhere.
pub(super) struct Band {
    pub columns: Range<usize>,
    /// Where the axis of each column stands.
    pub axes: Vec<i32>,
    /// Nets that come from an earlier band, or from another sheet.
    pub from: Vec<String>,
    /// Nets that go on in a later band.
    pub onto: Vec<String>,
    /// Steps from the left edge to the first column, and the whole width.
    pub margin: i32,
    pub width: i32,
}

/// What breaking costs: a rail or a signal that goes on elsewhere, a line that is wholly empty, a
/// further line. A rail is looked for by its name anyhow; a signal is followed along its wire.
const RAIL: f64 = 0.1;
const SIGNAL: f64 = 0.4;
const EMPTY: f64 = 2.0;
const LINE: f64 = 1.2;
/// A regulator torn from the capacitors before it.
const TORN: f64 = 0.3;

struct Setter<'a> {
    columns: &'a [Column],
    elements: &'a [Element<'a>],
    nets: Vec<BTreeSet<String>>,
    spans: Vec<(i32, i32)>,
    gap: i32,
    flow: &'a Flow,
    fonts: &'a Fonts,
}

/// Breaks columns into bands no wider than `width`, where that can be done.
pub(super) fn bands(
    columns: &[Column],
    elements: &[Element],
    width: i32,
    gap: i32,
    flow: &Flow,
    fonts: &Fonts,
) -> Vec<Band> {
    let setter = Setter {
        columns,
        elements,
        nets: columns
            .iter()
            .map(|column| nets(&column.cells, elements))
            .collect(),
        spans: columns.iter().map(span).collect(),
        gap,
        flow,
        fonts,
    };
    let count = columns.len();
    // The best way to set the columns up to each, and where its last band starts.
    let mut best: Vec<(f64, usize)> = vec![(0.0, 0)];
    for end in 1..=count {
        let mut here = (f64::MAX, end - 1);
        for start in (0..end).rev() {
            let band = setter.band(start..end);
            if band.width > width && start + 1 < end {
                break;
            }
            let slack = f64::from((width - band.width).max(0)) / f64::from(width);
            let torn = if end < count && setter.begins_stage(end) {
                TORN
            } else {
                0.0
            };
            let cost = best[start].0 + LINE + setter.cut(&band) + torn + EMPTY * slack * slack;
            if cost < here.0 {
                here = (cost, start);
            }
        }
        best.push(here);
    }
    let mut bands = Vec::new();
    let mut end = count;
    while end > 0 {
        let start = best[end].1;
        bands.insert(0, setter.band(start..end));
        end = start;
    }
    bands
}

impl Setter<'_> {
    fn band(&self, columns: Range<usize>) -> Band {
        let within: BTreeSet<&String> = self.nets[columns.clone()].iter().flatten().collect();
        let shared = |others: &[BTreeSet<String>]| -> Vec<String> {
            let mut found: BTreeSet<&String> = others.iter().flatten().collect();
            found.retain(|net| within.contains(net));
            found.into_iter().cloned().collect()
        };
        let from = shared(&self.nets[..columns.start]);
        let mut onto = shared(&self.nets[columns.end..]);
        // What enters at the left is named there already.
        onto.retain(|net| !from.contains(net));
        let margin = self.room(&from);
        let mut x = margin;
        let mut axes = Vec::new();
        let mut circuit = None;
        for column in columns.clone() {
            let (left, right) = self.spans[column];
            // A new circuit stands apart.
            let here = self.columns[column].circuit;
            if circuit.is_some_and(|before| before != here) {
                x += 3;
            }
            circuit = Some(here);
            axes.push(x - left);
            x += right - left + self.gap;
        }
        let width = x + self.room(&onto);
        Band {
            columns,
            axes,
            from,
            onto,
            margin,
            width,
        }
    }

    /// Does a column hold a regulator?
    fn begins_stage(&self, column: usize) -> bool {
        let mut cells = self.columns[column].cells.iter();
        cells.any(|cell| self.elements[cell.element].shape == Shape::Through)
    }

    fn cut(&self, band: &Band) -> f64 {
        let nets = band.from.iter().chain(&band.onto);
        nets.map(|net| match self.flow.class(net) {
            Class::Positive | Class::Negative => RAIL,
            _ => SIGNAL,
        })
        .sum()
    }

    /// Room for flags with these names.
    fn room(&self, names: &[String]) -> i32 {
        names
            .iter()
            .map(|name| flag_width(name, self.fonts) + 2)
            .max()
            .unwrap_or(0)
    }
}

/// Steps that a flag with this name takes.
pub(super) fn flag_width(name: &str, fonts: &Fonts) -> i32 {
    // Names are short.
    #[allow(clippy::cast_possible_truncation)]
    let width = (Label::new(fonts, name, SMALL, Face::Condensed).width + 2.6).ceil() as i32;
    width
}

fn nets(cells: &[Cell], elements: &[Element]) -> BTreeSet<String> {
    cells
        .iter()
        .flat_map(|cell| elements[cell.element].nets())
        .filter(|net| *net != "gnd")
        .map(str::to_owned)
        .collect()
}

fn span(column: &Column) -> (i32, i32) {
    let mut span = column.cells.iter().fold((0, 0), |span, cell| {
        let [left, _, right, _] = cell.extent();
        (span.0.min(left), span.1.max(right))
    });
    for (x, _) in column.grounds.iter().flatten() {
        span = (span.0.min(x - 2), span.1.max(x + 1));
    }
    span
}

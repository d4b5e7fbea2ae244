//! Names of nets and test points, set beside the wires where there is room.

use super::cell::{Label, SMALL, Tone};
use super::route::{Routed, overlap};
use super::symbol::Point;
use crate::design::Design;
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::Anchor;
use std::collections::BTreeMap;

/// A ring on a wire where a reading is taken, with its name.
#[derive(Debug, Clone)]
pub(super) struct TestPoint {
    pub at: Point,
    pub label: Label,
}

/// What was named on a band.
#[derive(Debug, Default)]
pub(super) struct Names {
    pub nets: Vec<Label>,
    pub points: Vec<TestPoint>,
}

/// A straight piece of one net's wire.
struct Run {
    from: Point,
    to: Point,
}

/// Names nets and test points on a band; `wanted` holds the test points not drawn so far, and
/// loses those that found a place.
pub(super) fn name(
    routed: &mut Routed,
    design: &Design,
    wanted: &mut Vec<String>,
    fonts: &Fonts,
) -> Names {
    let mut names = Names::default();
    let runs = runs(routed);
    for (net, runs) in &runs {
        let name = routed.nets[*net].clone();
        if name == "gnd" {
            continue;
        }
        let here: Vec<String> = wanted
            .iter()
            .filter(|point| design.test_points.get(*point) == Some(&name))
            .cloned()
            .collect();
        for point in here {
            let label = Label::new(fonts, &point, SMALL, Face::CondensedSemiBold).tone(Tone::Net);
            if let Some((at, label)) = ringed(routed, runs, &label) {
                routed.areas.push(grown(label.area(), APART));
                routed.areas.push(ring_area(at));
                names.points.push(TestPoint { at, label });
                wanted.retain(|other| *other != point);
            }
        }
        let flagged = routed.flags.iter().any(|flag| flag.net == name);
        let label = Label::new(fonts, &name, SMALL, Face::Condensed).tone(Tone::Net);
        if !flagged && let Some(label) = beside(routed, runs, &label) {
            routed.areas.push(label.area());
            names.nets.push(label);
        }
    }
    names
}

/// Steps between words that do not belong together.
const APART: f64 = 0.3;

fn grown([left, top, right, bottom]: [f64; 4], by: f64) -> [f64; 4] {
    [left - by, top, right + by, bottom]
}

/// The straight pieces of each net's wires, the longest lying ones first.
fn runs(routed: &Routed) -> BTreeMap<usize, Vec<Run>> {
    let mut all: BTreeMap<usize, Vec<Run>> = BTreeMap::new();
    for (net, from, to) in &routed.grid.wires {
        let runs = all.entry(*net).or_default();
        let lying = from.1 == to.1;
        let joins = runs
            .iter_mut()
            .find(|run| run.to == *from && (run.from.1 == run.to.1) == lying);
        match joins {
            Some(run) => run.to = *to,
            None => runs.push(Run {
                from: *from,
                to: *to,
            }),
        }
    }
    // Parts that touch have no wire between them; their net is named at the touch.
    for (net, at) in &routed.touches {
        all.entry(*net)
            .or_default()
            .push(Run { from: *at, to: *at });
    }
    for runs in all.values_mut() {
        runs.sort_by_key(|run| {
            let length = run.to.0 - run.from.0 + run.to.1 - run.from.1;
            (!lying(run), -length, run.from)
        });
    }
    all
}

/// A touch counts as a standing piece.
fn lying(run: &Run) -> bool {
    run.from.1 == run.to.1 && run.from != run.to
}

fn is_free(routed: &Routed, area: [f64; 4]) -> bool {
    let clear = |wire: &(usize, Point, Point)| {
        let (_, from, to) = wire;
        let wire = [from.0, from.1, to.0, to.1].map(f64::from);
        !overlap(
            area,
            [
                wire[0] - 0.15,
                wire[1] - 0.15,
                wire[2] + 0.15,
                wire[3] + 0.15,
            ],
        )
    };
    !routed
        .areas
        .iter()
        .any(|other| overlap(grown(area, APART), *other))
        && routed.grid.wires.iter().all(clear)
}

/// Above, below or at the side of a wire.
fn beside(routed: &Routed, runs: &[Run], label: &Label) -> Option<Label> {
    runs.iter().find_map(|run| {
        let lying = lying(run);
        let length = run.to.0 - run.from.0 + run.to.1 - run.from.1;
        (0..=length).find_map(|along| {
            let tries = if lying {
                let (x, y) = (f64::from(run.from.0 + along), f64::from(run.from.1));
                [
                    label.clone().at(x + 0.2, y - 0.5, Anchor::Start),
                    label.clone().at(x + 0.2, y + 1.35, Anchor::Start),
                ]
            } else {
                let (x, y) = (f64::from(run.from.0), f64::from(run.from.1 + along));
                [
                    label.clone().at(x + 0.5, y + 0.5, Anchor::Start),
                    label.clone().at(x - 0.5, y + 0.5, Anchor::End),
                ]
            };
            tries
                .into_iter()
                .find(|label| is_free(routed, label.area()))
        })
    })
}

fn ring_area((x, y): Point) -> [f64; 4] {
    let (x, y) = (f64::from(x), f64::from(y));
    [x - 0.5, y - 0.5, x + 0.5, y + 0.5]
}

/// A point of a wire with room for a ring on it and its name above or below.
fn ringed(routed: &Routed, runs: &[Run], label: &Label) -> Option<(Point, Label)> {
    runs.iter().find_map(|run| {
        let lying = lying(run);
        let length = run.to.0 - run.from.0 + run.to.1 - run.from.1;
        (0..=length).find_map(|along| {
            let at = if lying {
                (run.from.0 + along, run.from.1)
            } else {
                (run.from.0, run.from.1 + along)
            };
            let ring = ring_area(at);
            let clear = !routed.areas.iter().any(|other| overlap(ring, *other));
            let wires = routed.grid.wires.iter();
            let around = wires.filter(|(_, from, to)| *from == at || *to == at);
            if !clear || around.count() > 2 {
                return None;
            }
            let (x, y) = (f64::from(at.0), f64::from(at.1));
            [
                label.clone().at(x, y - 0.9, Anchor::Middle),
                label.clone().at(x, y + 1.75, Anchor::Middle),
                label.clone().at(x + 0.9, y + 0.5, Anchor::Start),
                label.clone().at(x - 0.9, y + 0.5, Anchor::End),
            ]
            .into_iter()
            .find(|label| is_free(routed, label.area()))
            .map(|label| (at, label))
        })
    })
}

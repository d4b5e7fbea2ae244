//! A design with all its hypotheses, each solved when it is first asked for.

use super::draws::{Conditions, draws};
use super::hypothesis::{Hypothesis, hypotheses};
use super::places::{MOST_SETTINGS, Places, Slot};
use super::predict::{Prediction, predict, start};
use crate::design::Design;
use crate::records::Point;
use crate::situations::{Corner, State, states};
use crate::solver;
use std::sync::OnceLock;

/// Draws to find out which hypotheses are worth a closer look …
const COARSE: usize = 8;
/// … and for those that are, at least and at most, and how many solutions may be spent if all were
/// (project choice: a few seconds).
const FINE: [usize; 2] = [16, 32];
const BUDGET: usize = 8_000;

/// Everything that may be the matter with a box, and what would then be read.
pub struct Model<'a> {
    pub(super) design: &'a Design,
    pub(super) places: Places,
    pub(super) nominal: State,
    hypotheses: Vec<Solved>,
    draws: Vec<Corner>,
    start: Option<solver::State>,
}

struct Solved {
    hypothesis: Hypothesis,
    coarse: OnceLock<Prediction>,
    fine: OnceLock<Prediction>,
}

impl<'a> Model<'a> {
    /// For readings at these points, under these conditions, with a meter of this input
    /// resistance [Ω].
    #[must_use]
    pub fn new(design: &'a Design, points: &[Point], conditions: &Conditions, input: f64) -> Self {
        let nominal = states(design).0.into_iter().next().unwrap_or_default();
        let places = Places::new(design, points, input, MOST_SETTINGS);
        let asked = &places.asked;
        // One draw tells circuits apart as well as all do.
        let corner = draws(design, conditions, 1).remove(0);
        let hypotheses: Vec<Solved> = hypotheses(design, &asked.settings, &corner, &asked.jacks)
            .into_iter()
            .map(|hypothesis| Solved {
                hypothesis,
                coarse: OnceLock::new(),
                fine: OnceLock::new(),
            })
            .collect();
        let each = (asked.settings.len() * hypotheses.len()).max(1);
        let count = (BUDGET / each).clamp(FINE[0], FINE[1]);
        Self {
            start: asked
                .settings
                .first()
                .and_then(|state| start(design, state)),
            draws: draws(design, conditions, count),
            design,
            nominal,
            hypotheses,
            places,
        }
    }

    /// How many hypotheses there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.hypotheses.len()
    }

    /// Are there none? Never: the healthy box is one.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.hypotheses.is_empty()
    }

    /// One of them.
    #[must_use]
    pub fn hypothesis(&self, index: usize) -> &Hypothesis {
        &self.hypotheses[index].hypothesis
    }

    /// What would be read, by a few draws.
    pub(super) fn coarse(&self, index: usize) -> &Prediction {
        self.hypotheses[index]
            .coarse
            .get_or_init(|| self.solve(index, &self.draws[..COARSE], true))
    }

    /// The same, by all of them.
    pub(super) fn fine(&self, index: usize) -> &Prediction {
        self.hypotheses[index].fine.get_or_init(|| {
            let more = self.solve(index, &self.draws[COARSE..], false);
            self.coarse(index).clone().with(more)
        })
    }

    fn solve(&self, index: usize, draws: &[Corner], cold: bool) -> Prediction {
        let design = &self.hypotheses[index].hypothesis.design;
        predict(design, &self.places.asked, draws, cold, self.start.as_ref())
    }

    /// Where a point stands in a prediction.
    pub(super) fn slot(&self, point: &Point, way: usize) -> Option<Slot> {
        self.places.slot(self.design, &self.nominal, point, way)
    }
}

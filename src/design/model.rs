//! The design as a whole: title block, conditions, parts, nets, promises and connections.

use super::{Connection, Part, Promise};
use crate::catalogue::Kind;
use crate::quantity::Spread;
use crate::source::Span;
use indexmap::IndexMap;

/// A checked design. Maps keep the order of the file.
#[derive(Debug, Clone)]
pub struct Design {
    /// Title of the build.
    pub title: String,
    /// Revision, as written.
    pub revision: Option<String>,
    /// Date as written, ISO 8601 (`2026-09-02`).
    pub date: Option<String>,
    /// Author.
    pub author: Option<String>,
    /// Licence, SPDX identifier.
    pub licence: Option<String>,
    /// What the box is for, one or two sentences.
    pub purpose: Option<String>,
    /// What changed in each revision, as written.
    pub revisions: IndexMap<String, String>,
    /// Free remarks of the designer.
    pub notes: Vec<String>,
    /// Mains, ambient and enclosure.
    pub conditions: Conditions,
    /// Derating policy.
    pub derating: Derating,
    /// Boxes drawn at random.
    pub draws: Draws,
    /// The parts by reference.
    pub parts: IndexMap<String, Part>,
    /// Net names; `gnd` first, then in order of first appearance. `nc` is not listed.
    pub nets: Vec<String>,
    /// Nets declared isolated from `gnd`.
    pub isolated: Vec<String>,
    /// What the designer intends.
    pub promises: Vec<Promise>,
    /// Test point → net.
    pub test_points: IndexMap<String, String>,
    /// Net → colour of its wires, in the designer's words; nets without one are left to the builder.
    pub wires: IndexMap<String, String>,
    /// Parts in the order in which the schematic is to show them from left to right, where the
    /// designer wants another than the drawing's own.
    pub layout: Vec<String>,
    /// Jack or connector → what may be plugged there. The first is the nominal one; *unplugged*
    /// is always a further state.
    pub connections: IndexMap<String, Vec<Connection>>,
    /// Where each key route of the file stands, e.g. `parts.C1.rating`; dots join the keys.
    pub spans: IndexMap<String, Span>,
}

/// How many boxes are drawn at random in each state, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Draws {
    /// Boxes; none when zero.
    pub runs: usize,
    /// The seed: the same one draws the same boxes.
    pub seed: u64,
}

impl Default for Draws {
    /// Enough to bound the 2.5 % and 97.5 % quantiles on both sides with 95 % confidence, which
    /// takes 146 (0.975ⁿ ≤ 0.025), with some to spare.
    fn default() -> Self {
        Self { runs: 200, seed: 1 }
    }
}

/// The surroundings the box must work in.
#[derive(Debug, Clone)]
pub struct Conditions {
    /// The mains, when an adaptor or transformer is present.
    pub mains: Option<Mains>,
    /// Ambient temperature range [°C]; nominal 25 °C or the nearest end.
    pub ambient: Spread,
    /// `true` when the design did not give the ambient.
    pub ambient_assumed: bool,
    /// The box itself.
    pub enclosure: Option<Enclosure>,
}

/// The mains supply.
#[derive(Debug, Clone, Copy)]
pub struct Mains {
    /// Voltage [V rms].
    pub voltage: Spread,
    /// Frequency [Hz].
    pub frequency: f64,
    /// `true` when the tolerance was not given.
    pub tolerance_assumed: bool,
}

/// The enclosure.
#[derive(Debug, Clone)]
pub struct Enclosure {
    /// Length, width, height [m].
    pub size: Option<[f64; 3]>,
    /// Material as written.
    pub material: Option<String>,
    /// Does it conduct?
    pub conductive: Option<bool>,
    /// The net it is joined to.
    pub joined_to: Option<String>,
    /// Thermal resistance inside air to room air, when the design gives it [K/W].
    pub thermal_resistance: Option<f64>,
}

/// How far below their ratings parts are to be run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Derating {
    /// Harsh service.
    Severe,
    /// Indoor, attended service: the default.
    Benign,
    /// Ratings themselves.
    None,
}

impl Design {
    /// The supplies that come by themselves and can be measured so: adaptors and batteries.
    /// A transformer is not among them: to measure its windings
    /// open, its primary has to be on the mains.
    pub fn supplies(&self) -> impl Iterator<Item = &Part> {
        let kinds = [Kind::AcAdaptor, Kind::DcAdaptor, Kind::Battery];
        self.parts
            .values()
            .filter(move |part| kinds.contains(&part.kind))
    }

    /// The span of the nearest route that the file holds: `parts.C1.rating`, else `parts.C1` …
    #[must_use]
    pub fn span(&self, route: &str) -> Option<Span> {
        let mut route = route;
        loop {
            if let Some(span) = self.spans.get(route) {
                return Some(*span);
            }
            route = route.rsplit_once('.')?.0;
        }
    }
}

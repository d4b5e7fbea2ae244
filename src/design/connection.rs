//! Devices outside the box: instruments and controllers, and what may be plugged where.

use crate::catalogue::{Figure, Pedigree};
use indexmap::IndexMap;

/// One thing that may be plugged into a jack.
#[derive(Debug, Clone)]
pub enum Connection {
    /// The box feeds an instrument's input.
    Instrument {
        /// The instrument.
        instrument: Box<Instrument>,
        /// Which of its inputs (a key of [`Instrument::inputs`]).
        input: String,
        /// Cable: `TS` or `TRS`.
        cable: String,
    },
    /// A controller (pedal, sensor) feeds the box.
    Controller {
        /// The controller.
        controller: Box<Controller>,
        /// Cable.
        cable: String,
    },
}

/// An instrument, from its own file.
#[derive(Debug, Clone)]
pub struct Instrument {
    /// Title.
    pub title: String,
    /// Path as written in the design.
    pub path: String,
    /// Its inputs.
    pub inputs: IndexMap<String, Input>,
    /// Remarks.
    pub notes: Vec<String>,
}

/// One input of an instrument.
#[derive(Debug, Clone)]
pub struct Input {
    /// Connector contacts: `TS` or `TRS`.
    pub contacts: String,
    /// Which contact carries the signal.
    pub signal: String,
    /// Range it works within [V]: low and high ends of the figure.
    pub accepts: Figure,
    /// Range it survives [V].
    pub survives: Option<Figure>,
    /// Input impedance signal to sleeve [Ω].
    pub impedance: Option<Figure>,
    /// Supply the instrument puts on a contact.
    pub supply: Option<Supply>,
    /// Protection, if known, as text.
    pub protection: Option<String>,
    /// Input capacitance, if given [F].
    pub capacitance: Option<Figure>,
    /// What may sit in the neighbouring input, as text.
    pub neighbour: Option<String>,
}

/// How far a guessed range is drawn in at each end, as a share of its width: a project choice.
const GUESS: f64 = 0.1;

impl Input {
    /// Ends of the range it works within [V]; drawn in when guessed.
    #[must_use]
    pub fn accepted(&self) -> (f64, f64) {
        ends(&self.accepts)
    }

    /// Ends of the range it survives [V]; drawn in when guessed. `None` when nobody says.
    #[must_use]
    pub fn survived(&self) -> Option<(f64, f64)> {
        self.survives.as_ref().map(ends)
    }
}

fn ends(figure: &Figure) -> (f64, f64) {
    let (low, high) = (figure.spread.low, figure.spread.high);
    let draw = if matches!(figure.pedigree, Pedigree::Guessed(_)) {
        (high - low) * GUESS
    } else {
        0.0
    };
    (low + draw, high - draw)
}

/// A supply that an instrument puts on a contact.
#[derive(Debug, Clone)]
pub struct Supply {
    /// Contact: `tip` or `ring`.
    pub contact: String,
    /// Voltage [V].
    pub voltage: Figure,
    /// Series resistance [Ω].
    pub through: Figure,
    /// Can it sink current?
    pub sinks: Option<bool>,
    /// What else hangs on that supply.
    pub shared_with: Option<String>,
}

/// A controller (pedal) from its own file: a resistive element between contacts.
#[derive(Debug, Clone)]
pub struct Controller {
    /// Title.
    pub title: String,
    /// Path as written in the design.
    pub path: String,
    /// Connector contacts: `TS` or `TRS`.
    pub contacts: String,
    /// Element resistance end to end [Ω].
    pub element: Figure,
    /// Series resistance in the wiper lead [Ω], if any.
    pub series: Option<Figure>,
    /// Law: `linear`, `audio`, `reverse-audio`.
    pub law: String,
    /// Wirings a user might own; the first is the one meant.
    pub wirings: Vec<Wiring>,
}

/// Which contact each end and the wiper of a controller's element goes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wiring {
    /// Name, e.g. `wiper on tip`.
    pub name: String,
    /// Contact of the end the wiper reaches at full travel; empty when open.
    pub top: String,
    /// Contact of the wiper.
    pub wiper: String,
    /// Contact of the other end.
    pub bottom: String,
}

//! A built unit at the bench: its readings judged against the prediction and the promises, how far
//! its bring-up has come, and whether this unit may be powered, plugged in and shared.
//!
//! Opens no file and solves nothing of its own; the design's gates are decided in `review`.

mod answer;
mod as_built;
mod drift;
mod gates;
mod judge;
mod progress;
mod prompt;

pub use answer::{Answer, answer};
pub use as_built::{AsBuilt, as_built};
pub use drift::{Drift, drifts};
pub use gates::{UnitGate, before_measuring, not_passed, unit_gates};
pub use judge::{Judged, Kept, Predicted, judge};
pub use progress::{Progress, Standing, counting, nominal_setting, progress, standing};
pub use prompt::{expectation, prompt};

use crate::quantity::{Unit, format_to};

/// A reading as it is printed; `OL` beyond the range.
#[must_use]
pub fn shown(reads: f64, unit: Unit) -> String {
    if reads.is_finite() {
        format_to(reads, unit, 4)
    } else {
        "OL".to_owned()
    }
}

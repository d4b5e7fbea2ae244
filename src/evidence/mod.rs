//! Evidence: what the solver said of every net and part, in which situation, and what it could
//! not say. Checks read it and never solve.

mod extent;
mod quantity;
mod table;

pub use extent::{Extent, Missing};
pub use quantity::{Measure, Stress};
pub use table::{Curve, CurvePoint, Evidence, Excursion, Recording, SituationId};

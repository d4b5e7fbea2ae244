//! Evidence: what the solver said of every net and part, in which situation, and what it could
//! not say. Checks read it and never solve.

mod account;
mod ascent;
mod binding;
pub mod carlo;
mod cold;
mod collect;
mod corners;
pub mod disturbed;
mod extent;
mod observe;
mod quantity;
pub mod safe_area;
mod solve;
mod sweeps;
mod table;
pub mod thermal;
mod traces;
mod transients;
mod warm;

pub use account::Account;
pub use collect::collect;
pub use disturbed::collect_disturbed;
pub use extent::{Extent, Missing};
pub use quantity::{Measure, Stress};
pub use sweeps::outputs;
pub use table::{Counts, Curve, CurvePoint, Evidence, Excursion, Recording, SituationId, Trace};
pub use warm::BEYOND as BEYOND_ANY_MODEL;

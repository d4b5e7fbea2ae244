//! Situations: every state of switches, controls, plugs and devices, and the corners of
//! tolerances, mains, load and ambient; every single fault and slip. Knows nothing of how a
//! situation is solved.

mod corner;
pub mod disturbance;
mod situation;
mod state;

pub use corner::{Corner, Level, Parameter, device_figures, parameters};
pub use situation::{Situation, Temperatures, alone, powered};
pub use state::{Plugged, State, control_name, states};

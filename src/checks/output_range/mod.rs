//! Output range: is what the box puts out what the instrument takes?

pub mod faults_and_slips_not_assessed;
pub mod guess_used_as_fact;
pub mod instrument_unknown;
pub mod junction_promise_missed;
pub mod loading_error;
pub mod op_amp_clips;
pub mod op_amp_output_overload;
pub mod output_asymmetric;
pub mod output_excursion;
pub mod output_floats;
pub mod output_outside_accepted;
pub mod output_outside_survived;
pub mod output_unprotected;
pub mod promised;
pub mod rail_promise_missed;
pub mod range;
pub mod range_unused;
pub mod ripple_at_output;
pub mod ripple_promise_missed;
pub mod span_promise_missed;
pub mod step_on_switching;
pub mod travel_too_steep;
pub mod unplugged_controller_jumps;
pub mod useful_travel;

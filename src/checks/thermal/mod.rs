//! Thermal: does everything stay cool enough, for long enough?

pub mod adaptor_overheats;
pub mod box_air_hot;
pub mod electrolytic_hot;
pub mod electrolytic_over_temperature;
pub mod electrolytic_short_life;
pub mod heat;
pub mod junction_hot;
pub mod junction_over_temperature;
pub mod rail_drifts_with_warm_up;
pub mod resistor_hot_spot;
pub mod short_circuit_overheats;

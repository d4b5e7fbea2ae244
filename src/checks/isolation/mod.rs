//! Isolation and mains: can anyone, or the instrument, be hurt by the supply?

pub mod adaptor_class_unknown;
pub mod adaptor_polarity_unstated;
pub mod cable_capacitance;
pub mod earth_loop;
pub mod enclosure_unbonded;
pub mod extra_low_voltage;
pub mod floating_adaptor_meets_jack;
pub mod mains_tolerance_narrow;
pub mod optocoupler_barrier_weak;
pub mod primary_inside_box;
pub mod source_unprotected;
pub mod stored_charge_lingers;
pub mod transformer_primary_mismatch;

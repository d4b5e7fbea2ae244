//! Thermal: does everything stay cool enough, for long enough?

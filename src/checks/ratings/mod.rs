//! Ratings: is every part used within what its maker allows?

pub mod capacitor_over_voltage;

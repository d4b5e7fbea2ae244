//! Polarity: is everything the right way round, and does nothing push back?

pub mod ac_where_dc_is_needed;
pub mod back_feed_into_box;
pub mod back_feed_into_instrument;
pub mod dc_where_ac_is_needed;
pub mod diode_turned;
pub mod electrolytic_reversed;
pub mod led_dark;
pub mod led_turned;
pub mod rail_clamp_missing;
pub mod rail_dragged_past_ground;
pub mod regulators_in_parallel;
pub mod reversed_supply_unprotected;
pub mod supplies_joined;
pub mod supply_contact_driven;
pub mod zener_turned;

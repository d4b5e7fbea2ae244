//! Pinout: is each pin, lug and contact where the part has it?

pub mod controller_wiring_not_served;
pub mod jack_sleeve_not_ground;
pub mod op_amp_feedback_swapped;
pub mod op_amp_supply_swapped;
pub mod pin_order_of_another_package;
pub mod pin_order_unconfirmed;
pub mod plug_shorts_supply;
pub mod potentiometer_miswired;
pub mod regulator_ground_pin;
pub mod regulator_input_output_swapped;
pub mod signal_contact_wrong;
pub mod tab_touches_enclosure;
pub mod terminal_open;

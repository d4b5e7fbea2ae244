//! Pinout: is each pin, lug and contact where the part has it?

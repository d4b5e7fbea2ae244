//! The one ordered list of checks.

use super::{Check, ratings};

/// Every check, by stage, in the order in which the dossier prints them.
pub const REGISTRY: &[Check] = &[ratings::capacitor_over_voltage::CHECK];

/// The check of an id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Check> {
    REGISTRY.iter().find(|check| check.id == id)
}

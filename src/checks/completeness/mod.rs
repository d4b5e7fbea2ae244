//! Completeness: can a stranger build it and trust it?

pub mod ambient_assumed;
pub mod author_missing;
pub mod derating_switched_off;
pub mod disposition_without_effect;
pub mod enclosure_missing;
pub mod licence_missing;
pub mod note_contradicted;
pub mod photos_missing;
pub mod promises_missing;
pub mod purpose_missing;
pub mod rating_assumed;
pub mod revision_notes_missing;
pub mod stated;
pub mod test_points_missing;
pub mod tolerance_assumed;
pub mod unit_not_measured;

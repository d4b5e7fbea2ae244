//! Words that a shared design carries.

use crate::checks::prelude::*;

/// Is it written? `what` is wrong if not, `why` that matters, and the remedy.
#[must_use]
pub fn stated(key: &str, text: Option<&str>, what: &str, why: &str, remedy: &str) -> Vec<Outcome> {
    let place = Place::design(key);
    vec![if text.is_some_and(|text| !text.trim().is_empty()) {
        Outcome::holds(place, "it is stated")
    } else {
        Outcome::fails(place, Failure::new(Gate::Share, what, why, remedy))
    }]
}

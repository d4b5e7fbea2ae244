//! Promises: in which situations they bind, and how each is looked at.

use crate::checks::prelude::*;
use crate::design::Promise;

/// Does a promise bind in a situation? Box on, as meant, and in the states that `when` names.
#[must_use]
pub fn binds(design: &Design, promise: &Promise, situation: &Situation) -> bool {
    as_meant(situation)
        && promise.when.iter().all(|(name, positions)| {
            let switch = design.parts.values().find(|part| {
                part.reference == *name || part.word("control") == Some(name.as_str())
            });
            let Some((part, Structure::Contacts { positions: all, .. })) =
                switch.map(|part| (part, &part.structure))
            else {
                return true;
            };
            situation
                .state
                .switches
                .get(&part.reference)
                .and_then(|index| all.get(*index))
                .is_some_and(|position| positions.contains(position))
        })
}

/// Looks at every promise that `look` takes up.
pub fn each_promise(
    context: &Context,
    none: &str,
    look: impl Fn(usize, &Promise) -> Option<Look>,
) -> Vec<Outcome> {
    let mut outcomes = Vec::new();
    for (index, promise) in context.design.promises.iter().enumerate() {
        if let Some(looked) = look(index, promise) {
            outcomes.push(looked.unwrap_or_else(|missing| {
                Outcome::missing(Place::promise(index), Gate::Share, &missing)
            }));
        }
    }
    if outcomes.is_empty() {
        outcomes.push(Outcome::does_not_apply(Place::design("promises"), none));
    }
    outcomes
}

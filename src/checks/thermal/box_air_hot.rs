//! See [`CHECK`].

use crate::checks::prelude::*;

/// Rise of the air in the box over the room [K].
const RISE: f64 = 20.0;

check! {
    /// Compares the rise of the air in the closed box over the room, at its hottest part, with
    /// 20 K.
    ///
    /// Every part in the box lives in that air. A small plastic box rises 13 K for each watt.
    ///
    /// Limits: all six faces free; a box standing on foam or under a cloth rises more.
    id: "box-air-hot", gate: Share, stage: Thermal,
    sources: [
        ("still air, k = 5.5 W/m²K painted steel, 3.5 plastic, 12 aluminium", Secondary),
        ("100 × 60 × 30 mm: 13.2 K/W plastic, 3.9 K/W bare aluminium", Computed),
        ("20 K of rise is enough for a box that is handled", Practice),
    ],
    sign_off: "The box has air around it where it is used.",
    always_applies: "every box has air in it",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let place = Place::design("conditions.enclosure");
    let hottest = context
        .design
        .parts
        .values()
        .filter_map(|part| {
            context
                .evidence
                .stress(&part.reference, Stress::Air, powered)
                .ok()
        })
        .max_by(|a, b| a.high.total_cmp(&b.high));
    let Some(air) = hottest else {
        return vec![Outcome::not_assessed(
            place,
            Gate::Share,
            "the air in the box was not computed; give the enclosure's size and material",
        )];
    };
    let room = context.design.conditions.ambient.high;
    let comparison = Comparison::at_most(
        "air in the box",
        &air,
        room + RISE,
        Unit::Celsius,
        format!("20 K above a room of {}", celsius(room)),
    );
    vec![Outcome::compare(place, comparison, |c| {
        Failure::new(
            Gate::Share,
            format!(
                "The air in the box reaches {}, {} above the room; 20 K is the most it should be.",
                c.value_text(),
                format(c.value - room, Unit::Kelvin)
            ),
            "Everything in the box ages with that air, electrolytics first.",
            "Use a larger or a metal box, cut ventilation slots, or dissipate less.",
        )
    })]
}

//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks where the metal tab of every part that has one is screwed to, and compares the net
    /// the tab belongs to with the net it touches.
    ///
    /// The tab of a 78xx is ground, that of a 79xx is its input, that of an LM317 its output.
    /// Screwed bare to a metal box that is ground, the last two short a supply.
    ///
    /// Limits: what `tab-to` and `insulator` say; a tab not said to touch anything is taken as
    /// free.
    id: "tab-touches-enclosure", gate: Power, stage: Pinout,
    sources: [
        ("79xx: tab is the input (TS7900 pin 2, tab); 78xx: tab is ground (onsemi MC7800)", Confirmed),
        ("LM317 in TO-220: tab is the output (ST)", Memory),
    ],
    sign_off: "Before power the resistance from each tab to the box was measured.",
    always_assessed: "the design alone is read, nothing is computed",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let design = context.design;
    let enclosure = design.conditions.enclosure.as_ref();
    let mut outcomes = Vec::new();
    for part in design.parts.values() {
        let Some(function) = &part.tab else { continue };
        let place = at(part, "tab-to");
        let word = match function.as_str() {
            "in" => "input",
            "out" => "output",
            other => other,
        };
        let own = part.net(function).unwrap_or("nc");
        let touches = match part.word("tab-to") {
            None | Some("free") => {
                outcomes.push(Outcome::holds(
                    place,
                    format!("the tab ({word}, on {own}) is free"),
                ));
                continue;
            }
            Some("enclosure") => match enclosure {
                Some(e) if e.conductive == Some(false) => {
                    outcomes.push(Outcome::holds(place, "the enclosure does not conduct"));
                    continue;
                }
                Some(e) => e
                    .joined_to
                    .clone()
                    .unwrap_or_else(|| "the enclosure".to_owned()),
                None => "the enclosure".to_owned(),
            },
            Some(net) => net.to_owned(),
        };
        if touches == own || part.word("insulator").is_some() {
            outcomes.push(Outcome::holds(
                place,
                format!("the tab ({word}) may touch {touches}"),
            ));
            continue;
        }
        outcomes.push(Outcome::fails(
            place,
            Failure::new(
                Gate::Power,
                format!(
                    "The tab of {} is its {word}, on {own}, and touches {touches}.",
                    named(part)
                ),
                format!("{own} is shorted to {touches} through the screw."),
                format!(
                    "Insulate {}: mica or pad, and a bush on the screw (`insulator: mica`).",
                    part.reference
                ),
            ),
        ));
    }
    or_none(outcomes, "no part with a metal tab")
}

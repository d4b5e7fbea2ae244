//! See [`CHECK`].

use crate::checks::prelude::*;

check! {
    /// Looks what protection class is stated for every adaptor and transformer.
    ///
    /// The box trusts its adaptor to keep the mains out. Class II (the double square) does so by
    /// double insulation; class I needs an earthed socket; an old adaptor without a mark may have
    /// neither.
    ///
    /// Limits: what `class:` says; the mark must be seen by a person.
    id: "adaptor-class-unknown", gate: Power, stage: Isolation,
    sources: [
        ("IEC 60417-5172: class II equipment; class I, II, III after IEC 61140", Confirmed),
    ],
    sign_off: "The adaptor carries the double square (class II) and an approval mark that is not a copy.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    let kinds = &[Kind::AcAdaptor, Kind::DcAdaptor, Kind::Transformer];
    each_part(
        context,
        Gate::Power,
        kinds,
        "no adaptor or transformer",
        |part| {
            let place = at(part, "class");
            Ok(match part.word("class") {
                Some("II") => Outcome::holds(place, "class II: double insulation"),
                Some("I") => Outcome::holds(place, "class I: needs an earthed socket"),
                Some(_) => {
                    Outcome::does_not_apply(place, "class III is fed with extra-low voltage")
                }
                None => Outcome::not_assessed(
                    place,
                    Gate::Power,
                    format!(
                        "{} states no protection class: look for the double square and write `class: II`",
                        named(part)
                    ),
                ),
            })
        },
    )
}

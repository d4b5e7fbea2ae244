//! See [`CHECK`].

use crate::checks::prelude::*;

/// Share of the accepted range that the output should cover.
const COVERED: f64 = 0.5;

check! {
    /// Compares how much of the range an input accepts the output covers, over all controls and
    /// switches, with half of it.
    ///
    /// An instrument counts its whole input range in so many steps; an output that uses a third of
    /// it has a third of the steps, and the instrument's own scaling has to make up for it.
    ///
    /// Limits: everything nominal; a note, for a short reach may be what the designer wants.
    id: "range-unused", gate: Note, stage: OutputRange,
    sources: [("half the range leaves one bit less of resolution", Computed)],
    sign_off: "The player tried the reach and found it enough.",
    run: run,
}

fn run(context: &Context) -> Vec<Outcome> {
    each_feed(context, Gate::Note, "the box feeds no instrument", |feed| {
        let reach = context.evidence.net(feed.net, Measure::Mean, |s| {
            as_meant(s) && feed.plugged(s) && s.is_nominal()
        })?;
        let (floor, ceiling) = feed.accepts();
        let covered = (reach.high.min(ceiling) - reach.low.max(floor)).max(0.0);
        let comparison = Comparison::fixed(
            "share of the accepted range in use",
            covered / (ceiling - floor),
            Bound::AtLeast,
            COVERED,
            Unit::Ratio,
            "half of it",
        );
        Ok(Outcome::compare(at(feed.jack, "nets"), comparison, |c| {
            Failure::new(
                Gate::Note,
                format!(
                    "The output at {} reaches {} to {}, {} of the {} to {} that {} accepts.",
                    feed.jack.reference,
                    volts(reach.low),
                    volts(reach.high),
                    per_cent(c.value),
                    volts(floor),
                    volts(ceiling),
                    feed.label()
                ),
                "The control is coarse: most of the instrument's steps are never used.",
                "Raise the supply of the control, or lower what stands in series with it, or set the instrument's scaling.",
            )
        }))
    })
}

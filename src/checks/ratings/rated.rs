//! A stress against a rating: above its derated share it blocks `share`, above the rating itself
//! `power`.

use crate::checks::prelude::*;

/// One stress of one part, and the rating it is held to.
#[derive(Debug, Clone, Copy)]
pub struct Rated<'a> {
    /// The part.
    pub part: &'a Part,
    /// The key that a finding points at.
    pub key: &'static str,
    /// The stress.
    pub stress: Stress,
    /// What the ratings table calls it.
    pub quantity: &'static str,
    /// The rating, in the unit of the stress.
    pub rating: f64,
    /// The share of it that the design's policy allows; all of it without one.
    pub allowance: Option<Allowance>,
}

impl Rated<'_> {
    /// The share of the rating that may be used.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.allowance.map_or(1.0, |allowance| allowance.share)
    }

    /// Judges it. `subject` says who does what (`R1 dissipates`), `why` what happens then.
    ///
    /// # Errors
    /// [`Missing`] when the stress was not computed.
    pub fn judge(
        self,
        context: &Context,
        subject: &str,
        why: &str,
        remedy: impl FnOnce(&Comparison) -> String,
    ) -> Look {
        let reached = context
            .evidence
            .stress(&self.part.reference, self.stress, powered)?;
        let unit = self.stress.unit();
        let rating = format(self.rating, unit);
        let comparison = Comparison::at_most(
            self.quantity,
            &reached,
            self.rating * self.share(),
            unit,
            self.allowance.map_or_else(
                || "its rating".to_owned(),
                |allowance| allowance.of(&rating),
            ),
        );
        let place = at(self.part, self.key);
        Ok(Outcome::compare(place, comparison, |c| {
            let gate = if c.value > self.rating {
                Gate::Power
            } else {
                Gate::Share
            };
            let what = format!(
                "{subject} {}; hold it to {} ({}): {} too much.",
                c.value_text(),
                c.limit_text(),
                c.limit_is,
                c.gap()
            );
            Failure::new(gate, what, why, remedy(c))
        }))
    }
}

//! In which switch positions a net is alive: a regulator behind an open power switch neither
//! drops out nor starves.

use super::Context;
use super::prelude::as_meant;
use crate::evidence::{Measure, Missing};
use crate::situations::Situation;
use std::collections::{BTreeMap, BTreeSet};

/// Below this a supply net counts as switched off [V].
const DEAD: f64 = 0.5;

/// Switch positions in which a net carries a supply, the box used as meant.
#[derive(Debug, Clone)]
pub struct Energised {
    settings: BTreeSet<BTreeMap<String, usize>>,
}

impl Energised {
    /// Looks at a net in every setting of the switches.
    ///
    /// # Errors
    /// [`Missing`] when the net was not solved in one of them.
    pub fn of(context: &Context, net: &str) -> Result<Self, Missing> {
        let all: BTreeSet<&BTreeMap<String, usize>> = context
            .evidence
            .situations
            .iter()
            .filter(|situation| as_meant(situation))
            .map(|situation| &situation.state.switches)
            .collect();
        if all.is_empty() {
            return Err(Missing::new(format!("nothing was solved for {net}")));
        }
        let mut settings = BTreeSet::new();
        for setting in all {
            let here = |s: &Situation| as_meant(s) && s.state.switches == *setting;
            let mean = context.evidence.net(net, Measure::Mean, here)?;
            if mean.high.max(-mean.low) > DEAD {
                settings.insert(setting.clone());
            }
        }
        Ok(Self { settings })
    }

    /// Is the net never alive?
    #[must_use]
    pub fn never(&self) -> bool {
        self.settings.is_empty()
    }

    /// Used as meant, and in a switch position in which the net is alive?
    #[must_use]
    pub fn holds(&self, situation: &Situation) -> bool {
        as_meant(situation) && self.settings.contains(&situation.state.switches)
    }
}

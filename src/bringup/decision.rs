//! Decisions on a reading that is itself uncertain, after ILAC-G8:09/2019 and JCGM 106:2012.
//!
//! A reading shows that a limit is kept only when it keeps it by a guard band `w`: the acceptance
//! limit is the tolerance limit drawn in by `w`. With `w = U`, the expanded uncertainty at `k = 2`,
//! at most 2.5 % of what is passed at the limit is beyond it; with `w = 0`, at most half.

use crate::quantity::Unit;
use crate::records::Meter;

/// The rule by which readings are judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rule {
    /// Its form.
    pub form: Form,
    /// The guard band.
    pub guard: Guard,
}

/// Forms of the rule, as ILAC-G8 names them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Binary statement, simple acceptance: no guard band.
    SimpleAcceptance,
    /// Binary statement with guard band.
    GuardBand,
    /// Non-binary statement with guard band: the four results.
    NonBinary,
}

/// How wide the guard band is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Guard {
    /// So many times the expanded uncertainty U (k = 2).
    Expanded(f64),
    /// So wide that the risk of a false pass is at most this share, for a normal distribution.
    Risk(f64),
}

impl Default for Rule {
    /// Non-binary with `w = U`: it names what a reading cannot decide.
    fn default() -> Self {
        Self {
            form: Form::NonBinary,
            guard: Guard::Expanded(1.0),
        }
    }
}

/// The result, as ILAC-G8 names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Within the limit by at least the guard band.
    Pass,
    /// Within the limit, by less than the guard band.
    ConditionalPass,
    /// Beyond the limit, by less than the guard band.
    ConditionalFail,
    /// Beyond the limit by at least the guard band; of a binary rule, not accepted.
    Fail,
}

impl Verdict {
    /// The word.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::ConditionalPass => "conditional pass",
            Self::ConditionalFail => "conditional fail",
            Self::Fail => "fail",
        }
    }

    /// A pass, conditional or not?
    #[must_use]
    pub fn passes(self) -> bool {
        self <= Self::ConditionalPass
    }
}

/// Tolerance limits; infinite where there is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Lowest allowed.
    pub low: f64,
    /// Highest allowed.
    pub high: f64,
}

/// What was decided, and on what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decision {
    /// The result.
    pub verdict: Verdict,
    /// Expanded uncertainty U, k = 2.
    pub expanded: f64,
    /// The guard band w.
    pub guard: f64,
    /// Acceptance limits: the tolerance limits drawn in by w.
    pub acceptance: Limits,
    /// Probability that the true value lies beyond a limit, for a normal distribution.
    pub risk: f64,
}

impl Rule {
    /// Width of the guard band for a standard uncertainty.
    #[must_use]
    pub fn width(&self, uncertainty: f64) -> f64 {
        match (self.form, self.guard) {
            (Form::SimpleAcceptance, _) => 0.0,
            (_, Guard::Expanded(share)) => share * 2.0 * uncertainty,
            (_, Guard::Risk(risk)) => coverage(risk) * uncertainty,
        }
    }

    /// The rule in a sentence, to be printed beside every verdict.
    #[must_use]
    pub fn describe(&self) -> String {
        let band = match self.guard {
            Guard::Expanded(share) if (share - 1.0).abs() < 1e-12 => {
                "w = U, twice the meter's standard uncertainty".to_owned()
            }
            Guard::Expanded(share) => format!("w = {share} U (k = 2)"),
            Guard::Risk(risk) => format!(
                "w = {:.3} u, at most {} % false passes at the limit",
                coverage(risk),
                risk * 100.0
            ),
        };
        match self.form {
            Form::SimpleAcceptance => "simple acceptance, w = 0 (ILAC-G8): up to half of what \
                 reads exactly the limit is beyond it"
                .to_owned(),
            Form::GuardBand => format!("binary with guard band {band} (ILAC-G8, JCGM 106)"),
            Form::NonBinary => format!(
                "pass, conditional pass, conditional fail or fail, with guard band {band} (ILAC-G8, \
                 JCGM 106)"
            ),
        }
    }

    /// Decides on a reading with its standard uncertainty.
    #[must_use]
    pub fn decide(&self, reading: f64, uncertainty: f64, limits: Limits) -> Decision {
        let guard = self.width(uncertainty);
        let acceptance = Limits {
            low: limits.low + guard,
            high: limits.high - guard,
        };
        let within = |limits: Limits| limits.low <= reading && reading <= limits.high;
        let widened = Limits {
            low: limits.low - guard,
            high: limits.high + guard,
        };
        let verdict = if within(acceptance) {
            Verdict::Pass
        } else if self.form != Form::NonBinary {
            Verdict::Fail
        } else if within(limits) {
            Verdict::ConditionalPass
        } else if within(widened) {
            Verdict::ConditionalFail
        } else {
            Verdict::Fail
        };
        Decision {
            verdict,
            expanded: 2.0 * uncertainty,
            guard,
            acceptance,
            risk: risk(reading, uncertainty, limits),
        }
    }

    /// Decides on a reading of a meter.
    #[must_use]
    pub fn judge(&self, reading: f64, unit: Unit, meter: &Meter, limits: Limits) -> Decision {
        if reading.is_infinite() {
            return self.decide(reading, 0.0, limits);
        }
        self.decide(reading, meter.uncertainty(reading, unit), limits)
    }
}

fn risk(reading: f64, uncertainty: f64, limits: Limits) -> f64 {
    if uncertainty <= 0.0 {
        return f64::from(u8::from(!(limits.low..=limits.high).contains(&reading)));
    }
    beyond((limits.high - reading) / uncertainty) + beyond((reading - limits.low) / uncertainty)
}

/// Share of a normal distribution more than `z` standard deviations above its mean.
fn beyond(z: f64) -> f64 {
    0.5 * libm::erfc(z / std::f64::consts::SQRT_2)
}

/// How many standard uncertainties leave this share beyond: the inverse of [`beyond`], by halving.
fn coverage(risk: f64) -> f64 {
    let (mut low, mut high) = (0.0, 10.0);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if beyond(middle) > risk {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::*;

    const UPPER_4: Limits = Limits {
        low: f64::NEG_INFINITY,
        high: 4.0,
    };

    fn rule(form: Form, guard: Guard) -> Rule {
        Rule { form, guard }
    }

    /// T = 4, u = 0.8, reading 3.2: 15.9 % beyond; with w = U = 1.6 the acceptance limit is 2.4
    /// (inputs from a metrology page, computed from them).
    #[test]
    fn the_worked_example_is_reached() {
        let binary = rule(Form::GuardBand, Guard::Expanded(1.0));
        let decision = binary.decide(3.2, 0.8, UPPER_4);
        assert!((decision.risk - 0.1587).abs() < 1e-4);
        assert!((decision.acceptance.high - 2.4).abs() < 1e-12);
        assert_eq!(decision.verdict, Verdict::Fail);
    }

    /// False-pass risk at the limit: 50 % with w = 0, 2.5 % (2.275 % for a normal distribution)
    /// with w = U (ILAC-G8:09/2019, confirmed); 5 % with w = 1.645 u = 0.82 U (JCGM 106, from
    /// memory, computed).
    #[test]
    fn the_risk_at_the_acceptance_limit_is_the_published_one() {
        for (rule, risk) in [
            (rule(Form::SimpleAcceptance, Guard::Expanded(1.0)), 0.5),
            (rule(Form::GuardBand, Guard::Expanded(1.0)), 0.02275),
            (rule(Form::GuardBand, Guard::Risk(0.05)), 0.05),
            (rule(Form::GuardBand, Guard::Expanded(0.8225)), 0.05),
        ] {
            let limit = UPPER_4.high - rule.width(0.8);
            let decision = rule.decide(limit - 1e-12, 0.8, UPPER_4);
            assert_eq!(decision.verdict, Verdict::Pass);
            assert!((decision.risk - risk).abs() < 1e-4, "{}", decision.risk);
        }
        assert!((coverage(0.05) - 1.645).abs() < 5e-4);
    }

    /// The four results and where they meet (ILAC-G8:09/2019, non-binary statement, confirmed).
    #[test]
    fn the_four_results_meet_at_the_limit_and_the_guard_band_either_side() {
        let rule = Rule::default();
        for (reading, verdict) in [
            (2.39, Verdict::Pass),
            (2.41, Verdict::ConditionalPass),
            (3.99, Verdict::ConditionalPass),
            (4.01, Verdict::ConditionalFail),
            (5.59, Verdict::ConditionalFail),
            (5.61, Verdict::Fail),
        ] {
            assert_eq!(
                rule.decide(reading, 0.8, UPPER_4).verdict,
                verdict,
                "{reading}"
            );
        }
    }
}

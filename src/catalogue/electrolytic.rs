//! Aluminium electrolytics as a series rule: what may be expected of a general-purpose part when
//! only its capacitance and rated voltage are known.

use super::read::{Fault, mark_of};
use super::written::Shared;
use super::{Figure, Pedigree, Property};
use crate::quantity::Spread;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The rule as the data file gives it.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub(super) struct Rule {
    tan_delta: TanDelta,
    esr: Shares,
    leakage: Leakage,
    ripple: Ripple,
    life: Life,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct TanDelta {
    steps: Vec<[f64; 2]>,
    per_millifarad: f64,
    source: String,
    mark: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Shares {
    low: f64,
    nominal: f64,
    source: String,
    mark: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Leakage {
    share: f64,
    least: f64,
    source: String,
    mark: String,
}

#[derive(Debug, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Ripple {
    low: f64,
    high: f64,
    capacitance_power: f64,
    voltage_power: f64,
    source: String,
    mark: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Life {
    hours: f64,
    low: f64,
    source: String,
    mark: String,
}

/// The rule with its citations looked up.
#[derive(Debug)]
pub(super) struct Electrolytics {
    rule: Rule,
    because: BTreeMap<&'static str, String>,
}

impl Electrolytics {
    pub(super) fn read(text: &str, shared: &Shared) -> Result<Self, Fault> {
        let rule: Rule =
            serde_yaml::from_str(text).map_err(|error| format!("electrolytic: {error}"))?;
        let mut because = BTreeMap::new();
        for (key, reason, source, mark) in [
            (
                "tan-delta",
                "greatest value from the loss factor at 120 Hz",
                &rule.tan_delta.source,
                &rule.tan_delta.mark,
            ),
            (
                "esr",
                "usual parts take half of it",
                &rule.esr.source,
                &rule.esr.mark,
            ),
            (
                "leakage",
                "0.01·C·V or 3 µA after 2 min, whichever is greater",
                &rule.leakage.source,
                &rule.leakage.mark,
            ),
            (
                "ripple",
                "120 Hz rating of general-purpose parts, in proportion to 0.65–1.0 A at 1000 µF 35 V",
                &rule.ripple.source,
                &rule.ripple.mark,
            ),
            (
                "life",
                "general-purpose series, 1000 h in the smallest cans",
                &rule.life.source,
                &rule.life.mark,
            ),
        ] {
            let citation = shared
                .sources
                .get(source)
                .ok_or_else(|| format!("electrolytic: no source {source}"))?;
            let words = mark_of(mark)?.words();
            because.insert(key, format!("{reason} ({citation}; {words})"));
        }
        Ok(Self { rule, because })
    }

    /// Greatest loss factor at 120 Hz of a part of that rated voltage [V] and capacitance [F]:
    /// that of the step at or below its voltage.
    fn tan_delta(&self, capacitance: f64, rating: f64) -> f64 {
        let steps = &self.rule.tan_delta.steps;
        let step = steps.iter().rfind(|[volts, _]| *volts <= rating);
        let base = step.or(steps.first()).map_or(0.25, |[_, tan]| *tan);
        let beyond = (capacitance * 1e3 - 1.0).max(0.0);
        base + self.rule.tan_delta.per_millifarad * beyond.ceil()
    }

    pub(super) fn figures(&self, capacitance: f64, rating: f64) -> BTreeMap<Property, Figure> {
        let rule = &self.rule;
        // ESR = tan δ / (2π·f·C) at f = 120 Hz.
        let esr = self.tan_delta(capacitance, rating)
            / (2.0 * std::f64::consts::PI * 120.0 * capacitance);
        let growth = libm::pow(capacitance / 1e-3, rule.ripple.capacitance_power)
            * libm::pow(rating / 35.0, rule.ripple.voltage_power);
        let leakage = (rule.leakage.share * capacitance * rating).max(rule.leakage.least);
        let figure = |low, nominal, high, reasons: &[&str]| Figure {
            spread: Spread { low, nominal, high },
            pedigree: Pedigree::Assumed(
                reasons
                    .iter()
                    .filter_map(|key| self.because.get(key).map(String::as_str))
                    .collect::<Vec<_>>()
                    .join("; "),
            ),
            tolerance_assumed: true,
        };
        BTreeMap::from([
            (
                Property::Esr,
                figure(
                    esr * rule.esr.low,
                    esr * rule.esr.nominal,
                    esr,
                    &["tan-delta", "esr"],
                ),
            ),
            (
                Property::LeakageCurrent,
                figure(0.0, leakage, leakage, &["leakage"]),
            ),
            (
                Property::RippleCurrent,
                figure(
                    rule.ripple.low * growth,
                    rule.ripple.low * growth,
                    rule.ripple.high * growth,
                    &["ripple"],
                ),
            ),
            (
                Property::Life,
                figure(rule.life.low, rule.life.hours, rule.life.hours, &["life"]),
            ),
        ])
    }
}

//! The JSON of `check --format json`, version `preplug-check/1`.
//!
//! ```text
//! {format, tool: {name, version}, designs: [{
//!   file, title, revision, verdict,
//!   gates: {power|plug|share: {state: open|blocked, failures, not_assessed, blocked_by}},
//!   outcomes: [{check, stage, gate, outcome: holds|fails|does-not-apply|not-assessed,
//!               place: {kind, name, route, file, line, column},
//!               says | what, why, remedy | missing,
//!               comparison: {quantity, value, limit, limit_is, unit, bound, margin, situation}}],
//!   findings: [{number, check, gate, place, what, blocks, disposition: accepted|signed,
//!               brings: [{check, place, what}], alike: [{check, place, what}]}],
//!   evidence: {counts, not_analysed, nets: {NET: {mean|minimum|maximum|ripple: EXTENT}},
//!              parts: {PART: {STRESS: EXTENT}},
//!              drawn: null | {runs, seed, unsolved, spreads: [{net | junction, unit, situation,
//!                nominal, extremes: [low, high], beyond, first_order: {deviation, agrees},
//!                quantiles: [{part, value, interval: [low, high]}],
//!                shares: [{figure, share}]}]}},
//!   faults: {counts, coverage: {revealed, of, weighted_revealed, weighted_of},
//!            cases: [{part, class: fault|slip|handling, what, weight, same_circuit_as,
//!                     not_assessed, reaches: [{jack, connection, unit, low, high, low_in, high_in,
//!                     with_failed: [low, high], survives: [low, high]}],
//!                     damaging: {jack, value, limit, revealed_by_step},
//!                     overstressed: [{part, stress, unit, value, limit, situation}]}]},
//!   units: [UNIT], warnings: [DIAGNOSTIC]}],
//!  errors: [DIAGNOSTIC]}
//! UNIT: {serial, revision, demonstration, last_test, gates: {power|plug|share: {state: open|blocked,
//!        reasons}}}; a unit's gates are its own, whatever the design's are
//! EXTENT: {unit, low, nominal, high, low_at, high_at}; situations are written out in words.
//! Values are in SI units. Keys may be added; none is removed or changes its meaning within /1.
//! ```

use crate::Assessed;
use crate::bench::UnitGate;
use crate::checks::{Bound, Comparison, Gate, Outcome, Place, Stage, Subject};
use crate::evidence::carlo::statistics::quantile;
use crate::evidence::carlo::{Carlo, Quantity};
use crate::evidence::{Evidence, Extent, Measure, Missing};
use crate::quantity::Unit;
use crate::records;
use crate::review::{Disposition, Finding};
use crate::situations::powered;
use serde_json::{Map, Value, json};

/// The whole answer.
#[must_use]
pub fn answer(designs: &[Value], errors: &[Value]) -> Value {
    json!({
        "format": "preplug-check/1",
        "tool": {"name": env!("CARGO_PKG_NAME"), "version": env!("CARGO_PKG_VERSION")},
        "designs": designs,
        "errors": errors,
    })
}

/// One design.
#[must_use]
pub fn design(file: &str, assessed: &Assessed, unit_gates: &[[UnitGate; 3]]) -> Value {
    let review = &assessed.review;
    let gates: Map<String, Value> = review
        .gates
        .iter()
        .map(|state| {
            let value = json!({
                "state": if state.open { "open" } else { "blocked" },
                "failures": state.failures,
                "not_assessed": state.not_assessed,
                "blocked_by": state.blocked_by.map(gate_word),
            });
            (gate_word(state.gate).to_owned(), value)
        })
        .collect();
    let outcomes: Vec<Value> = review
        .assessments
        .iter()
        .flat_map(|assessment| {
            assessment
                .outcomes
                .iter()
                .map(move |outcome| (assessment.check, outcome))
        })
        .map(|(check, outcome)| {
            let mut value = json!({
                "check": check.id,
                "stage": stage_word(check.stage),
                "gate": gate_word(check.gate),
                "place": place(assessed, outcome.place()),
            });
            add_outcome(&mut value, &assessed.evidence, outcome);
            value
        })
        .collect();
    json!({
        "file": file,
        "title": assessed.design.title,
        "revision": assessed.design.revision,
        "verdict": review.verdict,
        "gates": gates,
        "outcomes": outcomes,
        "findings": findings(assessed),
        "evidence": evidence(assessed),
        "faults": super::faults::faults(assessed),
        "units": assessed.units.iter().zip(unit_gates).map(unit).collect::<Vec<_>>(),
        "warnings": assessed
            .warnings
            .iter()
            .map(|warning| warning.to_json(&assessed.sources))
            .collect::<Vec<_>>(),
    })
}

/// The findings as they are printed: what a cause brings about under it, those alike together.
fn findings(assessed: &Assessed) -> Vec<Value> {
    let short = |finding: &Finding| {
        json!({
            "check": finding.check.id,
            "place": place(assessed, &finding.place),
            "what": finding.what(),
        })
    };
    let list = |findings: &[Finding]| findings.iter().map(short).collect::<Vec<_>>();
    assessed
        .review
        .findings
        .iter()
        .map(|finding| {
            let mut value = short(finding);
            value["number"] = json!(finding.number);
            value["gate"] = json!(gate_word(finding.gate));
            value["blocks"] = json!(finding.blocks());
            value["disposition"] = json!(finding.disposition.as_ref().map(|one| match one {
                Disposition::Accepted { .. } => "accepted",
                Disposition::Signed { .. } => "signed",
            }));
            value["brings"] = json!(list(&finding.consequences));
            value["alike"] = json!(list(&finding.alike));
            value
        })
        .collect()
}

/// A built unit with its own gates.
fn unit((unit, gates): (&records::Unit, &[UnitGate; 3])) -> Value {
    let last = unit.sessions.iter().map(|session| &session.date).max();
    let gates: Map<String, Value> = gates
        .iter()
        .map(|gate| {
            let state = if gate.open() { "open" } else { "blocked" };
            let value = json!({"state": state, "reasons": gate.reasons});
            (gate_word(gate.gate).to_owned(), value)
        })
        .collect();
    json!({
        "serial": unit.serial,
        "revision": unit.revision,
        "demonstration": unit.demonstration,
        "last_test": last,
        "gates": gates,
    })
}

/// The word of a gate.
#[must_use]
pub fn gate_word(gate: Gate) -> &'static str {
    match gate {
        Gate::Power => "power",
        Gate::Plug => "plug",
        Gate::Share => "share",
        Gate::Note => "note",
    }
}

fn stage_word(stage: Stage) -> &'static str {
    match stage {
        Stage::Ratings => "ratings",
        Stage::Thermal => "thermal",
        Stage::Polarity => "polarity",
        Stage::Pinout => "pinout",
        Stage::OutputRange => "output-range",
        Stage::Isolation => "isolation",
        Stage::Completeness => "completeness",
    }
}

fn place(assessed: &Assessed, place: &Place) -> Value {
    let kind = match place.subject {
        Subject::Part(_) => "part",
        Subject::Net(_) => "net",
        Subject::Promise(_) => "promise",
        Subject::Design => "design",
    };
    let mut value = json!({"kind": kind, "name": place.label(), "route": place.route});
    if let Some(span) = assessed.design.span(&place.route) {
        let start = assessed.sources.start(span);
        value["file"] = json!(assessed.sources.file(span.file).path);
        value["line"] = json!(start.line);
        value["column"] = json!(start.column);
    }
    value
}

fn add_outcome(value: &mut Value, evidence: &Evidence, outcome: &Outcome) {
    match outcome {
        Outcome::Holds {
            says, comparison, ..
        } => {
            value["outcome"] = json!("holds");
            value["says"] = json!(says);
            value["comparison"] = json!(comparison.as_ref().map(|c| compared(evidence, c)));
        }
        Outcome::Fails { failure, .. } => {
            value["outcome"] = json!("fails");
            value["gate"] = json!(gate_word(failure.gate));
            value["what"] = json!(failure.what);
            value["why"] = json!(failure.why);
            value["remedy"] = json!(failure.remedy);
            value["comparison"] = json!(failure.comparison.as_ref().map(|c| compared(evidence, c)));
        }
        Outcome::DoesNotApply { why, .. } => {
            value["outcome"] = json!("does-not-apply");
            value["says"] = json!(why);
        }
        Outcome::NotAssessed { gate, missing, .. } => {
            value["outcome"] = json!("not-assessed");
            value["gate"] = json!(gate_word(*gate));
            value["missing"] = json!(missing);
        }
    }
}

fn compared(evidence: &Evidence, comparison: &Comparison) -> Value {
    json!({
        "quantity": comparison.quantity,
        "value": comparison.value,
        "limit": comparison.limit,
        "limit_is": comparison.limit_is,
        "unit": comparison.unit.symbol(),
        "bound": match comparison.bound {
            Bound::AtMost => "at-most",
            Bound::AtLeast => "at-least",
        },
        "margin": comparison.margin(),
        "situation": comparison.situation.map(|id| evidence.describe_fully(id)),
    })
}

fn evidence(assessed: &Assessed) -> Value {
    let evidence = &assessed.evidence;
    let counts = &evidence.counts;
    let extent = |unit: Unit, found: Result<Extent, Missing>| match found {
        Ok(extent) => json!({
            "unit": unit.symbol(),
            "low": extent.low,
            "nominal": extent.nominal,
            "high": extent.high,
            "low_at": evidence.describe_fully(extent.low_at),
            "high_at": evidence.describe_fully(extent.high_at),
        }),
        Err(missing) => json!({"missing": missing.what}),
    };
    let mut nets = Map::new();
    for net in &assessed.design.nets {
        let mut value = Map::new();
        for (measure, word) in [
            (Measure::Mean, "mean"),
            (Measure::Minimum, "minimum"),
            (Measure::Maximum, "maximum"),
            (Measure::Ripple, "ripple"),
        ] {
            value.insert(
                word.into(),
                extent(Unit::Volt, evidence.net(net, measure, powered)),
            );
        }
        nets.insert(net.clone(), Value::Object(value));
    }
    let mut parts = Map::new();
    for reference in assessed.design.parts.keys() {
        let mut value = Map::new();
        for stress in evidence.stresses_of(reference) {
            let found = evidence.stress(reference, stress, powered);
            value.insert(
                stress.words().replace(' ', "-"),
                extent(stress.unit(), found),
            );
        }
        parts.insert(reference.clone(), Value::Object(value));
    }
    json!({
        "counts": {
            "states": counts.states,
            "parameters": counts.parameters,
            "solved": counts.solved,
            "unsolved": counts.unsolved,
            "transients": counts.transients,
        },
        "not_analysed": evidence.not_analysed,
        "nets": nets,
        "parts": parts,
        "drawn": evidence.carlo.as_ref().map(|carlo| drawn(evidence, carlo)),
    })
}

/// The boxes drawn at random; an end that the runs cannot bound is null.
fn drawn(evidence: &Evidence, carlo: &Carlo) -> Value {
    let spreads = carlo.spreads.iter().map(|spread| {
        let (kind, name, unit) = match &spread.quantity {
            Quantity::Net(net) => ("net", net, Unit::Volt),
            Quantity::Junction(part) => ("junction", part, Unit::Celsius),
        };
        let quantiles = [0.025, 0.5, 0.975].map(|part| {
            let found = quantile(&spread.values, part);
            let (low, high) = found.interval;
            json!({"part": part, "value": found.value, "interval": [low, high]})
        });
        let shares: Vec<Value> = spread
            .shares
            .iter()
            .map(|(parameter, share)| json!({"figure": parameter.describe(), "share": share}))
            .collect();
        json!({
            kind: name,
            "unit": unit.symbol(),
            "situation": evidence.describe_fully(spread.state),
            "nominal": spread.nominal,
            "extremes": [spread.extremes.0, spread.extremes.1],
            "beyond": spread.beyond,
            "first_order": {"deviation": spread.first_order.0, "agrees": spread.first_order.1},
            "quantiles": quantiles,
            "shares": shares,
        })
    });
    json!({
        "runs": carlo.draws.runs,
        "seed": carlo.draws.seed,
        "unsolved": carlo.unsolved,
        "spreads": spreads.collect::<Vec<_>>(),
    })
}

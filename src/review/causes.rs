//! Findings that share one cause are grouped under it: a reversed regulator is one finding with
//! its consequences, not nine.
//!
//! A finding goes under a cause only if the table below says that such a cause brings it about,
//! it stands at the cause's own part or next to it, it blocks no gate that the cause does not
//! block, and nobody has decided anything about either. Nothing is lost: a consequence is printed
//! with its cause, and once the cause is mended the review is run anew.

use super::Finding;
use crate::catalogue::Kind;
use crate::checks::Subject;
use crate::design::Design;
use std::collections::BTreeSet;

/// Where the consequences of a cause are found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Within {
    /// At the same part.
    Part,
    /// At the same part, at a part that shares a net other than `gnd` with it, or at that net.
    Neighbours,
}

struct Cause {
    check: &'static str,
    within: Within,
    brings: &'static [&'static str],
}

/// What a wrong voltage or current at a part does to it and to those beside it.
const STRESS: &[&str] = &[
    "capacitor-over-voltage",
    "capacitor-voltage-derating",
    "capacitor-surge-voltage",
    "ceramic-bias-loss",
    "electrolytic-reversed",
    "electrolytic-ripple-current",
    "diode-reverse-voltage",
    "diode-reverse-derating",
    "diode-average-current",
    "diode-repetitive-peak",
    "diode-surge",
    "diode-surge-derating",
    "winding-overload",
    "apparent-power",
    "supply-overload",
    "regulator-over-voltage",
    "regulator-input-derating",
    "regulator-outside-specified-input",
    "regulator-outside-specified-load",
    "regulator-drop-out",
    "regulator-overload",
    "regulator-minimum-load",
    "regulator-back-biased",
    "regulator-reverse-discharge",
    "op-amp-over-voltage",
    "op-amp-supply-low",
    "op-amp-input-beyond-supply",
    "op-amp-clips",
    "op-amp-output-overload",
    "transistor-over-voltage",
    "transistor-overload",
    "base-emitter-reversed",
    "resistor-power",
    "resistor-power-derating",
    "resistor-voltage",
    "resistor-hot-spot",
    "potentiometer-power",
    "wiper-current",
    "sensor-overload",
    "led-current",
    "led-reverse-voltage",
    "led-dark",
    "zener-power",
    "reference-starved",
    "fuse-blows-in-use",
    "ptc-trips-in-use",
    "contact-overload",
    "junction-over-temperature",
    "junction-hot",
    "short-circuit-overheats",
    "rail-drifts-with-warm-up",
    "rail-dragged-past-ground",
];

/// What too much current out of a supply does.
const OVERLOAD: &[&str] = &[
    "regulator-outside-specified-load",
    "regulator-overload",
    "regulator-drop-out",
    "supply-overload",
    "short-circuit-overheats",
    "junction-over-temperature",
    "junction-hot",
    "rail-drifts-with-warm-up",
];

const fn cause(check: &'static str, within: Within, brings: &'static [&'static str]) -> Cause {
    Cause {
        check,
        within,
        brings,
    }
}

/// Causes, roots first: what a root takes is no cause of its own. Those that say exactly what is
/// shorted stand before those that disturb a whole supply.
const CAUSES: &[Cause] = &[
    cause("diode-turned", Within::Neighbours, STRESS),
    cause("zener-turned", Within::Neighbours, STRESS),
    cause("led-without-resistor", Within::Part, &["led-current"]),
    cause("led-without-resistor", Within::Neighbours, OVERLOAD),
    cause("plug-shorts-supply", Within::Part, &["contact-overload"]),
    cause("plug-shorts-supply", Within::Neighbours, OVERLOAD),
    cause(
        "regulator-input-output-swapped",
        Within::Part,
        &["pin-order-of-another-package", "regulator-ground-pin"],
    ),
    cause("regulator-input-output-swapped", Within::Neighbours, STRESS),
    cause("pin-order-of-another-package", Within::Neighbours, STRESS),
    cause("regulator-ground-pin", Within::Neighbours, STRESS),
    cause("op-amp-supply-swapped", Within::Part, STRESS),
    cause(
        "electrolytic-reversed",
        Within::Part,
        &[
            "capacitor-over-voltage",
            "capacitor-voltage-derating",
            "capacitor-surge-voltage",
            "electrolytic-ripple-current",
        ],
    ),
    cause("led-turned", Within::Part, &["led-reverse-voltage"]),
    cause(
        "regulator-over-voltage",
        Within::Part,
        &[
            "regulator-input-derating",
            "regulator-outside-specified-input",
        ],
    ),
    cause(
        "regulator-overload",
        Within::Part,
        &[
            "regulator-outside-specified-load",
            "junction-over-temperature",
            "junction-hot",
            "rail-drifts-with-warm-up",
        ],
    ),
    cause(
        "capacitor-over-voltage",
        Within::Part,
        &[
            "capacitor-voltage-derating",
            "capacitor-surge-voltage",
            "ceramic-bias-loss",
        ],
    ),
    cause(
        "capacitor-voltage-derating",
        Within::Part,
        &["capacitor-surge-voltage", "ceramic-bias-loss"],
    ),
    cause(
        "diode-reverse-voltage",
        Within::Part,
        &["diode-reverse-derating"],
    ),
    cause("diode-surge", Within::Part, &["diode-surge-derating"]),
    cause(
        "resistor-power",
        Within::Part,
        &["resistor-power-derating", "resistor-hot-spot"],
    ),
    cause(
        "resistor-power-derating",
        Within::Part,
        &["resistor-hot-spot"],
    ),
    cause(
        "junction-over-temperature",
        Within::Part,
        &["junction-hot", "rail-drifts-with-warm-up"],
    ),
    cause("junction-hot", Within::Part, &["rail-drifts-with-warm-up"]),
    cause(
        "electrolytic-over-temperature",
        Within::Part,
        &["electrolytic-hot", "electrolytic-short-life"],
    ),
    cause(
        "electrolytic-hot",
        Within::Part,
        &["electrolytic-short-life"],
    ),
    cause(
        "winding-overload",
        Within::Part,
        &["apparent-power", "adaptor-overheats"],
    ),
    cause(
        "output-outside-survived",
        Within::Part,
        &["output-outside-accepted", "output-excursion"],
    ),
    cause(
        "regulator-input-derating",
        Within::Part,
        &["regulator-outside-specified-input"],
    ),
];

/// Puts consequences under their causes; both keep the order in which they were found.
pub(super) fn group(design: &Design, findings: &mut Vec<Finding>) {
    for (index, finding) in findings.iter_mut().enumerate() {
        finding.number = index;
    }
    for cause in CAUSES {
        let roots: Vec<usize> = findings
            .iter()
            .filter(|finding| finding.check.id == cause.check && open(finding))
            .map(|finding| finding.number)
            .collect();
        for number in roots {
            let Some(at) = findings.iter().position(|f| f.number == number) else {
                continue;
            };
            let mut root = findings.remove(at);
            let (taken, left): (Vec<Finding>, Vec<Finding>) =
                std::mem::take(findings).into_iter().partition(|other| {
                    open(other)
                        && other.gate >= root.gate
                        && cause.brings.contains(&other.check.id)
                        && reaches(design, cause.within, &root, other)
                });
            *findings = left;
            for mut finding in taken {
                let own = std::mem::take(&mut finding.consequences);
                root.consequences.push(finding);
                root.consequences.extend(own);
            }
            findings.push(root);
        }
    }
    findings.sort_by_key(|finding| (finding.gate, !finding.is_failure(), finding.number));
}

/// A failure that nobody decided anything about.
fn open(finding: &Finding) -> bool {
    finding.is_failure() && finding.disposition.is_none()
}

fn reaches(design: &Design, within: Within, cause: &Finding, other: &Finding) -> bool {
    if cause.place.subject == other.place.subject {
        return true;
    }
    if within == Within::Part {
        return false;
    }
    let near = nets(design, &cause.place.subject);
    if let Some(output) = overloaded(design, other) {
        return near.contains(output);
    }
    nets(design, &other.place.subject)
        .iter()
        .any(|net| near.contains(net))
}

/// The output net of a regulator that is overloaded: what overloads it hangs there, not at its
/// input.
fn overloaded<'a>(design: &'a Design, finding: &Finding) -> Option<&'a str> {
    let Subject::Part(reference) = &finding.place.subject else {
        return None;
    };
    let part = design.parts.get(reference)?;
    let regulator = matches!(part.kind, Kind::Regulator | Kind::AdjustableRegulator);
    (regulator && OVERLOAD.contains(&finding.check.id))
        .then(|| part.net("out"))
        .flatten()
}

/// The nets that a finding's place touches, `gnd` and open ends left out.
fn nets<'a>(design: &'a Design, subject: &'a Subject) -> BTreeSet<&'a str> {
    match subject {
        Subject::Part(reference) => design
            .parts
            .get(reference)
            .into_iter()
            .flat_map(|part| part.terminals.values())
            .map(String::as_str)
            .filter(|net| *net != "gnd" && *net != "nc")
            .collect(),
        Subject::Net(net) => BTreeSet::from([net.as_str()]),
        Subject::Promise(_) | Subject::Design => BTreeSet::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::find;

    #[test]
    fn the_table_names_checks_that_exist() {
        for cause in CAUSES {
            for id in cause.brings.iter().chain([&cause.check]) {
                assert!(find(id).is_some(), "{id}");
            }
            assert!(
                !cause.brings.contains(&cause.check),
                "{} brings itself",
                cause.check
            );
        }
    }
}

//! What `diagnose` prints for people, on a terminal of 80 columns.

use super::diagnose::Found;
use super::diagnose_json::ends;
use crate::bench::shown;
use crate::diagnosis::{
    Cause, Expectation, FARTHEST, FARTHEST_TOGETHER, Group, Next, OPEN, SEPARATES,
};
use crate::quantity::{Unit, format_percent, format_range, format_to};
use std::fmt::Write;

/// Groups below this share are not printed.
const SHOWN_SHARE: f64 = 0.001;
/// Groups printed at most, and causes of a group.
const SHOWN: [usize; 2] = [6, 8];

/// When nothing that can be measured helps.
const NOT_APART: &str = "No other measurement in reach tells the likeliest explanations apart: \
                         replace or lift the parts they name, one at a time, and measure again.";

/// For people.
pub(super) fn text(found: &Found) -> String {
    let mut out = head(found);
    let diagnosis = &found.diagnosis;
    if diagnosis.misfit.nothing_fits() {
        out.push_str(&wrapped(&nothing_fits(found), "\n"));
    }
    out.push_str("\n  share   explanation\n");
    let printed = diagnosis
        .groups
        .iter()
        .enumerate()
        .take(SHOWN[0])
        .filter(|(at, group)| *at == 0 || group.share >= SHOWN_SHARE);
    for (at, group) in printed {
        out.push_str(&explanation(found, at, group));
    }
    let rest: usize = diagnosis
        .groups
        .iter()
        .map(|group| group.causes.len())
        .sum();
    let _ = writeln!(
        out,
        "\nRuled out by the readings: {} of {}.",
        diagnosis.considered - rest - diagnosis.not_computed.len(),
        diagnosis.considered
    );
    if !diagnosis.not_computed.is_empty() {
        let which: Vec<String> = diagnosis.not_computed.iter().map(Cause::describe).collect();
        let line = format!(
            "Could not be computed, and so not ruled out: {}.",
            which.join("; ")
        );
        out.push_str(&wrapped(&line, "\n"));
    }
    out.push_str(&next(found));
    out.push_str(&wrapped(
        "A diagnosis is no clearance: whether this unit may be powered or plugged in is for the \
         readings of its bring-up to say.",
        "\n",
    ));
    out
}

fn head(found: &Found) -> String {
    let (design, unit) = (&found.design, &found.unit);
    let revision = design.revision.as_ref();
    let revision = revision.map_or(String::new(), |r| format!(", revision {r}"));
    let stamp = if unit.demonstration {
        " (invented demonstration record)"
    } else {
        ""
    };
    let [first, last] = &found.dates;
    let days = if first == last {
        first.clone()
    } else {
        format!("{first} to {last}")
    };
    let mut out = format!("{}{revision}, unit {}{stamp}\n", design.title, unit.serial);
    let noted = |ends: Option<[f64; 2]>, unit: Unit| {
        ends.map_or("not noted".to_owned(), |[low, high]| {
            if high > low {
                format_range(low, high, unit, 4)
            } else {
                format_to(low, unit, 4)
            }
        })
    };
    let mains = design.conditions.mains.map(|_| {
        let noted = noted(found.conditions.mains, Unit::Volt);
        format!("mains {noted}, ")
    });
    let line = format!(
        "{} places read, {days}, against {} single faults and slips and the healthy box; {}room {}. \
         What was not noted may have been anything that the design allows.",
        found.readings.len(),
        found.diagnosis.considered - 1,
        mains.unwrap_or_default(),
        noted(found.conditions.ambient, Unit::Celsius)
    );
    out.push_str(&wrapped(&line, ""));
    if found.outdated > 0 {
        let line = format!(
            "{} readings do not count: taken before a rework, or of another state of the design.",
            found.outdated
        );
        out.push_str(&wrapped(&line, ""));
    }
    for (place, why) in not_used(found) {
        out.push_str(&wrapped(&format!("Not used: {place}: {why}."), ""));
    }
    for line in &found.unknown {
        let line = format!("{line}. What the design says was taken.");
        out.push_str(&wrapped(&line, ""));
    }
    for index in &found.outside {
        let reading = &found.readings[*index];
        let line = format!(
            "Outside what the healthy box shows at any corner: {}, {}",
            reading.point.describe(),
            shown(reading.reads, reading.point.unit)
        );
        out.push_str(&wrapped(&line, ""));
    }
    out
}

fn nothing_fits(found: &Found) -> String {
    let misfit = &found.diagnosis.misfit;
    let reading = &found.readings[misfit.reading];
    let place = reading.point.describe();
    let best = found
        .diagnosis
        .groups
        .first()
        .and_then(|g| g.causes.first());
    let off = misfit.expected.off.abs();
    let why = if off > FARTHEST {
        format!(
            "leaves {place} at {}, where it expects {}: {} combined standard uncertainties off, and \
             {FARTHEST} are let pass",
            shown(reading.reads, reading.point.unit),
            expected(&misfit.expected, reading.point.unit),
            format_to(off, Unit::Ratio, 2)
        )
    } else {
        format!(
            "leaves the voltages together {} combined standard uncertainties off (root mean square), \
             and {FARTHEST_TOGETHER} are let pass",
            format_to(misfit.together, Unit::Ratio, 2)
        )
    };
    format!(
        "NOTHING FITS. Even the best explanation ({}) {why}. Read {place} again first. If it stands, \
         more than one thing is wrong, or something that is on no list: a wrong part fitted, a wire \
         in a place of its own. Compare the wiring list with the box.",
        best.map_or_else(String::new, Cause::describe)
    )
}

fn explanation(found: &Found, at: usize, group: &Group) -> String {
    let mut lines = Vec::new();
    // What changes nothing follows the healthy box in one line.
    let named = group
        .causes
        .iter()
        .enumerate()
        .filter(|(index, _)| *index == 0 || *index > group.without_effect);
    let share = format!("  {:>6}  ", format_percent(group.share, 2));
    for (line, (_, cause)) in named.clone().enumerate().take(SHOWN[1]) {
        let indent = if line == 0 { &share } else { "      or  " };
        lines.push(fill(&cause.describe(), indent, "          "));
    }
    let more = named.count().saturating_sub(SHOWN[1]);
    if more > 0 {
        lines.push(format!("      or  {more} more"));
    }
    if group.without_effect > 0 {
        lines.push(format!(
            "      or  {} slips that change nothing",
            group.without_effect
        ));
    }
    if group.causes.len() > 1 {
        lines.push("          None of these readings tells them apart.".to_owned());
    }
    let telling = &group.telling;
    let reading = &found.readings[telling.reading];
    let rival = match (found.diagnosis.groups.len(), at) {
        (1, _) => "",
        (_, 0) => " and against the next",
        _ => " and for the first",
    };
    let word = if telling.weighs >= 0.0 || found.diagnosis.groups.len() == 1 {
        format!("Speaks most for it{}:", rival.replace("and for", "beside"))
    } else {
        format!(
            "Speaks most against it{}:",
            rival.replace("and against", "beside")
        )
    };
    let line = format!(
        "{word} {} reads {}, it expects {}.",
        reading.point.describe(),
        shown(reading.reads, reading.point.unit),
        expected(&telling.expected, reading.point.unit)
    );
    lines.push(fill(&line, "          ", "          "));
    lines.join("\n") + "\n"
}

/// Readings that were not compared, and why.
pub(super) fn not_used(found: &Found) -> Vec<(String, &'static str)> {
    let currents = found.currents.iter().map(|point| {
        let why = "a current, and only voltages and resistances are compared";
        (point.describe(), why)
    });
    let unplaced = found.diagnosis.unplaced.iter().map(|index| {
        let why = "the design, as it was built, has no such place or setting";
        (found.readings[*index].point.describe(), why)
    });
    currents.chain(unplaced).collect()
}

fn next(found: &Found) -> String {
    if let Some(why) = &found.unpowered {
        let line =
            format!("LEAVE THE SUPPLY OFF: {why}. Only what is measured without it is proposed.");
        let mut out = wrapped(&line, "\n");
        out.push_str(&measure(found));
        return out;
    }
    let mut out = String::new();
    if found.cold_open > 0 {
        let line = format!(
            "{} cold checks are not on record: make them before the supply goes on again.",
            found.cold_open
        );
        out.push_str(&wrapped(&line, "\n"));
    }
    out.push_str(&measure(found));
    out
}

fn measure(found: &Found) -> String {
    let Some(next) = &found.diagnosis.next else {
        if found.diagnosis.misfit.nothing_fits() {
            return String::new();
        }
        let alike = found
            .diagnosis
            .groups
            .first()
            .is_some_and(|group| group.causes.len() > 1);
        return wrapped(
            if alike {
                NOT_APART
            } else {
                "One explanation is left."
            },
            "\n",
        );
    };
    if next.separation < SEPARATES / 4.0 {
        return wrapped(NOT_APART, "\n");
    }
    let step = step(found, next);
    let line = format!(
        "Measure next: {}{step}. It separates two explanations by {} combined standard uncertainties, \
         on average and by their shares:",
        next.point.describe(),
        format_to(next.separation, Unit::Ratio, 2)
    );
    let mut out = wrapped(&line, "\n");
    for (cause, ends) in &next.expected {
        let range = format!("  {:<22} ", range(*ends, next.point.unit));
        out.push_str(&fill(&cause.describe(), &range, &" ".repeat(25)));
        out.push('\n');
    }
    out
}

fn step(found: &Found, next: &Next) -> String {
    let step = found.steps.iter().find(|step| step.place.same(&next.point));
    match step.filter(|_| next.step) {
        Some(step) => format!(" (step {} of the bring-up)", step.number),
        None => String::new(),
    }
}

fn expected(expectation: &Expectation, unit: Unit) -> String {
    range(ends(expectation, unit), unit)
}

/// Resistances go over decades, and end where the meter shows `OL`.
fn range([low, high]: [f64; 2], unit: Unit) -> String {
    if unit != Unit::Ohm {
        return format_range(low, high, unit, 3);
    }
    let shown = |ohms: f64| {
        if ohms < 0.99 * OPEN {
            format_to(ohms, unit, 2)
        } else {
            "OL".to_owned()
        }
    };
    match (shown(low), shown(high)) {
        (low, high) if low == high => low,
        (low, high) => format!("{low} to {high}"),
    }
}

fn fill(text: &str, first: &str, rest: &str) -> String {
    let options = textwrap::Options::new(78)
        .word_splitter(textwrap::WordSplitter::NoHyphenation)
        .initial_indent(first)
        .subsequent_indent(rest);
    textwrap::fill(text, options)
}

fn wrapped(text: &str, before: &str) -> String {
    format!("{before}{}\n", fill(text, "", ""))
}

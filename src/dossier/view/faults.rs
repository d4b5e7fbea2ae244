//! Faults and slips: what the worst of them put on each input, which step shows what does harm,
//! and which parts they take along.

use super::words::part_anchor;
use super::{Material, View};
use crate::bringup::coverage::{Coverage, Standing, coverage, survived};
use crate::dossier::block::{
    Align, Block, Cell, Column, Inline, Row, Status, Table, link, strong, text,
};
use crate::dossier::font::Fonts;
use crate::evidence::BEYOND_ANY_MODEL;
use crate::evidence::disturbed::{Case, Disturbed, Reach};
use crate::quantity::{Unit, format_percent, format_range, format_to};
use crate::situations::disturbance::Class;

/// The classes, with their headings.
const CLASSES: [(Class, &str); 3] = [
    (Class::Fault, "Parts and joints that fail"),
    (Class::Slip, "Slips of the builder"),
    (Class::Handling, "Slips of the user"),
];

pub(super) fn add(material: &Material, fonts: &Fonts, view: &mut View) {
    let computed = material.evidence.disturbed.as_ref();
    let empty = Disturbed::default();
    let disturbed = computed.unwrap_or(&empty);
    let covered = coverage(material.design, material.evidence, material.meter);
    let count = |class| {
        let of = |case: &&Case| case.disturbance.class == class;
        disturbed.cases.iter().filter(of).count()
    };
    view.field("faults_computed", computed.is_some());
    view.field("faults_count", count(Class::Fault));
    view.field("slips_count", count(Class::Slip));
    view.field("handling_count", count(Class::Handling));
    let counts = &disturbed.counts;
    view.field("faults_solved", counts.solved);
    view.field("faults_proved", counts.proved);
    view.field("faults_like_healthy", counts.like_healthy);
    view.field("faults_like_another", counts.like_another);
    view.field("faults_unsolved", counts.unsolved);
    view.offer("coverage", true, summary(&covered));
    view.offer(
        "faults-reach",
        true,
        vec![Block::Table(reaches(material, disturbed))],
    );
    let figures = super::fault_figure::outcomes(material, disturbed, fonts);
    view.field("has_fault_figures", !figures.is_empty());
    view.offer("faults-outcomes", false, figures);
    let harm = match &covered {
        Ok(coverage) => vec![Block::Table(damaging(material, disturbed, coverage))],
        Err(_) => Vec::new(),
    };
    view.offer("faults-damaging", true, harm);
    let over = vec![Block::Table(overstressed(material, disturbed))];
    view.offer("faults-overstress", true, over);
}

/// The coverage in words, numerator and denominator.
fn summary(covered: &Result<Coverage, crate::evidence::Missing>) -> Vec<Block> {
    let coverage = match covered {
        Ok(coverage) => coverage,
        Err(missing) => {
            let words = format!("not assessed: {}", missing.what);
            let line = vec![Inline::Status(Status::NotAssessed), words.into()];
            return vec![Block::Paragraph(line)];
        }
    };
    let share = coverage.share();
    let mut lines = Vec::new();
    if share.of == 0 {
        lines.push(vec![
            strong("Coverage: nothing to cover. "),
            "No single fault, and no slip of the builder, puts more on an input than it survives."
                .into(),
        ]);
    } else {
        let part = share.revealed as f64 / share.of as f64;
        let by_weight = share.weighted[0] / share.weighted[1];
        lines.push(vec![
            strong(format!(
                "Coverage: {} of {} ({}). ",
                share.revealed,
                share.of,
                format_percent(part, 3)
            )),
            format!(
                "So many of the faults and slips that can be in the box when it is first built, \
                 and that put more on an input than it survives, are shown by a step of the \
                 bring-up before anything is plugged in. Weighted by how often each sort of part \
                 fails which way: {:.2} of {:.2} ({}).",
                share.weighted[0],
                share.weighted[1],
                format_percent(by_weight, 3)
            )
            .into(),
        ]);
    }
    let service = coverage
        .damaging()
        .filter(|one| one.class != Class::Slip)
        .count();
    if service > 0 {
        lines.push(text(format!(
            "{service} of them can also come later, with the instrument plugged in, where no \
             reading shows them in time: the failures of parts and the slips of the user below."
        )));
    }
    lines.into_iter().map(Block::Paragraph).collect()
}

/// What the worst of each class puts on each input.
fn reaches(material: &Material, disturbed: &Disturbed) -> Table {
    let mut rows = Vec::new();
    for (class, title) in CLASSES {
        let of_class = || {
            disturbed
                .cases
                .iter()
                .filter(|c| c.disturbance.class == class)
        };
        let mut feeds: Vec<(&str, usize)> = Vec::new();
        for reach in of_class().flat_map(|case| &case.reaches) {
            if !feeds.contains(&(reach.jack.as_str(), reach.index)) {
                feeds.push((&reach.jack, reach.index));
            }
        }
        if !feeds.is_empty() {
            rows.push(Row::group(title));
        }
        for (jack, index) in feeds {
            let mine = |case: &Case| -> Option<Reach> {
                let found = case
                    .reaches
                    .iter()
                    .find(|r| r.jack == jack && r.index == index);
                found.cloned()
            };
            let of_feed = || of_class().filter_map(|case| Some((case, mine(case)?)));
            let low = of_feed().min_by(|a, b| a.1.low.total_cmp(&b.1.low));
            let high = of_feed().max_by(|a, b| a.1.high.total_cmp(&b.1.high));
            let (Some((low_case, low)), Some((high_case, high))) = (low, high) else {
                continue;
            };
            rows.push(reach_row(
                material,
                jack,
                index,
                (low_case, low.low),
                (high_case, high.high),
            ));
        }
    }
    Table {
        id: "faults-reach".to_owned(),
        caption: text(
            "The lowest and highest instant that any one thing wrong puts on each input.",
        ),
        columns: vec![
            Column::new("Jack", Align::Left),
            Column::new("Input survives", Align::Left),
            Column::new("Lowest", Align::Decimal),
            Column::new("With", Align::Left).share(1.0),
            Column::new("Highest", Align::Decimal),
            Column::new("With", Align::Left).share(1.0),
        ],
        rows,
        empty: "The box feeds no instrument.".to_owned(),
    }
}

fn reach_row(
    material: &Material,
    jack: &str,
    index: usize,
    (low_case, low): (&Case, f64),
    (high_case, high): (&Case, f64),
) -> Row {
    let survives = survived(material.design, jack, index);
    let value = |value: f64| {
        let words = text(format_to(value, Unit::Volt, 3));
        match &survives {
            Ok((floor, ceiling)) if value < *floor || value > *ceiling => {
                Cell::Status(Status::Fails, words)
            }
            Ok(_) => Cell::Status(Status::Holds, words),
            Err(_) => Cell::Status(Status::NotAssessed, words),
        }
    };
    let range = match &survives {
        Ok((floor, ceiling)) => format_range(*floor, *ceiling, Unit::Volt, 3),
        Err(_) => "not stated".to_owned(),
    };
    Row::new([
        Cell::Text(vec![link(part_anchor(jack), jack)]),
        Cell::text(range),
        value(low),
        named(low_case),
        value(high),
        named(high_case),
    ])
}

/// What is wrong, its part linked.
fn named(case: &Case) -> Cell {
    let one = &case.disturbance;
    Cell::Text(vec![
        link(part_anchor(&one.part), one.part.as_str()),
        format!(": {}", one.words).into(),
    ])
}

/// Everything that does harm, with the step that shows it.
fn damaging(material: &Material, disturbed: &Disturbed, coverage: &Coverage) -> Table {
    let mut rows = Vec::new();
    for (class, title) in CLASSES {
        let of_class: Vec<&Standing> = coverage
            .damaging()
            .filter(|one| one.class == class)
            .collect();
        if of_class.is_empty() {
            continue;
        }
        rows.push(Row::group(title));
        for one in of_class {
            let mut what = named(&disturbed.cases[one.case]);
            if let (Cell::Text(words), Some(part)) = (&mut what, &one.after) {
                words.push(format!("; {part}, over its input rating, then fails too").into());
            }
            let shown = match (one.class, one.revealed_by) {
                (Class::Handling, _) => {
                    Cell::Status(Status::Fails, text("nothing: it can happen on any day"))
                }
                (_, Some(step)) => {
                    Cell::Text(vec![link(format!("step-{step}"), format!("step {step}"))])
                }
                (_, None) => Cell::Status(Status::Fails, text("no step: it escapes")),
            };
            let limit = survived(material.design, &one.jack, one.index).map_or_else(
                |_| String::new(),
                |(low, high)| format_range(low, high, Unit::Volt, 3),
            );
            rows.push(Row::new([
                what,
                Cell::text(one.jack.as_str()),
                Cell::text(format_to(one.value, Unit::Volt, 3)),
                Cell::text(limit),
                shown,
            ]));
        }
    }
    Table {
        id: "faults-damaging".to_owned(),
        caption: text(
            "Everything that, alone, puts more on an input than it survives, and the first step \
             of the bring-up that shows it for certain before anything is plugged in.",
        ),
        columns: vec![
            Column::new("What is wrong", Align::Left).share(2.0),
            Column::new("Jack", Align::Left),
            Column::new("Reaches", Align::Decimal),
            Column::new("Survives", Align::Left),
            Column::new("Shown by", Align::Left).share(1.0),
        ],
        rows,
        empty: "Nothing that can be wrong alone does harm to an input.".to_owned(),
    }
}

/// Which parts each thing wrong takes beyond their ratings.
fn overstressed(material: &Material, disturbed: &Disturbed) -> Table {
    let mut rows = Vec::new();
    for case in &disturbed.cases {
        for (index, over) in case.overstressed.iter().enumerate() {
            let unit = over.stress.unit();
            rows.push(Row::new([
                if index == 0 {
                    named(case)
                } else {
                    Cell::empty()
                },
                if material.design.parts.contains_key(&over.part) {
                    Cell::Text(vec![link(part_anchor(&over.part), over.part.as_str())])
                } else {
                    Cell::text(over.part.as_str())
                },
                Cell::text(over.stress.words()),
                if unit == Unit::Celsius && over.value > BEYOND_ANY_MODEL {
                    Cell::text(format!("above {}", format_to(BEYOND_ANY_MODEL, unit, 3)))
                } else {
                    Cell::text(format_to(over.value, unit, 3))
                },
                Cell::text(format_to(over.limit, unit, 3)),
            ]));
        }
    }
    Table {
        id: "faults-overstress".to_owned(),
        caption: text(
            "Parts that one thing wrong takes beyond their absolute ratings, a fuse taken as not \
             yet blown, and without the thermal shutdown that some regulators have. Replace them \
             together with what was wrong.",
        ),
        columns: vec![
            Column::new("What is wrong", Align::Left).share(1.0),
            Column::new("Takes along", Align::Left),
            Column::new("Stress", Align::Left),
            Column::new("Reaches", Align::Decimal),
            Column::new("Rating", Align::Decimal),
        ],
        rows,
        empty: "Nothing that can be wrong alone takes another part along.".to_owned(),
    }
}

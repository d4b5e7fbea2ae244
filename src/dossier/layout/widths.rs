//! Column widths of a table.

use crate::dossier::block::Width;

/// What a column asks for [pt].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Demand {
    pub width: Width,
    /// Without wrapping.
    pub natural: f64,
    /// Its widest word.
    pub least: f64,
    /// May take what is left over.
    pub stretches: bool,
}

/// Shares `available` among columns.
///
/// Fixed columns get what they ask for. The others get their natural width if it fits; what is
/// left goes to the sharing columns, or, in a table that nearly fills the column, to those that
/// stretch. If it does not fit, every column keeps its widest word and the rest is shared in
/// proportion to what each would still like; if even the widest words do not fit, the widest columns
/// are cut to one width and their words break.
pub(super) fn share(demands: &[Demand], available: f64) -> Vec<f64> {
    let fixed: f64 = demands
        .iter()
        .map(|d| {
            if let Width::Fixed(w) = d.width {
                w
            } else {
                0.0
            }
        })
        .sum();
    let free = (available - fixed).max(1.0);
    let weights: f64 = demands.iter().map(|d| weight(*d)).sum();
    let sum = |of: fn(&Demand) -> f64, shares: bool| -> f64 {
        demands
            .iter()
            .filter(|d| !matches!(d.width, Width::Fixed(_)))
            .filter(|d| shares || !matches!(d.width, Width::Share(_)))
            .map(of)
            .sum()
    };
    let natural_content = sum(|d| d.natural, false);
    let least_all = sum(|d| d.least, true);
    let least_shares = least_all - sum(|d| d.least, false);

    if weights > 0.0 && natural_content + least_shares <= free {
        let left = free - natural_content;
        let mut widths: Vec<f64> = demands
            .iter()
            .map(|d| match d.width {
                Width::Fixed(w) => w,
                Width::Content => d.natural,
                Width::Share(w) => left * w / weights,
            })
            .collect();
        lift_to_least(demands, &mut widths);
        return widths;
    }
    let natural_all = sum(|d| d.natural, true);
    if natural_all <= free {
        let left = if natural_all < 0.55 * free {
            0.0
        } else {
            free - natural_all
        };
        let stretch: f64 = demands
            .iter()
            .filter(|d| d.stretches)
            .map(|d| d.natural)
            .sum();
        return demands
            .iter()
            .map(|d| match d.width {
                Width::Fixed(w) => w,
                _ if d.stretches && stretch > 0.0 => d.natural + left * d.natural / stretch,
                _ => d.natural,
            })
            .collect();
    }
    if least_all <= free {
        let wish = natural_all - least_all;
        return demands
            .iter()
            .map(|d| match d.width {
                Width::Fixed(w) => w,
                _ => d.least + (free - least_all) * (d.natural - d.least) / wish.max(1e-9),
            })
            .collect();
    }
    let cap = level(demands, free);
    demands
        .iter()
        .map(|d| match d.width {
            Width::Fixed(w) => w,
            _ => d.least.min(cap),
        })
        .collect()
}

/// The width to which the widest columns are cut so that all fit, narrow ones keeping their own.
fn level(demands: &[Demand], free: f64) -> f64 {
    let mut least: Vec<f64> = demands
        .iter()
        .filter(|d| !matches!(d.width, Width::Fixed(_)))
        .map(|d| d.least)
        .collect();
    least.sort_by(f64::total_cmp);
    let mut left = free;
    let mut count = least.len();
    for width in least {
        #[allow(clippy::cast_precision_loss)]
        let equal = left / count as f64;
        if width >= equal {
            return equal;
        }
        left -= width;
        count -= 1;
    }
    free
}

fn weight(demand: Demand) -> f64 {
    if let Width::Share(weight) = demand.width {
        weight
    } else {
        0.0
    }
}

/// Takes from the roomy sharing columns what the tight ones need for their widest word.
fn lift_to_least(demands: &[Demand], widths: &mut [f64]) {
    let mut short = 0.0;
    let mut room = 0.0;
    for (demand, width) in demands.iter().zip(widths.iter()) {
        if matches!(demand.width, Width::Share(_)) {
            short += (demand.least - width).max(0.0);
            room += (width - demand.least).max(0.0);
        }
    }
    if short <= 0.0 || room <= 0.0 {
        return;
    }
    let take = (short / room).min(1.0);
    for (demand, width) in demands.iter().zip(widths.iter_mut()) {
        if matches!(demand.width, Width::Share(_)) {
            if *width < demand.least {
                *width = demand.least;
            } else {
                *width -= (*width - demand.least) * take;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn content(natural: f64, least: f64) -> Demand {
        Demand {
            width: Width::Content,
            natural,
            least,
            stretches: true,
        }
    }

    #[test]
    fn widths_never_exceed_what_is_there() {
        let cases: [Vec<Demand>; 4] = [
            vec![content(900.0, 40.0), content(30.0, 30.0)],
            vec![content(900.0, 800.0), content(700.0, 600.0)],
            vec![
                Demand {
                    width: Width::Share(1.0),
                    ..content(500.0, 90.0)
                },
                Demand {
                    width: Width::Share(3.0),
                    ..content(500.0, 20.0)
                },
                content(100.0, 50.0),
            ],
            vec![
                Demand {
                    width: Width::Fixed(60.0),
                    ..content(10.0, 10.0)
                },
                content(400.0, 30.0),
            ],
        ];
        for demands in cases {
            let widths = share(&demands, 300.0);
            let total: f64 = widths.iter().sum();
            assert!(total <= 300.0 + 1e-9, "{widths:?}");
            assert!(widths.iter().all(|w| *w > 0.0), "{widths:?}");
        }
    }

    #[test]
    fn a_small_table_keeps_its_natural_widths() {
        assert_eq!(
            share(&[content(50.0, 20.0), content(60.0, 20.0)], 400.0),
            [50.0, 60.0]
        );
    }
}

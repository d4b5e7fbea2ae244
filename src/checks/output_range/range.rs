//! A range against its limits: what the output checks share.

use crate::checks::prelude::*;

/// The comparison of the end that stands nearer to, or farther beyond, its limit.
#[must_use]
pub fn nearer(
    low: &Extent,
    floor: f64,
    high: &Extent,
    ceiling: f64,
    quantity: &str,
    limit_is: &str,
) -> Comparison {
    let below = Comparison::at_least(
        format!("lowest {quantity}"),
        low,
        floor,
        Unit::Volt,
        limit_is,
    );
    let above = Comparison::at_most(
        format!("highest {quantity}"),
        high,
        ceiling,
        Unit::Volt,
        limit_is,
    );
    if above.margin() <= below.margin() {
        above
    } else {
        below
    }
}

/// What keeps an output inside a limit.
#[must_use]
pub fn remedy(context: &Context, feed: &Feed, comparison: &Comparison) -> String {
    let zener = comparison.limit.abs();
    let direct = wiring::driven_directly(context.design, feed.net)
        .map(|part| format!(" {} drives the jack directly.", part.reference))
        .unwrap_or_default();
    format!(
        "Narrow the range before {0} (a resistor at each end of the control, or a divider), or hold it with 1 kΩ in series and a clamp below {1} at {0}.{direct}",
        feed.jack.reference,
        volts(zener)
    )
}

//! The steps, in an order that never exposes a person or the instrument to an unchecked fault.

use super::place::{place, set_of};
use super::stop::stop;
use super::supply;
use super::{Limits, Meter};
use crate::catalogue::Kind;
use crate::design::{Design, Structure};
use crate::evidence::{Evidence, Measure, Missing, SituationId};
use crate::quantity::Unit;
use crate::records::Point;
use crate::situations::{Plugged, Situation, State, control_name};
use std::collections::BTreeMap;

/// The phases, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// A supply by itself, joined to nothing.
    Supply,
    /// Nothing connected: resistance to ground.
    Cold,
    /// Supply on, nothing plugged in: rails.
    FirstPower,
    /// Outputs end to end in every switch position, nothing plugged in.
    Outputs,
    /// The instrument plugged in.
    PlugIn,
}

impl Phase {
    /// All, in order.
    pub const ALL: [Self; 5] = [
        Self::Supply,
        Self::Cold,
        Self::FirstPower,
        Self::Outputs,
        Self::PlugIn,
    ];

    /// Heading and what to do before the first step.
    #[must_use]
    pub fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::Supply => (
                "The supply by itself",
                "Not joined to the box. An adaptor: plug it into the mains and measure at its own \
                 plug; then pull it out again. One that is not regulated gives more by itself than \
                 its label says, which is for full load. An alternating window holds another 2 % for \
                 the meter.",
            ),
            Self::Cold => (
                "Cold checks",
                "Every supply dead: an AC adaptor pulled out of the wall but joined to the box, for \
                 through its winding a rectifier that is turned round shows; any other supply off \
                 the box. Nothing plugged in. Red probe on the net, black on ground. A capacitor \
                 turned round does not show: compare each with the pin pictures before going on. \
                 Wait until the reading stands still: capacitors charge from the meter. On a negative net a meter may make a diode of a good box \
                 conduct: a reading too low there that is high enough with the probes swapped is \
                 no short; then compare that diode's band with the pin pictures before going on.",
            ),
            Self::FirstPower => (
                "First power",
                "Nothing plugged into any jack. For the first minute have a fuse or a lamp in the \
                 supply's lead (where the box takes DC, a bench supply with a current limit will \
                 do). Clip the black probe to ground and keep one hand away from the board. Stop at \
                 once (pull out the supply) at smoke, heat, hum or a reading at which the column \
                 says so. Outside what is expected but short of that: switch off and find out why \
                 before going on.",
            ),
            Self::Outputs => (
                "Outputs, still unplugged",
                "Supply on, nothing plugged in but the meter. Move every control end to end, in every position of \
                 the switches if there are any. A reading outside the stop limit is not for the \
                 instrument, whatever the window expects; a meter over its range counts as outside.",
            ),
            Self::PlugIn => (
                "With the instrument",
                "Only when every step above has passed. Box off and its output at 0 V, instrument \
                 off: plug in, then the instrument on, then the box. At the end the box off first; \
                 pull the plug when its output is at 0 V. Beyond the stop limit pull the plug first, \
                 then the supply.",
            ),
        }
    }
}

/// Where a reading should lie.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    /// Lowest expected reading, meter included.
    pub low: f64,
    /// Reading at nominal.
    pub nominal: f64,
    /// Highest expected reading, meter included.
    pub high: f64,
    /// What the meter shows at the worst corners, its own error left out.
    pub limits: Limits,
    /// Full scale of the meter's range.
    pub range: f64,
    /// Situations of the two ends.
    pub at: (SituationId, SituationId),
}

/// What one step expects.
#[derive(Debug, Clone, PartialEq)]
pub enum Expected {
    /// A voltage within a window [V].
    Voltage(Window),
    /// An alternating voltage within a window [V rms].
    Alternating(Window),
    /// A resistance of at least this [Ω].
    AtLeast(f64),
    /// A resistance near this [Ω].
    Near(f64),
    /// It could not be computed; says why. The step cannot be passed on paper.
    Unknown(String),
}

impl Expected {
    /// The limits a reading is judged against; `None` when nothing could be computed. A winding's
    /// resistance may be half or twice what was estimated (common practice).
    #[must_use]
    pub fn limits(&self) -> Option<Limits> {
        match self {
            Self::Voltage(window) | Self::Alternating(window) => Some(window.limits),
            Self::AtLeast(ohms) => Some(Limits {
                low: *ohms,
                high: f64::INFINITY,
            }),
            Self::Near(ohms) => Some(Limits {
                low: 0.5 * ohms,
                high: 2.0 * ohms,
            }),
            Self::Unknown(_) => None,
        }
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Number, from 1.
    pub number: usize,
    /// Phase.
    pub phase: Phase,
    /// What to set first, e.g. `Lever fully clockwise`; empty when nothing changes.
    pub set: String,
    /// Test point and net, e.g. `TP1 (raw+)`.
    pub point: String,
    /// The net.
    pub net: String,
    /// The setting of switches and controls, where the step asks for one.
    pub state: Option<State>,
    /// The jack at whose plug it is measured, signal contact against sleeve; `None` when it is
    /// measured at the net against `gnd`.
    pub jack: Option<String>,
    /// Where and how, as records name it.
    pub place: Point,
    /// What to expect.
    pub expected: Expected,
    /// Outside these the procedure stops at once.
    pub halt: Option<Limits>,
    /// Beyond this the procedure stops, and why.
    pub stop: Option<String>,
    /// What a reading below suggests.
    pub if_low: String,
    /// What a reading above suggests.
    pub if_high: String,
}

impl Step {
    /// Full scale of the range to begin on, where the one that shows what is expected would not
    /// show a voltage at which to stop.
    #[must_use]
    pub fn first_range(&self, meter: &Meter) -> Option<f64> {
        let (Expected::Voltage(window), Some(halt)) = (&self.expected, self.halt) else {
            return None;
        };
        let range = meter.range(halt.low.abs().max(halt.high.abs()), Unit::Volt);
        (range > window.range).then_some(range)
    }
}

/// The whole procedure.
#[must_use]
pub fn steps(design: &Design, evidence: &Evidence, meter: &Meter) -> Vec<Step> {
    let mut steps = supply::steps(design, meter);
    let points = points(design);
    for (index, (point, net)) in points.iter().enumerate() {
        let mut step = cold(design, evidence, point, net);
        // The controls stay as the first of these steps sets them.
        if let Some(nominal) = evidence.situations.first().filter(|_| index == 0) {
            step.set = set_words(design, &nominal.state);
        }
        steps.push(step);
    }
    let outputs = outputs(design);
    let is_output = |net: &String| outputs.iter().any(|(_, output)| output == net);
    // Rails with every switch where it stands nominally; the outputs go through all positions.
    let switched = evidence.situations.first().map(|nominal| State {
        travel: BTreeMap::new(),
        ..nominal.state.clone()
    });
    let switched = switched.unwrap_or_default();
    let set = set_words(design, &switched);
    for (point, net) in points.iter().filter(|(_, net)| !is_output(net)) {
        let expected = window(evidence, meter, net, |situation| {
            let state = &situation.state;
            unplugged(situation) && state.powered && state.switches == switched.switches
        });
        let place = place(point, net, set_of(design, &switched), Phase::FirstPower);
        steps.push(powered(
            design,
            Phase::FirstPower,
            &set,
            point,
            place,
            expected,
        ));
    }
    for (jack, net) in &outputs {
        let point = point_name(design, net);
        for (set, state) in settings(evidence, design) {
            let here = |situation: &Situation| {
                situation.state.powered
                    && unplugged(situation)
                    && situation.state.switches == state.switches
                    && situation.state.travel == state.travel
            };
            let expected = window(evidence, meter, net, here);
            let place = place(&point, net, set_of(design, &state), Phase::Outputs);
            let mut step = powered(design, Phase::Outputs, &set, &point, place, expected);
            step.state = Some(state);
            steps.push(step);
        }
        if let Some(step) = at_the_plug(design, jack, net, &steps) {
            steps.push(step);
        }
        for (set, state) in settings(evidence, design) {
            let here = |situation: &Situation| {
                situation.state.powered
                    && matches!(
                        situation.state.plugs.get(jack),
                        Some(Plugged::Device { on: true, .. })
                    )
                    && situation.state.switches == state.switches
                    && state.travel.iter().all(|(control, travel)| {
                        situation.state.travel.get(control) == Some(travel)
                    })
            };
            let expected = window(evidence, meter, net, here);
            let place = place(&point, net, set_of(design, &state), Phase::PlugIn);
            let mut step = powered(design, Phase::PlugIn, &set, &point, place, expected);
            step.state = Some(state.clone());
            steps.push(step);
        }
    }
    for (index, step) in steps.iter_mut().enumerate() {
        step.number = index + 1;
    }
    steps
}

/// Thermal voltages, pick-up and the meter's zero, which no circuit here has [V] (project choice).
const NOT_MODELLED: f64 = 1e-3;

/// Where a reading of a net's mean should lie in the situations for which `when` holds: the
/// extremes over all corners, loaded and blurred by the meter.
///
/// # Errors
/// [`Missing`] when it was not computed.
pub fn window(
    evidence: &Evidence,
    meter: &Meter,
    net: &str,
    when: impl Fn(&Situation) -> bool,
) -> Result<Window, Missing> {
    let extent = evidence.net(net, Measure::Mean, when)?;
    let source = evidence
        .source_resistance(net)
        .map_or(0.0, |extent| extent.high);
    let shown = |voltage: f64| meter.loaded(voltage, source);
    // The load pulls towards zero: take it where it widens the window, not where it narrows it.
    let low = extent.low.min(shown(extent.low)) - NOT_MODELLED;
    let high = extent.high.max(shown(extent.high)) + NOT_MODELLED;
    let range = meter.range(low.abs().max(high.abs()), Unit::Volt);
    Ok(Window {
        low: low - meter.error(low, range, Unit::Volt),
        nominal: shown(extent.nominal),
        high: high + meter.error(high, range, Unit::Volt),
        limits: Limits { low, high },
        range,
        at: (extent.low_at, extent.high_at),
    })
}

/// Test points first, then every other net a supply, regulator or jack hangs on.
fn points(design: &Design) -> Vec<(String, String)> {
    let mut points: Vec<(String, String)> = design
        .test_points
        .iter()
        .map(|(name, net)| (format!("{name} ({net})"), net.clone()))
        .collect();
    for part in design.parts.values() {
        let wanted: &[&str] = match part.kind {
            Kind::Regulator | Kind::AdjustableRegulator => &["in", "out"],
            Kind::Jack | Kind::Plug => &["tip", "ring"],
            _ => &[],
        };
        for terminal in wanted {
            if let Some(net) = part.net(terminal)
                && net != "gnd"
                && points.iter().all(|(_, known)| known != net)
            {
                points.push((point_name(design, net), net.to_owned()));
            }
        }
    }
    points
}

fn point_name(design: &Design, net: &str) -> String {
    if let Some((name, _)) = design.test_points.iter().find(|(_, at)| at.as_str() == net) {
        return format!("{name} ({net})");
    }
    for part in design.parts.values() {
        if let Some((terminal, _)) = part.terminals.iter().find(|(_, at)| at.as_str() == net) {
            return format!("{} {terminal} ({net})", part.reference);
        }
    }
    net.to_owned()
}

/// Jack and net of every contact that feeds an instrument.
#[must_use]
pub fn outputs(design: &Design) -> Vec<(String, String)> {
    crate::evidence::outputs(design)
        .into_iter()
        .map(|(jack, net, _)| (jack, net))
        .collect()
}

/// The jack through which a net feeds an instrument.
#[must_use]
pub fn output_of(design: &Design, net: &str) -> Option<String> {
    let found = outputs(design).into_iter().find(|(_, at)| at == net);
    found.map(|(jack, _)| jack)
}

fn unplugged(situation: &Situation) -> bool {
    situation
        .state
        .plugs
        .values()
        .all(|plug| *plug == Plugged::Nothing)
}

/// The last step before the instrument: once more at the plug that will meet it, tip against
/// sleeve, in the setting whose expected reading lies farthest from zero. A jack whose contacts
/// are swapped shows only here.
fn at_the_plug(design: &Design, jack: &str, net: &str, steps: &[Step]) -> Option<Step> {
    let part = design.parts.get(jack)?;
    if part.net("sleeve") != Some("gnd") {
        return None;
    }
    let (contact, _) = part.terminals.iter().find(|(_, at)| at.as_str() == net)?;
    let distance = |step: &Step| match &step.expected {
        Expected::Voltage(window) => window.low.max(-window.high),
        _ => f64::NEG_INFINITY,
    };
    let mut step = steps
        .iter()
        .filter(|step| step.phase == Phase::Outputs && step.net == net && step.jack.is_none())
        .max_by(|a, b| distance(a).total_cmp(&distance(b)))?
        .clone();
    step.point = format!("{jack} {contact} to sleeve, on a plug put into {jack}");
    step.jack = Some(jack.to_owned());
    step.place.jack = Some(jack.to_owned());
    step.if_low = format!("the wires to {jack} swapped, or one of them off");
    Some(step)
}

/// Every setting of switches and controls with nothing plugged in, in words, ends before middle.
fn settings(evidence: &Evidence, design: &Design) -> Vec<(String, State)> {
    let mut settings: Vec<(String, State)> = Vec::new();
    for situation in &evidence.situations {
        let state = &situation.state;
        let known = settings
            .iter()
            .any(|(_, s)| s.switches == state.switches && s.travel == state.travel);
        if !state.powered || !unplugged(situation) || known {
            continue;
        }
        settings.push((set_words(design, state), state.clone()));
    }
    settings
}

fn set_words(design: &Design, state: &State) -> String {
    let mut words = Vec::new();
    for (switch, index) in &state.switches {
        if let Some(part) = design.parts.get(switch)
            && let Structure::Contacts { positions, .. } = &part.structure
            && let Some(position) = positions.get(*index)
        {
            words.push(format!("{} to {position}", control_name(design, switch)));
        }
    }
    for (control, travel) in &state.travel {
        let place = if *travel <= 0.0 {
            "to its start (fully counter-clockwise)".to_owned()
        } else if *travel >= 1.0 {
            "to its end (fully clockwise)".to_owned()
        } else {
            "to the middle".to_owned()
        };
        words.push(format!("{} {place}", control_name(design, control)));
    }
    words.join(", ")
}

/// What the resistance of a net to ground should be with the supply off.
#[must_use]
pub fn cold_expected(design: &Design, evidence: &Evidence, net: &str) -> Expected {
    let winding = design.parts.values().any(|part| {
        matches!(part.kind, Kind::AcAdaptor | Kind::Transformer)
            && part.terminals.values().any(|at| at == net)
    });
    match evidence.cold_resistances.get(net) {
        Some(resistance) if winding && *resistance < 1e3 => Expected::Near(*resistance),
        // Half of what the parts give: tolerances, the meter's own voltage and leakage.
        Some(resistance) => Expected::AtLeast(0.5 * resistance.min(2e7)),
        None => Expected::Unknown("the resistance was not computed".into()),
    }
}

fn cold(design: &Design, evidence: &Evidence, point: &str, net: &str) -> Step {
    let expected = cold_expected(design, evidence, net);
    Step {
        number: 0,
        place: place(point, net, BTreeMap::new(), Phase::Cold),
        halt: expected.limits().map(|limits| Limits {
            high: f64::INFINITY,
            ..limits
        }),
        phase: Phase::Cold,
        set: String::new(),
        point: point.to_owned(),
        net: net.to_owned(),
        state: None,
        jack: None,
        expected,
        stop: Some("less: do not apply power".into()),
        if_low: "a short, a solder bridge, or a part turned round".into(),
        if_high: "nothing to worry about".into(),
    }
}

fn powered(
    design: &Design,
    phase: Phase,
    set: &str,
    point: &str,
    place: Point,
    expected: Result<Window, Missing>,
) -> Step {
    let mut expected = match expected {
        Ok(window) => Expected::Voltage(window),
        Err(missing) => Expected::Unknown(missing.what),
    };
    let (halt, stop) = stop(design, phase, &place.net, expected.limits()).unzip();
    // What is not for the instrument is not expected either, meter or no meter.
    if let (Expected::Voltage(window), Some(halt)) = (&mut expected, halt)
        && matches!(phase, Phase::Outputs | Phase::PlugIn)
    {
        let (low, high) = (window.low.max(halt.low), window.high.min(halt.high));
        if low <= high {
            (window.low, window.high) = (low, high);
        }
    }
    let (small, large) = match phase {
        Phase::FirstPower => (
            "supply too low, a diode open, or something drawing too much",
            "mains or adaptor too high, or a regulator's ground pin open",
        ),
        _ => (
            "a resistor or the control wired wrongly, or a rail missing",
            "a resistor shorted, or the control wired to the wrong end",
        ),
    };
    // On a negative rail the weak reading is the one above.
    let negative = expected.limits().is_some_and(|limits| limits.high < 0.0);
    let (if_low, if_high) = if negative {
        (large, small)
    } else {
        (small, large)
    };
    Step {
        number: 0,
        phase,
        set: set.to_owned(),
        point: point.to_owned(),
        net: place.net.clone(),
        state: None,
        jack: None,
        place,
        expected,
        halt,
        stop,
        if_low: if_low.into(),
        if_high: if_high.into(),
    }
}

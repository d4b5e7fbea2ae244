//! What is read off a solution, and how: probes for the solver, and the slot each reading fills.
//!
//! The slots of a [`Layout`] are the same in every situation of a design, whatever is plugged or
//! switched; a part that is not in the circuit leaves its slots empty (NaN).

mod optocoupler;

use super::{Measure, Stress};
use crate::catalogue::Kind;
use crate::circuit::{Circuit, Model};
use crate::design::{Design, Part};
use crate::solver::{Probe, Statistics};
use std::collections::BTreeMap;

/// The measures taken of every net, in slot order.
pub const MEASURES: [Measure; 4] = [
    Measure::Mean,
    Measure::Minimum,
    Measure::Maximum,
    Measure::Ripple,
];

/// Which slot holds what.
#[derive(Debug, Clone, Default)]
pub struct Layout {
    nets: BTreeMap<String, usize>,
    stresses: BTreeMap<String, BTreeMap<Stress, usize>>,
    /// Number of slots.
    pub len: usize,
}

impl Layout {
    /// The slots of a design.
    #[must_use]
    pub fn new(design: &Design) -> Self {
        let mut layout = Self::default();
        for net in &design.nets {
            layout.nets.insert(net.clone(), layout.len);
            layout.len += MEASURES.len();
        }
        for part in design.parts.values() {
            for stress in stresses(part.kind) {
                let of = layout.stresses.entry(part.reference.clone());
                of.or_default().insert(*stress, layout.len);
                layout.len += 1;
            }
        }
        layout
    }

    /// Slot of a net's measure.
    #[must_use]
    pub fn net(&self, net: &str, measure: Measure) -> Option<usize> {
        let offset = MEASURES.iter().position(|other| *other == measure)?;
        self.nets.get(net).map(|slot| slot + offset)
    }

    /// Slot of a part's stress.
    #[must_use]
    pub fn stress(&self, part: &str, stress: Stress) -> Option<usize> {
        self.stresses.get(part)?.get(&stress).copied()
    }

    /// The nets, by slot.
    pub fn nets(&self) -> impl Iterator<Item = (&str, usize)> {
        self.nets.iter().map(|(net, slot)| (net.as_str(), *slot))
    }

    /// The stresses, by slot.
    pub fn stresses(&self) -> impl Iterator<Item = (&str, Stress, usize)> {
        self.stresses.iter().flat_map(|(part, of)| {
            of.iter()
                .map(move |(stress, slot)| (part.as_str(), *stress, *slot))
        })
    }
}

/// The steady-state stresses of a kind of part. `Air` and `Junction` are worked out from the
/// dissipations afterwards.
fn stresses(kind: Kind) -> &'static [Stress] {
    use Stress as S;
    match kind {
        Kind::AcAdaptor | Kind::DcAdaptor | Kind::Battery | Kind::Transformer => &[
            S::PeakVoltage,
            S::CurrentMean,
            S::CurrentRms,
            S::CurrentPeak,
            S::ApparentPower,
            S::Delivered,
        ],
        Kind::Electrolytic | Kind::Tantalum | Kind::Ceramic | Kind::Film => &[
            S::PeakVoltage,
            S::ReverseVoltage,
            S::CurrentRms,
            S::CurrentPeak,
            S::Dissipation,
            S::Air,
        ],
        Kind::Diode | Kind::Bridge | Kind::Led | Kind::Zener | Kind::TransientSuppressor => &[
            S::PeakVoltage,
            S::ReverseVoltage,
            S::CurrentMean,
            S::CurrentRms,
            S::CurrentPeak,
            S::Dissipation,
            S::Air,
            S::Junction,
        ],
        Kind::Regulator | Kind::AdjustableRegulator => &[
            S::InputVoltage,
            S::InputOutput,
            S::Headroom,
            S::BackBias,
            S::CurrentMean,
            S::CurrentPeak,
            S::Dissipation,
            S::Air,
            S::Junction,
        ],
        Kind::OpAmp => &[
            S::Supply,
            S::OutputHeadroomHigh,
            S::OutputHeadroomLow,
            S::CurrentMean,
            S::CurrentPeak,
            S::Dissipation,
            S::Air,
            S::Junction,
        ],
        Kind::ShuntReference | Kind::Bipolar | Kind::Mosfet => &[
            S::PeakVoltage,
            S::CurrentMean,
            S::CurrentPeak,
            S::Dissipation,
            S::Air,
            S::Junction,
        ],
        Kind::Resistor | Kind::Thermistor | Kind::Potentiometer | Kind::Sensor | Kind::Lamp => &[
            S::PeakVoltage,
            S::CurrentMean,
            S::CurrentRms,
            S::CurrentPeak,
            S::Dissipation,
            S::Air,
            S::Junction,
        ],
        Kind::Fuse | Kind::Ptc | Kind::Inductor | Kind::Switch | Kind::Relay | Kind::WireLink => &[
            S::PeakVoltage,
            S::CurrentMean,
            S::CurrentRms,
            S::CurrentPeak,
            S::Dissipation,
        ],
        Kind::Optocoupler => &[
            S::PeakVoltage,
            S::ReverseVoltage,
            S::CurrentMean,
            S::CurrentPeak,
            S::CollectorCurrent,
            S::TransferRatio,
            S::Dissipation,
            S::Air,
            S::Junction,
        ],
        Kind::Load => &[S::PeakVoltage, S::CurrentMean, S::Dissipation],
        Kind::Jack | Kind::Plug | Kind::Connector => &[S::CurrentMean, S::CurrentPeak],
    }
}

/// One number of a probe's statistics.
#[derive(Debug, Clone, Copy)]
enum Pick {
    Average,
    Minimum,
    Maximum,
    Rms,
    /// Largest magnitude.
    Largest,
}

/// LED current of an optocoupler below which it counts as dark [A].
const DARK: f64 = 1e-5;

/// How several numbers become one.
#[derive(Debug, Clone, Copy)]
enum Combine {
    Sum,
    /// Magnitude of the sum.
    SumMagnitude,
    Max,
    Min,
    /// Product of each pair, summed.
    Products,
    /// First over second, nothing where the second is next to nothing.
    Quotient,
}

/// One slot's reading.
#[derive(Debug, Clone)]
struct Reading {
    slot: usize,
    combine: Combine,
    terms: Vec<(usize, Pick, f64)>,
}

/// What to ask the solver about one circuit, and where the answers go.
#[derive(Debug, Clone)]
pub struct Observation {
    /// For the solver.
    pub probes: Vec<Probe>,
    readings: Vec<Reading>,
    len: usize,
}

impl Observation {
    /// The observation of a circuit.
    #[must_use]
    pub fn new(design: &Design, layout: &Layout, circuit: &Circuit) -> Self {
        let mut observer = Observer {
            layout,
            circuit,
            observation: Self {
                probes: Vec::new(),
                readings: Vec::new(),
                len: layout.len,
            },
        };
        for (net, slot) in layout.nets() {
            if let Some(node) = circuit.nodes.get(net) {
                let probe = observer.voltage(*node, 0);
                let pick = |pick| vec![(probe, pick, 1.0)];
                observer.read(slot, Combine::Sum, pick(Pick::Average));
                observer.read(slot + 1, Combine::Sum, pick(Pick::Minimum));
                observer.read(slot + 2, Combine::Sum, pick(Pick::Maximum));
                observer.read(
                    slot + 3,
                    Combine::Sum,
                    vec![(probe, Pick::Maximum, 1.0), (probe, Pick::Minimum, -1.0)],
                );
            }
        }
        for part in design.parts.values() {
            observer.part(part);
        }
        observer.observation
    }

    /// The slots' values from the probes' statistics.
    #[must_use]
    pub fn values(&self, statistics: &[Statistics]) -> Vec<f64> {
        let mut values = vec![f64::NAN; self.len];
        for reading in &self.readings {
            let terms: Vec<f64> = reading
                .terms
                .iter()
                .map(|(probe, pick, scale)| scale * take(&statistics[*probe], *pick))
                .collect();
            values[reading.slot] = match reading.combine {
                Combine::Sum => terms.iter().sum(),
                Combine::SumMagnitude => terms.iter().sum::<f64>().abs(),
                Combine::Max => terms.iter().copied().fold(f64::NEG_INFINITY, f64::max),
                Combine::Min => terms.iter().copied().fold(f64::INFINITY, f64::min),
                Combine::Quotient if terms[1] < DARK => 0.0,
                Combine::Quotient => terms[0] / terms[1],
                Combine::Products => terms.chunks(2).map(|pair| pair[0] * pair[1]).sum(),
            };
        }
        values
    }
}

fn take(statistics: &Statistics, pick: Pick) -> f64 {
    match pick {
        Pick::Average => statistics.average,
        Pick::Minimum => statistics.minimum,
        Pick::Maximum => statistics.maximum,
        Pick::Rms => statistics.rms,
        Pick::Largest => statistics.maximum.abs().max(statistics.minimum.abs()),
    }
}

struct Observer<'a> {
    layout: &'a Layout,
    circuit: &'a Circuit,
    observation: Observation,
}

impl Observer<'_> {
    fn probe(&mut self, probe: Probe) -> usize {
        self.observation.probes.push(probe);
        self.observation.probes.len() - 1
    }

    fn voltage(&mut self, plus: usize, minus: usize) -> usize {
        self.probe(Probe::Voltage { plus, minus })
    }

    fn read(&mut self, slot: usize, combine: Combine, terms: Vec<(usize, Pick, f64)>) {
        self.observation.readings.push(Reading {
            slot,
            combine,
            terms,
        });
    }

    fn stress(
        &mut self,
        part: &Part,
        stress: Stress,
        combine: Combine,
        terms: Vec<(usize, Pick, f64)>,
    ) {
        if let Some(slot) = self.layout.stress(&part.reference, stress) {
            self.read(slot, combine, terms);
        }
    }

    /// The elements of a part: `R1`, or all `BR1.…`.
    fn elements(&self, part: &Part) -> Vec<usize> {
        let prefix = format!("{}.", part.reference);
        self.circuit
            .elements
            .iter()
            .filter(|(name, _)| **name == part.reference || name.starts_with(&prefix))
            .map(|(_, index)| *index)
            .collect()
    }

    fn part(&mut self, part: &Part) {
        let elements = self.elements(part);
        if elements.is_empty() {
            return;
        }
        let models: Vec<Model> = elements
            .iter()
            .map(|index| self.circuit.netlist.elements[*index].model.clone())
            .collect();
        let currents: Vec<usize> = elements
            .iter()
            .zip(&models)
            .map(|(index, model)| self.probe(carrying(*index, model)))
            .collect();
        let powers: Vec<usize> = elements
            .iter()
            .map(|index| self.probe(Probe::Power(*index)))
            .collect();
        if part.kind == Kind::Optocoupler {
            self.optocoupler(part, &elements, &models, &powers);
            return;
        }
        let all = |probes: &[usize], pick: Pick, scale: f64| -> Vec<(usize, Pick, f64)> {
            probes.iter().map(|probe| (*probe, pick, scale)).collect()
        };

        self.stress(
            part,
            Stress::CurrentRms,
            Combine::Max,
            all(&currents, Pick::Rms, 1.0),
        );
        self.stress(
            part,
            Stress::CurrentPeak,
            Combine::Max,
            all(&currents, Pick::Largest, 1.0),
        );
        self.stress(
            part,
            Stress::Dissipation,
            Combine::Sum,
            all(&powers, Pick::Average, 1.0),
        );
        self.stress(
            part,
            Stress::Delivered,
            Combine::Sum,
            all(&powers, Pick::Average, -1.0),
        );
        match part.kind {
            // Both sections' currents flow to the wiper: their sum is the wiper's.
            Kind::Potentiometer => self.stress(
                part,
                Stress::CurrentMean,
                Combine::SumMagnitude,
                all(&currents, Pick::Average, 1.0),
            ),
            Kind::Diode | Kind::Bridge | Kind::Led | Kind::Zener | Kind::TransientSuppressor => {
                self.stress(
                    part,
                    Stress::CurrentMean,
                    Combine::Max,
                    all(&currents, Pick::Average, 1.0),
                );
            }
            _ => {
                // Magnitude of the mean of the busiest element, either way.
                let mut terms = all(&currents, Pick::Average, 1.0);
                terms.extend(all(&currents, Pick::Average, -1.0));
                self.stress(part, Stress::CurrentMean, Combine::Max, terms);
            }
        }
        self.voltages(part, &models);
        self.apparent_power(part, &models, &currents);
    }

    fn voltages(&mut self, part: &Part, models: &[Model]) {
        let either_way = !matches!(
            part.kind,
            Kind::Electrolytic
                | Kind::Tantalum
                | Kind::Diode
                | Kind::Bridge
                | Kind::Led
                | Kind::Zener
                | Kind::TransientSuppressor
        );
        let mut forward = Vec::new();
        let mut reverse = Vec::new();
        for model in models {
            match model {
                Model::Regulator {
                    input,
                    output,
                    common,
                    regulator,
                } if part.kind != Kind::Load => {
                    self.regulator(part, *input, *output, *common, regulator.negative);
                }
                Model::OpAmp {
                    output,
                    supply_plus,
                    supply_minus,
                    ..
                } => {
                    self.op_amp(part, *output, *supply_plus, *supply_minus);
                }
                other => {
                    if let Some((plus, minus)) = ends(other) {
                        let probe = self.voltage(plus, minus);
                        let pick = if either_way {
                            Pick::Largest
                        } else {
                            Pick::Maximum
                        };
                        forward.push((probe, pick, 1.0));
                        reverse.push((probe, Pick::Minimum, -1.0));
                    }
                }
            }
        }
        if !forward.is_empty() {
            self.stress(part, Stress::PeakVoltage, Combine::Max, forward);
            self.stress(part, Stress::ReverseVoltage, Combine::Max, reverse);
        }
    }

    fn regulator(
        &mut self,
        part: &Part,
        input: usize,
        output: usize,
        common: usize,
        negative: bool,
    ) {
        let across = |observer: &mut Self, plus, minus| {
            if negative {
                observer.voltage(minus, plus)
            } else {
                observer.voltage(plus, minus)
            }
        };
        let supplied = across(self, input, common);
        let passed = across(self, input, output);
        self.stress(
            part,
            Stress::InputVoltage,
            Combine::Sum,
            vec![(supplied, Pick::Maximum, 1.0)],
        );
        self.stress(
            part,
            Stress::InputOutput,
            Combine::Sum,
            vec![(passed, Pick::Maximum, 1.0)],
        );
        self.stress(
            part,
            Stress::Headroom,
            Combine::Sum,
            vec![(passed, Pick::Minimum, 1.0)],
        );
        self.stress(
            part,
            Stress::BackBias,
            Combine::Sum,
            vec![(passed, Pick::Minimum, -1.0)],
        );
    }

    /// A package with several units reports its worst unit, so the reading is added up unit by
    /// unit with the others.
    fn op_amp(&mut self, part: &Part, output: usize, plus: usize, minus: usize) {
        let supply = self.voltage(plus, minus);
        let high = self.voltage(plus, output);
        let low = self.voltage(output, minus);
        for (stress, probe, pick, combine) in [
            (Stress::Supply, supply, Pick::Maximum, Combine::Max),
            (
                Stress::OutputHeadroomHigh,
                high,
                Pick::Minimum,
                Combine::Min,
            ),
            (Stress::OutputHeadroomLow, low, Pick::Minimum, Combine::Min),
        ] {
            let Some(slot) = self.layout.stress(&part.reference, stress) else {
                continue;
            };
            let term = (probe, pick, 1.0);
            match self
                .observation
                .readings
                .iter_mut()
                .find(|reading| reading.slot == slot)
            {
                Some(reading) => reading.terms.push(term),
                None => self.read(slot, combine, vec![term]),
            }
        }
    }

    /// Rms voltage times rms current, each winding.
    fn apparent_power(&mut self, part: &Part, models: &[Model], currents: &[usize]) {
        let mut terms = Vec::new();
        for (model, current) in models.iter().zip(currents) {
            if let Model::VoltageSource {
                positive, negative, ..
            } = model
            {
                let voltage = self.voltage(*positive, *negative);
                terms.push((voltage, Pick::Rms, 1.0));
                terms.push((*current, Pick::Rms, 1.0));
            }
        }
        self.stress(part, Stress::ApparentPower, Combine::Products, terms);
    }
}

/// The current that an element is rated by: out of a regulator or an op-amp, into a collector or
/// drain, else into the first terminal.
fn carrying(element: usize, model: &Model) -> Probe {
    match model {
        Model::Regulator { .. } | Model::Bipolar { .. } | Model::Mosfet { .. } => {
            Probe::TerminalCurrent(element, 1)
        }
        Model::OpAmp { .. } => Probe::TerminalCurrent(element, 2),
        _ => Probe::Current(element),
    }
}

/// The two ends between which a part's voltage is counted.
fn ends(model: &Model) -> Option<(usize, usize)> {
    match model {
        Model::VoltageSource {
            positive, negative, ..
        }
        | Model::Capacitor {
            positive, negative, ..
        } => Some((*positive, *negative)),
        Model::CurrentSource { from, to, .. } => Some((*from, *to)),
        Model::Resistor { a, b, .. } | Model::Inductor { a, b, .. } => Some((*a, *b)),
        Model::Diode { anode, cathode, .. } => Some((*anode, *cathode)),
        Model::Regulator { input, output, .. } => Some((*input, *output)),
        Model::ShuntReference { cathode, anode, .. } => Some((*cathode, *anode)),
        Model::Bipolar {
            collector, emitter, ..
        } => Some((*collector, *emitter)),
        Model::Mosfet { drain, source, .. } => Some((*drain, *source)),
        Model::OpAmp { .. } => None,
    }
}

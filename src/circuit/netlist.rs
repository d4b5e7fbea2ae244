//! The element list: nodes, elements and model parameters, all in SI units.

/// Index of a node in [`Netlist::nodes`]; node 0 is the reference (`gnd`).
pub type Node = usize;

/// A circuit ready to solve. Node 0 is ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Netlist {
    /// Node names; `nodes[0]` is the reference.
    pub nodes: Vec<String>,
    /// The elements, in the order in which the solver reports them.
    pub elements: Vec<Element>,
}

impl Netlist {
    /// The same with a test current into a node, out of the reference [A].
    #[must_use]
    pub fn driven(&self, node: Node, current: f64) -> Self {
        let mut netlist = self.clone();
        netlist.elements.push(Element {
            name: "test current".into(),
            model: Model::CurrentSource {
                from: 0,
                to: node,
                current,
            },
        });
        netlist
    }
}

/// One element. A part of the design may become several elements.
#[derive(Debug, Clone, PartialEq)]
pub struct Element {
    /// Unique name, e.g. `C1`, `BR1.d2`.
    pub name: String,
    /// The model with its terminals and parameters.
    pub model: Model,
}

/// What a source puts out, in volts, as a function of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wave {
    /// A steady voltage [V].
    Steady(f64),
    /// `peak · sin(2π · frequency · t + phase)`: V, Hz, rad.
    Sine {
        /// Peak [V].
        peak: f64,
        /// Frequency [Hz].
        frequency: f64,
        /// Phase [rad].
        phase: f64,
    },
}

/// An element's model. Currents are counted from the first-named terminal through the element
/// to the second-named one.
#[derive(Debug, Clone, PartialEq)]
#[allow(
    missing_docs,
    reason = "terminals bear the trade's names, parameters are described with their model"
)]
pub enum Model {
    /// Source with a series resistance (0 Ω allowed): `v(positive) − v(negative) = wave(t) + resistance · i`,
    /// with `i` into `positive` through the source (a delivering source has negative `i`).
    VoltageSource {
        positive: Node,
        negative: Node,
        wave: Wave,
        resistance: f64,
    },
    /// Constant current [A] from `from` through the source to `to`.
    CurrentSource { from: Node, to: Node, current: f64 },
    /// Ohmic resistance [Ω].
    Resistor { a: Node, b: Node, resistance: f64 },
    /// Capacitance [F] in series with `esr` [Ω]; `leakage` [S] across both.
    Capacitor {
        positive: Node,
        negative: Node,
        capacitance: f64,
        esr: f64,
        leakage: f64,
    },
    /// Inductance [H] in series with `resistance` [Ω].
    Inductor {
        a: Node,
        b: Node,
        inductance: f64,
        resistance: f64,
    },
    /// Junction diode, also light-emitting and breakdown diodes.
    Diode {
        anode: Node,
        cathode: Node,
        junction: Junction,
    },
    /// Linear three-terminal regulator, fixed or adjustable, either polarity.
    Regulator {
        input: Node,
        output: Node,
        common: Node,
        regulator: Regulator,
    },
    /// Operational amplifier, rail- and current-limited.
    OpAmp {
        plus: Node,
        minus: Node,
        output: Node,
        supply_plus: Node,
        supply_minus: Node,
        op_amp: OpAmp,
    },
    /// Adjustable shunt reference: sinks into `cathode` what holds `v(reference) − v(anode)` at its reference voltage.
    ShuntReference {
        cathode: Node,
        anode: Node,
        reference: Node,
        shunt: ShuntReference,
    },
    /// Bipolar transistor (Ebers–Moll transport form).
    Bipolar {
        base: Node,
        collector: Node,
        emitter: Node,
        bipolar: Bipolar,
    },
    /// Enhancement MOSFET (square law) with body diode.
    Mosfet {
        gate: Node,
        drain: Node,
        source: Node,
        mosfet: Mosfet,
    },
}

/// `i = Is·(exp(vj/(N·Vt)) − 1) + Gmin·vj − Ibv·exp(−(vj + Bv)/(Nz·Vt))`, `v = vj + Rs·i`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Junction {
    /// Saturation current [A].
    pub saturation_current: f64,
    /// Ideality factor.
    pub ideality: f64,
    /// Series resistance [Ω].
    pub series_resistance: f64,
    /// Parallel conductance [S].
    pub shunt_conductance: f64,
    /// Thermal voltage kT/q at the junction's temperature [V].
    pub thermal_voltage: f64,
    /// Reverse breakdown, if modelled.
    pub breakdown: Option<Breakdown>,
}

/// Reverse breakdown of a [`Junction`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breakdown {
    /// Breakdown voltage Bv [V], at `current`.
    pub voltage: f64,
    /// Current Ibv at which it is specified [A].
    pub current: f64,
    /// Ideality Nz of the breakdown exponential.
    pub ideality: f64,
}

/// Linear regulator: the smooth minimum of a regulating, a drop-out and a current-limit branch;
/// the output never sinks. With `s = ±1` the polarity and voltages taken from `common`,
/// `ui = s·v(input)`, `uo = s·v(output)`:
/// `a = (reference + line·(ui − line_from) − uo)/output_resistance`,
/// `b = (ui − dropout − uo)/dropout_resistance`,
/// `Ip = smax0(smin(smin(a, b), limit))`, `Iq = quiescent·tanh(ui/quiescent_knee)`.
/// `smin(x,y) = (x + y − √((x−y)² + w²))/2`, `smax0(x) = (x + √(x² + w²))/2`, `w = smoothing`.
/// An adjustable regulator is the same with `common` = adjust, `reference` = 1.25 V and
/// `quiescent` = the adjust current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Regulator {
    /// `true` for a negative regulator.
    pub negative: bool,
    /// Output voltage from output to common, as a magnitude [V].
    pub reference: f64,
    /// Change of output with input [V/V].
    pub line: f64,
    /// Input voltage at which `reference` holds [V].
    pub line_from: f64,
    /// Output resistance while regulating [Ω].
    pub output_resistance: f64,
    /// Drop-out voltage at no current [V].
    pub dropout: f64,
    /// Drop-out resistance [Ω].
    pub dropout_resistance: f64,
    /// Current limit [A].
    pub limit: f64,
    /// Width of the smooth corner [A].
    pub smoothing: f64,
    /// Current out of `common` [A].
    pub quiescent: f64,
    /// Input voltage at which the quiescent current has come up [V].
    pub quiescent_knee: f64,
    /// Reverse path output → input (a junction from output to input), if modelled.
    pub reverse: Option<Junction>,
    /// What comes on top outside the range of input and load over which `reference` is meant.
    pub beyond: Option<Beyond>,
}

/// A [`Regulator`] outside the range over which its output is specified. With
/// `e = smax0(|ui − (from + to)/2| − (to − from)/2)`, the volts by which the input leaves the range
/// (rounded over 0.05 V), the regulating branch is
/// `a' = (reference + line·(ui − line_from) + slope·e − uo)/output_resistance`,
/// `a = smin(a', load + a'·output_resistance/resistance)`: above `load` the output falls along
/// `resistance` instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beyond {
    /// Least input of the range [V].
    pub from: f64,
    /// Highest input of the range [V].
    pub to: f64,
    /// Change of output with input outside the range, on either side [V/V].
    pub slope: f64,
    /// Highest load of the range [A].
    pub load: f64,
    /// Output resistance above that load [Ω].
    pub resistance: f64,
}

/// Operational amplifier: `vo = clamp_smooth(gain·(v+ − v− + offset))` between
/// `supply_minus + low_headroom` and `supply_plus − high_headroom`, behind `output_resistance`,
/// with the output current limited at ±`limit`; draws `quiescent` from supply to supply plus the output current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpAmp {
    /// Open-loop gain [V/V].
    pub gain: f64,
    /// Input offset voltage [V].
    pub offset: f64,
    /// Input bias current, into each input [A].
    pub bias: f64,
    /// Closest the output comes to the positive supply [V].
    pub high_headroom: f64,
    /// Closest the output comes to the negative supply [V].
    pub low_headroom: f64,
    /// Output resistance inside the loop [Ω].
    pub output_resistance: f64,
    /// Output current limit [A].
    pub limit: f64,
    /// Supply current [A].
    pub quiescent: f64,
}

/// Adjustable shunt reference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShuntReference {
    /// Reference voltage [V].
    pub reference: f64,
    /// Reference input current [A].
    pub bias: f64,
    /// Dynamic resistance cathode to anode, reference tied to cathode [Ω].
    pub dynamic_resistance: f64,
    /// Least cathode current for regulation [A].
    pub minimum_current: f64,
    /// Most cathode current [A].
    pub limit: f64,
}

/// Bipolar transistor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bipolar {
    /// `true` for PNP.
    pub pnp: bool,
    /// Transport saturation current [A].
    pub saturation_current: f64,
    /// Forward current gain.
    pub forward_gain: f64,
    /// Reverse current gain.
    pub reverse_gain: f64,
    /// Thermal voltage [V].
    pub thermal_voltage: f64,
}

/// Enhancement MOSFET.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mosfet {
    /// `true` for P channel.
    pub p_channel: bool,
    /// Threshold voltage, as a magnitude [V].
    pub threshold: f64,
    /// Transconductance factor `i = k/2·(vgs − vt)²` [A/V²].
    pub transconductance: f64,
    /// On resistance [Ω], in series.
    pub on_resistance: f64,
    /// Body diode.
    pub body: Junction,
}

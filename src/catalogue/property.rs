//! What can be said of a part in figures: one entry per property, with its key and unit.

use super::Kind;
use crate::quantity::Unit;

macro_rules! properties {
    ($($name:ident $key:literal $unit:ident $meaning:literal;)*) => {
        /// A property that a part or catalogue type may carry.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Property { $(#[doc = $meaning] $name,)* }

        impl Property {
            /// Every property, in the order in which it is printed.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// The key in design and catalogue files.
            #[must_use]
            pub fn key(self) -> &'static str {
                match self { $(Self::$name => $key,)* }
            }

            /// What it means, in a few words.
            #[must_use]
            pub fn meaning(self) -> &'static str {
                match self { $(Self::$name => $meaning,)* }
            }

            /// The property of a key.
            #[must_use]
            pub fn from_key(key: &str) -> Option<Self> {
                match key { $($key => Some(Self::$name),)* _ => None }
            }

            fn fixed_unit(self) -> Option<Unit> {
                match self { $(Self::$name => properties!(@unit $unit),)* }
            }
        }
    };
    (@unit Varies) => { None };
    (@unit $unit:ident) => { Some(Unit::$unit) };
}

properties! {
    Value "value" Varies "main value: resistance, capacitance, inductance or breakdown voltage, by kind";
    Power "power" Watt "rated dissipation";
    Rating "rating" Volt "rated working voltage of a capacitor";
    VoltageLimit "voltage-limit" Volt "highest voltage between the part's ends";
    EndResistance "end-resistance" Ohm "resistance left at each end of a potentiometer";
    WiperCurrent "wiper-current" Ampere "highest current through a wiper";
    Esr "esr" Ohm "equivalent series resistance";
    RippleCurrent "ripple-current" Ampere "rated rms ripple current";
    LeakageCurrent "leakage-current" Ampere "leakage or reverse current at rated voltage";
    Life "life" Hour "rated life at the temperature limit";
    TemperatureLimit "temperature-limit" Celsius "highest operating temperature";
    Resistance "resistance" Ohm "series, winding, coil, internal or on resistance; range of a sensor or load";
    SaturationCurrent "saturation-current" Ampere "saturation current Is of the junction";
    Ideality "ideality" Ratio "ideality factor N of the junction";
    SeriesResistance "series-resistance" Ohm "series resistance Rs of the junction";
    ReverseVoltage "reverse-voltage" Volt "repetitive peak reverse voltage";
    Current "current" Ampere "rated (average or continuous) current; range of a load";
    SurgeCurrent "surge-current" Ampere "non-repetitive peak surge current, one half-cycle";
    SurgeIntegral "surge-integral" AmpereSquaredSecond "I²t that a rectifier takes for one half-cycle";
    CapacitiveDerating "capacitive-derating" Ratio "share of the rated current left with a capacitor-input filter";
    ForwardVoltage "forward-voltage" Volt "forward voltage at the test current";
    TestCurrent "test-current" Ampere "current at which the value or forward voltage is specified";
    DynamicResistance "dynamic-resistance" Ohm "dynamic resistance at the test current";
    JunctionLimit "junction-limit" Celsius "highest junction temperature";
    JunctionToAmbient "junction-to-ambient" KelvinPerWatt "thermal resistance junction to still air, no heatsink";
    JunctionToCase "junction-to-case" KelvinPerWatt "thermal resistance junction to case";
    JunctionToLead "junction-to-lead" KelvinPerWatt "thermal resistance junction to lead";
    CaseToSink "case-to-sink" KelvinPerWatt "thermal resistance case to heatsink (insulator and grease)";
    Heatsink "heatsink" KelvinPerWatt "thermal resistance of the heatsink to the air in the box";
    Output "output" Volt "output voltage: regulator, adaptor or secondary (rms at rated current for AC)";
    Output25c "output-25c" Volt "output voltage at 25 °C, before line, load and temperature";
    Reference "reference" Volt "reference voltage of an adjustable regulator or shunt reference";
    AdjustCurrent "adjust-current" Ampere "current out of the adjust pin";
    Dropout "dropout" Volt "input to output voltage needed at rated current";
    DropoutLight "dropout-light" Volt "input to output voltage needed at light load";
    QuiescentCurrent "quiescent-current" Ampere "current drawn for the part's own use";
    InputLimit "input-limit" Volt "absolute maximum input voltage";
    InputRange "input-range" Volt "input voltage range over which the output is specified";
    LoadRange "load-range" Ampere "output current range over which the output is specified";
    InputOutputLimit "input-output-limit" Volt "absolute maximum input to output voltage";
    ShortCircuitCurrent "short-circuit-current" Ampere "current into a short circuit";
    PeakCurrent "peak-current" Ampere "highest output current before limiting";
    LineRegulation "line-regulation" Volt "output change over the specified input range";
    LoadRegulation "load-regulation" Volt "output change over the specified load range";
    LineRegulationRatio "line-regulation-ratio" Ratio "relative output change for each volt of input (adjustable regulators)";
    LoadRegulationRatio "load-regulation-ratio" Ratio "relative output change over the specified load range (adjustable regulators)";
    RippleRejection "ripple-rejection" Decibel "ripple rejection";
    TemperatureCoefficient "temperature-coefficient" VoltPerKelvin "change of voltage with temperature";
    MinimumLoad "minimum-load" Ampere "least load for regulation";
    InputCapacitor "input-capacitor" Farad "input capacitor the maker asks for";
    OutputCapacitor "output-capacitor" Farad "output capacitor the maker asks for";
    SupplyLimit "supply-limit" Volt "absolute maximum supply voltage, across both supplies";
    SupplyMinimum "supply-minimum" Volt "least supply voltage";
    Gain "gain" Ratio "open-loop gain, or current gain of a transistor";
    CurrentTransferRatio "current-transfer-ratio" Ratio "collector current for each ampere through the LED of an optocoupler";
    IsolationVoltage "isolation-voltage" Volt "rms voltage that an optocoupler's barrier was tested with for a minute";
    Offset "offset" Volt "input offset voltage";
    BiasCurrent "bias-current" Ampere "input bias current";
    InputHeadroomHigh "input-headroom-high" Volt "how far below the positive supply the inputs still work";
    InputHeadroomLow "input-headroom-low" Volt "how far above the negative supply the inputs still work";
    OutputHeadroomHigh "output-headroom-high" Volt "how far below the positive supply the output stops";
    OutputHeadroomLow "output-headroom-low" Volt "how far above the negative supply the output stops";
    OutputCurrent "output-current" Ampere "output current limit";
    OutputResistance "output-resistance" Ohm "output resistance before feedback";
    DifferentialLimit "differential-limit" Volt "absolute maximum voltage between the inputs";
    CapacitiveLoad "capacitive-load" Farad "largest capacitive load for a stable buffer";
    MinimumCurrent "minimum-current" Ampere "least cathode current for regulation";
    OpenCircuit "open-circuit" Volt "voltage with no load (rms for AC)";
    Va "va" VoltAmpere "rated apparent power";
    Primary "primary" Volt "rated primary voltage";
    Fresh "fresh" Volt "voltage of a fresh battery";
    Flat "flat" Volt "voltage of a flat battery";
    HoldCurrent "hold-current" Ampere "current that a resettable fuse holds";
    TripCurrent "trip-current" Ampere "current that trips a resettable fuse";
    MeltingIntegral "melting-integral" AmpereSquaredSecond "melting I²t of a fuse";
    Voltage "voltage" Volt "rated voltage of a contact, fuse, lamp or coil";
    ContactResistance "contact-resistance" Ohm "resistance of a closed contact";
    CollectorVoltage "collector-voltage" Volt "collector–emitter voltage limit";
    EmitterBaseVoltage "emitter-base-voltage" Volt "emitter–base reverse voltage limit";
    SaturationVoltage "saturation-voltage" Volt "collector–emitter voltage when saturated at rated current";
    DrainVoltage "drain-voltage" Volt "drain–source voltage limit";
    GateVoltage "gate-voltage" Volt "gate–source voltage limit";
    Threshold "threshold" Volt "gate threshold voltage";
    Transconductance "transconductance" Siemens "transconductance at rated current";
    Beta "beta" Kelvin "B constant of a thermistor";
    Size "size" Metre "body length";
}

impl Property {
    /// The unit of this property on a part of that kind (`value` differs by kind).
    #[must_use]
    pub fn unit(self, kind: Kind) -> Unit {
        self.fixed_unit().unwrap_or_else(|| kind.value_unit())
    }
}

//! Solves one circuit of a file and compares every result that the file carries.

use preplug::circuit::{Model, Netlist, Wave};
use preplug::solver::{self, Failure, Initial, Periodic, Probe, Settings, Statistics};
use serde_json::Value;

use super::case::Case;
use super::report::{CAPACITOR_PEAK_FLOOR, How, Report, each, number, tolerance};

/// Compares every result of a case.
pub fn compare(report: &mut Report, case: &Value, thermal_voltage: f64) {
    let results = &case["results"];
    let circuit = Case::new(case, thermal_voltage, false);
    if let Some(dc) = results.get("dc") {
        direct(report, &circuit, dc);
        if let Some(swept) = results.get("quasi_static_ripple") {
            let circuit = Case::new(case, thermal_voltage, true);
            steady(report, &circuit, &serde_json::json!({ "nodes": swept }));
        }
    } else if results.get("inrush_peak_A").is_none() {
        steady(report, &circuit, results);
    } else if report.how == How::Swept {
        steady(report, &circuit, &results["steady"]);
    } else {
        cold(report, &circuit, results);
    }
}

fn currents(
    report: &mut Report,
    place: &str,
    got: &Statistics,
    expected: &Value,
    greatest_capacitor_peak: f64,
) {
    for (key, value) in each(expected) {
        let value = value.as_f64().unwrap();
        if let "peak_charge" | "peak_discharge" = key.as_str() {
            let got = if key == "peak_charge" {
                got.maximum
            } else {
                got.minimum
            };
            let kind = "peak capacitor current";
            let (_, relative, floor) = tolerance(kind);
            let allowed = (relative * value.abs())
                .max(CAPACITOR_PEAK_FLOOR * greatest_capacitor_peak)
                .max(floor);
            report.note(kind, &format!("{place} {key}"), got, value, allowed);
            continue;
        }
        let place = format!("{place} {key}");
        if key == "avg" {
            let rms = number(expected, "rms");
            report.average_current(&place, got.average, value, rms);
            continue;
        }
        let (kind, got) = match key.as_str() {
            "rms" => ("rms current", got.rms),
            "peak" | "max" => ("peak current", got.maximum),
            "min" => ("peak current", got.minimum),
            other => panic!("{place}: unknown result {other}"),
        };
        report.compare(kind, &place, got, value);
    }
}

/// As the program solves one of many situations: beside another of the same wiring (all its
/// resistances a tenth higher), starting from that one's state.
fn beside_another(netlist: &Netlist, probes: &[Probe]) -> Result<Periodic, Failure> {
    let mut other = netlist.clone();
    for element in &mut other.elements {
        if let Model::Resistor { resistance, .. } = &mut element.model {
            *resistance *= 1.1;
        }
    }
    let both = [other, netlist.clone()];
    solver::periodic_sweep(&both, probes, &[], &Settings::sweep())
        .pop()
        .unwrap()
        .or_else(|_| solver::periodic(netlist, probes, None, &Settings::default()))
}

/// Compares a steady state's results.
fn steady(report: &mut Report, case: &Case, results: &Value) {
    let mut probes = Vec::new();
    let mut wanted: Vec<(String, &str, &Value)> = Vec::new();
    for (name, expected) in each(&results["nodes"]) {
        probes.push(case.voltage(name));
        wanted.push((name.clone(), "node", expected));
    }
    for (name, expected) in each(&results["diodes"]).chain(each(&results["caps"])) {
        probes.push(Probe::Current(case.element(name)));
        wanted.push((name.clone(), "current", expected));
    }
    for (name, expected) in each(&results["secondary"]) {
        probes.push(Probe::Current(case.element(&name.replace("SEC", "RSRC"))));
        wanted.push((name.clone(), "current", expected));
    }
    for (name, expected) in each(&results["regulators"]) {
        let element = case.element(name);
        probes.push(Probe::Power(element));
        wanted.push((name.clone(), "power", expected));
        // Into the output terminal flows −Ip, times the polarity.
        probes.push(Probe::TerminalCurrent(element, 1));
        wanted.push((name.clone(), "regulator", expected));
    }
    let found = match report.how {
        How::Swept => beside_another(&case.netlist, &probes),
        how => {
            let mut settings = Settings::default();
            if how == How::Fine {
                settings.accuracy = 1e-5;
            }
            solver::periodic(&case.netlist, &probes, None, &settings)
        }
    };
    let found = match found {
        Ok(found) => found,
        Err(failure) => return report.unsolved(&case.id, &failure),
    };
    if std::env::var_os("PREPLUG_SHOW").is_some() {
        println!(
            "{}: {} periods, {} steps, {} iterations, residual {:.1e}, {:?}",
            case.id, found.periods, found.steps, found.iterations, found.residual, found.method
        );
    }
    report.greatest_voltage = each(&results["nodes"])
        .map(|(_, v)| number(v, "max").abs().max(number(v, "min").abs()))
        .fold(0.0, f64::max);
    let greatest = each(&results["caps"])
        .map(|(_, c)| number(c, "peak_charge").max(-number(c, "peak_discharge")))
        .fold(0.0, f64::max);
    for ((name, what, expected), got) in wanted.iter().zip(&found.probes) {
        let place = format!("{} {name}", case.id);
        match *what {
            "node" => report.range(&place, got, expected),
            "current" => currents(report, &place, got, expected, greatest),
            "power" => {
                report.compare(
                    "mean dissipation",
                    &place,
                    got.average,
                    number(expected, "P_avg"),
                );
                report.compare(
                    "peak dissipation",
                    &place,
                    got.maximum,
                    number(expected, "P_peak"),
                );
            }
            _ => {
                let negative = matches!(
                    &case.netlist.elements[case.element(name)].model,
                    Model::Regulator { regulator, .. } if regulator.negative
                );
                let sign = if negative { 1.0 } else { -1.0 };
                report.compare(
                    "average current",
                    &place,
                    sign * got.average,
                    number(expected, "iout_avg"),
                );
                report.compare("rms current", &place, got.rms, number(expected, "iout_rms"));
            }
        }
    }
}

fn direct(report: &mut Report, case: &Case, results: &Value) {
    let mut probes = Vec::new();
    let mut wanted = Vec::new();
    for (name, expected) in each(&results["nodes"]) {
        probes.push(case.voltage(name));
        wanted.push((name, "direct voltage", 1.0, expected));
    }
    for (name, expected) in each(&results["branch_currents"]) {
        let element = case.element(name);
        if matches!(
            case.netlist.elements[element].model,
            Model::Regulator { .. }
        ) {
            probes.push(Probe::TerminalCurrent(element, 1));
            wanted.push((name, "direct current", -1.0, expected));
        } else {
            probes.push(Probe::Current(element));
            wanted.push((name, "direct current", 1.0, expected));
        }
    }
    // The file counts what a source delivers.
    for (name, expected) in each(&results["source_currents"]) {
        probes.push(Probe::Current(case.element(name)));
        wanted.push((name, "direct current", -1.0, expected));
    }
    let found = match solver::operating_point(&case.netlist, &probes, &Settings::default()) {
        Ok(found) => found,
        Err(failure) => return report.unsolved(&case.id, &failure),
    };
    for ((name, kind, sign, expected), got) in wanted.iter().zip(&found.probes) {
        report.compare(
            kind,
            &format!("{} {name}", case.id),
            sign * got.average,
            expected.as_f64().unwrap(),
        );
    }
}

/// Switch-on: the worst phase is sought by the solver, and its peak compared. The peak hardly
/// changes around that phase, while the rail's mean in the first periods does, so the means are
/// compared at the phase that the file gives.
fn cold(report: &mut Report, case: &Case, results: &Value) {
    steady(report, case, &results["steady"]);
    let mean = number(&results["steady"]["nodes"]["P"], "avg");
    let probes = [Probe::Current(case.element("RSRC")), case.voltage("P")];
    let means = results["per_period_avg_P"].as_array().unwrap();
    let settings = Settings::default();
    let start = match solver::cold_start(
        &case.netlist,
        &probes,
        0,
        &[(1, mean)],
        means.len(),
        0.02,
        &settings,
    ) {
        Ok(start) => start,
        Err(failure) => return report.unsolved(&case.id, &failure),
    };
    let inrush = number(results, "inrush_peak_A");
    let place = format!("{} inrush", case.id);
    report.compare("inrush peak", &place, start.inrush, inrush);
    let place = format!("{} settling", case.id);
    let settled = start.settle_periods.map_or(f64::NAN, |k| k as f64);
    let expected = number(results, "settle_periods");
    report.compare("settling periods", &place, settled, expected);

    let mut circuit = case.netlist.clone();
    let mut period = 0.0;
    for element in &mut circuit.elements {
        if let Model::VoltageSource {
            wave: Wave::Sine {
                frequency, phase, ..
            },
            ..
        } = &mut element.model
        {
            *phase += number(results, "worst_phase_deg").to_radians();
            period = 1.0 / *frequency;
        }
    }
    let expected = number(results, "settle_time_s");
    let allowed = 1.0001 * period;
    report.note("settling time", &place, settled * period, expected, allowed);
    let mut from = Initial::Empty;
    for (k, mean) in means.iter().enumerate() {
        let place = format!("{} P, period {}", case.id, k + 1);
        match solver::transient(&circuit, &probes[1..], &from, period, &settings) {
            Ok(run) => {
                let got = run.probes[0].average;
                report.compare("average voltage", &place, got, mean.as_f64().unwrap());
                from = Initial::State(run.state);
            }
            Err(failure) => return report.unsolved(&place, &failure),
        }
    }
}

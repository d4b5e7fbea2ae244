//! Records of built units as a person meets them: nothing that was confirmed is ever lost, nothing
//! bad reaches the plug, and published figures come out of the command.

use preplug::records::log;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const DESIGN: &str = "\
preplug: design/1
title: Bench box
revision: A
purpose: One knob, nothing to nine volts.
conditions:
  ambient: 15..30 °C
  enclosure: {size: 100 x 60 x 30 mm, material: ABS, conductive: false}
parts:
  BT1: {kind: battery, chemistry: alkaline, fresh: 9.6 V, flat: 7 V, resistance: 2 Ω -10/+100 %, current: 100 mA, nets: {positive: cell, negative: gnd}}
  R1: {kind: resistor, value: 1 kΩ ± 5 %, power: 1/4 W, nets: {a: cell, b: top}}
  RV1: {kind: potentiometer, value: 10 kΩ ± 20 %, law: linear, power: 0.2 W, control: Knob, nets: {cw: top, wiper: sweep, ccw: gnd}}
  R2: {kind: resistor, value: 1 kΩ ± 5 %, power: 1/4 W, nets: {a: sweep, b: out}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}
promises:
  - {at: cell, is: PROMISE}
test-points: {TP1: cell, TP2: out}
connect:
  J1: [{instrument: rack.yaml, input: level, cable: TS}]
";

const RACK: &str = "\
preplug: instrument/1
title: Test rack
inputs:
  level:
    contacts: TS
    signal: tip
    accepts: {range: -1..10 V, source: manual}
    survives: {range: -15..15 V, source: manual}
    impedance: {value: 1 MΩ ± 10 %, source: measured}
";

/// No fault or slip of this box reaches what the rack survives: its battery is too low.
const REVIEW: &str = "\
preplug: review/1
reviewer: the test bench
DECISION
signed-lines:
  - {check: faults-and-slips-not-assessed, place: the design, name: N. Shift, date: 2026-01-02, qualification: worked through by hand}
";

/// A box to be measured, in a folder of its own.
struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new(promise: &str, decision: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let bench = Self { folder };
        bench.put("design.yaml", &DESIGN.replace("PROMISE", promise));
        bench.put("rack.yaml", RACK);
        bench.put("review.yaml", &REVIEW.replace("DECISION", decision));
        bench
    }

    fn plain() -> Self {
        Self::new("8.3 V ± 20 %", "")
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn put(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path(name);
        fs::write(&path, text).expect("written");
        path
    }

    fn unit(&self) -> PathBuf {
        self.path("units/001.yaml")
    }

    fn command(&self, command: &str, readings: &Path) -> Command {
        let mut program = Command::new(env!("CARGO_BIN_EXE_preplug"));
        program
            .arg(command)
            .arg(self.path("design.yaml"))
            .args(["--unit", "001", "--by", "N. Shift", "--readings"])
            .arg(readings)
            .env("NO_COLOR", "1")
            .stdin(Stdio::null());
        program
    }

    fn run(&self, command: &str, readings: &Path) -> Output {
        self.command(command, readings).output().expect("it starts")
    }

    /// Every line of the log is whole, and every confirmed piece is among them.
    fn holds(&self, confirmed: &[String]) {
        if confirmed.is_empty() && !self.unit().exists() {
            return;
        }
        let bytes = fs::read(self.unit()).expect("the record");
        let found = log::scan(&bytes).expect("a log");
        assert!(found.altered.is_empty(), "lines {:?}", found.altered);
        let good = String::from_utf8_lossy(&bytes[..found.good]);
        for piece in confirmed {
            assert!(good.contains(piece), "{piece} was confirmed and is lost");
        }
    }
}

fn told(output: &Output) -> String {
    format!(
        "{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    )
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

/// What a line of output confirms, as the record must hold it.
fn confirmed(line: &str) -> Option<String> {
    let rest = line.strip_prefix("kept: ")?;
    if let Some(note) = rest.strip_prefix("note: ") {
        return Some(format!("note: {note}"));
    }
    let reading = rest.split(" off ").nth(1)?;
    Some(format!("reads: {}", reading.split(':').next()?))
}

/// Starts the command, kills it after `after` confirmations, and gives what it had confirmed.
fn killed(mut command: Command, after: usize) -> Vec<String> {
    let mut child = command
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    let mut lines = BufReader::new(child.stdout.take().expect("a pipe")).lines();
    let mut all = Vec::new();
    while all.len() < after {
        match lines.next() {
            Some(Ok(line)) => all.extend(confirmed(&line)),
            _ => break,
        }
    }
    child.kill().expect("killed");
    child.wait().expect("reaped");
    // What was confirmed between the last look and the kill.
    all.extend(
        lines
            .map_while(Result::ok)
            .filter_map(|line| confirmed(&line)),
    );
    all
}

#[test]
fn two_hundred_kills_lose_nothing_that_was_confirmed() {
    let bench = Bench::plain();
    let mut kept: Vec<String> = Vec::new();
    for round in 0..200_usize {
        let file = if round % 2 == 0 {
            let lines: Vec<String> = (0..20)
                .map(|k| format!("note mark {round} {k}\n{}.{k:02} kΩ\nback", 10 + round))
                .collect();
            bench.put("answers.txt", &lines.join("\n"))
        } else {
            let rows: Vec<String> = (0..20)
                .map(|k| format!("TP1,{}.{k:02} kΩ", 10 + round))
                .collect();
            bench.put("rows.csv", &format!("at,reads\n{}\n", rows.join("\n")))
        };
        let command = if round % 2 == 0 { "bench" } else { "record" };
        let now = killed(bench.command(command, &file), round * 7 % 23);
        kept.extend(now);
        bench.holds(&kept);
    }
    assert!(kept.len() > 1000, "{} were confirmed", kept.len());
    let after = bench.put("after.csv", "at,reads\nTP1,11 kΩ\n");
    let output = bench.run("record", &after);
    assert_eq!(code(&output), 0, "{}", told(&output));
    bench.holds(&kept);
}

#[test]
fn writers_at_once_lose_nothing() {
    let bench = Bench::plain();
    let mut children = Vec::new();
    let mut kept = Vec::new();
    for writer in 0..4 {
        let rows: Vec<String> = (0..25)
            .map(|k| format!("TP1,{}.{k:02} kΩ", 10 + writer))
            .collect();
        kept.extend((0..25).map(|k| {
            let reads = format!("{}.{k:02}", 10 + writer);
            let reads = reads.trim_end_matches('0').trim_end_matches('.');
            format!("reads: {reads} kΩ}}")
        }));
        let file = bench.put(
            &format!("rows{writer}.csv"),
            &format!("at,reads\n{}\n", rows.join("\n")),
        );
        let mut command = bench.command("record", &file);
        children.push(command.stdout(Stdio::null()).spawn().expect("it starts"));
    }
    for mut child in children {
        assert!(child.wait().expect("it ends").success());
    }
    bench.holds(&kept);
    let text = fs::read_to_string(bench.unit()).expect("the record");
    for session in 1..=4 {
        let own = text.matches(&format!("in: {session},")).count();
        assert_eq!(own, 25, "session {session}");
    }
}

#[test]
fn a_torn_line_is_found_and_everything_before_it_kept() {
    for garbage in [&b""[..], b"\0\0\0\0\0\0\0\0", b"  - {in: 1, at: TP1, re"] {
        let bench = Bench::plain();
        let rows = bench.put(
            "rows.csv",
            "at,reads\nTP1,11.01 kΩ\nTP1,11.02 kΩ\nTP1,11.03 kΩ\n",
        );
        assert_eq!(code(&bench.run("record", &rows)), 0);
        let mut bytes = fs::read(bench.unit()).expect("the record");
        if garbage.is_empty() {
            bytes.truncate(bytes.len() - 9);
        } else {
            bytes.extend_from_slice(garbage);
        }
        fs::write(bench.unit(), &bytes).expect("torn");
        let check = Command::new(env!("CARGO_BIN_EXE_preplug"))
            .arg("check")
            .arg(bench.path("design.yaml"))
            .output()
            .expect("it starts");
        assert!(told(&check).contains("half written"), "{}", told(&check));
        let output = bench.run("record", &rows);
        assert_eq!(code(&output), 0, "{}", told(&output));
        assert!(told(&output).contains("half written"), "{}", told(&output));
        assert!(bench.path("units/001.yaml.torn").exists());
        bench.holds(&["11.01 kΩ", "11.02 kΩ"].map(|r| format!("reads: {r}")));
    }
}

#[test]
fn an_altered_reading_counts_for_nothing_and_shuts_the_gate() {
    let bench = Bench::plain();
    let rows = bench.put("rows.csv", "at,reads\nTP1,2.01 kΩ\nTP2,11.02 kΩ\n");
    assert_eq!(code(&bench.run("record", &rows)), 1, "2 kΩ is a short");
    let text = fs::read_to_string(bench.unit()).expect("the record");
    fs::write(bench.unit(), text.replace("2.01 kΩ", "12.01 kΩ")).expect("altered");
    let output = bench.run("record", &rows);
    let told = told(&output)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(
        told.contains("record was altered after it was written, line"),
        "{told}"
    );
}

/// A record as it was written by hand before there was a log, remarks and all.
const BY_HAND: &str = "\
# The first one we built.
preplug: unit/1
serial: \"001\"
design: Bench box
revision: A   # as drawn

sessions:
  - date: 2024-02-03
    meter: {name: old meter, accuracy: 1 % + 2 digits, counts: 2000}
    readings:
      - {at: TP1, reads: 8.61 V}
      - {at: TP2, state: {Knob: 50 %}, reads: 3.9 V, note: \"slow, then steady\"}
notes:
  - The knob is from the drawer.
";

#[test]
fn an_older_record_is_brought_forward_and_the_original_kept() {
    let bench = Bench::plain();
    fs::create_dir(bench.path("units")).expect("made");
    fs::write(bench.unit(), BY_HAND).expect("written");
    let rows = bench.put("rows.csv", "at,Knob,reads\nTP2,50 %,3.95 V\n");
    let output = bench.run("record", &rows);
    assert_eq!(code(&output), 0, "{}", told(&output));
    let kept = fs::read_to_string(bench.path("units/001.yaml.unit-1")).expect("the original");
    assert_eq!(kept, BY_HAND);
    bench.holds(
        &[
            "# The first one we built.",
            "preplug: unit/2",
            "The knob is from the drawer.",
            "date: 2024-02-03",
            "accuracy: 1 % + 2 digits",
            "reads: 8.61 V",
            "note: \"slow, then steady\"",
            "reads: 3.95 V",
        ]
        .map(str::to_owned),
    );
}

fn session(accuracy: &str, step: &str, reads: &str) -> String {
    format!(
        "preplug: readings/1\ndate: 2026-01-02\nmeter: {{name: m, accuracy: {accuracy}, \
         resolution: {step}}}\nreadings:\n  - {{at: TP1, reads: {reads}}}\n"
    )
}

/// The two numbers of the first `A..B V` after some words.
fn range(told: &str, words: &str) -> (f64, f64) {
    let rest = told.split(words).nth(1).unwrap_or_else(|| panic!("{told}"));
    let pair = rest.split_whitespace().next().expect("a range");
    let (low, high) = pair.split_once("..").expect("two ends");
    let number = |text: &str| text.replace('−', "-").parse().expect("a number");
    (number(low), number(high))
}

/// Meter accuracy, ± (% of reading + digits): makers' pages (confirmed; the last at second hand).
#[test]
fn published_meter_examples_come_out_of_the_command() {
    for (accuracy, step, reads, low, high) in [
        ("0.8 % + 2 digits", "0.1 V", "100.0 V", 99.0, 101.0),
        ("1 % + 2 digits", "0.1 V", "100.0 V", 98.8, 101.2),
        ("0.5 % + 3 digits", "1 mV", "2.000 V", 1.987, 2.013),
        ("0.5 % + 1 digits", "1 mV", "1.755 V", 1.745, 1.765),
        ("0.08 % + 2 digits", "1 mV", "2.000 V", 1.9964, 2.0036),
        ("0.7 % + 2 digits", "0.1 V", "120.0 V", 118.96, 121.04),
    ] {
        let bench = Bench::plain();
        let file = bench.put("r.yaml", &session(accuracy, step, reads));
        let told = told(&bench.run("record", &file));
        let (from, to) = range(&told, "true value ");
        // Printed to four figures.
        let rounding = high * 6e-4;
        assert!(
            (from - low).abs() < rounding && (to - high).abs() < rounding,
            "{told}"
        );
    }
}

/// Rail test: limit 5.25 V, reading near 5.2 V, limit of error 0.028 V: acceptance limit 5.218 V
/// (computed after ILAC-G8:09/2019 with w = U). The four results and where they meet are those of
/// its non-binary statement (confirmed).
#[test]
fn the_acceptance_limit_and_the_four_results_come_out_of_the_command() {
    for (reads, verdict) in [
        ("5.20 V", "pass"),
        ("5.24 V", "conditional pass"),
        ("5.26 V", "conditional fail"),
        ("5.30 V", "fail"),
    ] {
        let bench = Bench::new("5 V ± 5 %", "decision: {rule: non-binary, guard: 1 U}");
        let file = bench.put("r.yaml", &session("0.5 % + 2 digits", "1 mV", reads));
        let told = told(&bench.run("record", &file));
        let line = told
            .lines()
            .find(|l| l.contains("promised"))
            .expect("judged");
        assert!(line.contains(&format!(": {verdict} (risk")), "{line}");
        if reads == "5.20 V" {
            assert!(line.contains("..5.218 V"), "{line}");
        }
    }
}

/// Limit 4, u = 0.8, reading 3.2: 15.9 % beyond the limit; with w = U = 1.6 the acceptance limit
/// is 2.4 and the reading is rejected; with simple acceptance it is accepted (inputs from a
/// metrology page, computed).
#[test]
fn the_worked_decision_comes_out_of_the_command() {
    // A limit of error of 0.8 · √3 V is a standard uncertainty of 0.8 V.
    let meter = session("0 % + 13.8564 digits", "0.1 V", "3.2 V");
    for (decision, accepted, verdict) in [
        (
            "decision: {rule: guard-band, guard: 1 U}",
            "1.600..2.400 V",
            "fail",
        ),
        (
            "decision: {rule: simple-acceptance}",
            "0.000..4.000 V",
            "pass",
        ),
        (
            "decision: {rule: guard-band, risk: 5 %}",
            "1.316..2.684 V",
            "fail",
        ),
    ] {
        let bench = Bench::new("2 V ± 100 %", decision);
        let file = bench.put("r.yaml", &meter);
        let told = told(&bench.run("record", &file));
        let line = told
            .lines()
            .find(|l| l.contains("promised"))
            .expect("judged");
        assert!(line.contains(accepted), "{line}");
        assert!(line.contains(&format!("{verdict} (risk 15.9 %)")), "{line}");
    }
}

/// What a good unit reads, by Ohm's law from 8.6 V: the battery by itself; 11 kΩ cold;
/// 8.6 V · 10/11 over the knob.
const GOOD: &[&str] = &[
    "8.6", "11 k", "6,1 k", "8.6", "3,91 V", "0.01v", "7.82 V", "7.8", "3.89 V", "0.01", "7.78 V",
];

#[test]
fn a_good_unit_is_brought_up_whole() {
    let bench = Bench::plain();
    let answers = bench.put("answers.txt", &GOOD.join("\n"));
    let output = bench.run("bench", &answers);
    let told = told(&output);
    assert_eq!(code(&output), 0, "{told}");
    assert!(told.contains("All steps passed"), "{told}");
    assert!(told.contains("plug   open"), "{told}");
    let plugged = told.find("=== With the instrument").expect("plugged in");
    let unplugged = told.find("=== Outputs").expect("outputs first");
    assert!(unplugged < plugged);
}

#[test]
fn a_bad_unit_is_stopped_before_it_is_plugged_in() {
    // The knob's end wired to the cell: the output cannot go down.
    let bench = Bench::plain();
    let mut answers = GOOD.to_vec();
    answers[5] = "4.3 V";
    let file = bench.put("answers.txt", &answers[..8].join("\n"));
    let output = bench.run("bench", &file);
    let told = told(&output);
    assert_eq!(code(&output), 1, "{told}");
    assert!(told.contains("DO NOT PLUG IN"), "{told}");
    assert!(told.contains("4.300 V: fail"), "{told}");
    assert!(!told.contains("=== With the instrument"), "{told}");

    // Mended, it is measured anew from the first step.
    let file = bench.put(
        "mended.txt",
        &format!("rework knob rewired\n{}", GOOD.join("\n")),
    );
    let output = bench.run("bench", &file);
    assert_eq!(code(&output), 0, "{}", self::told(&output));
}

#[test]
fn a_supply_with_its_poles_turned_is_never_joined_to_the_box() {
    let bench = Bench::plain();
    let file = bench.put("answers.txt", "-8.6 V\nquit\n");
    let output = bench.run("bench", &file);
    let told = told(&output);
    assert_eq!(code(&output), 1);
    assert!(told.contains("STOP. Do not join it to the box."), "{told}");
    assert!(!told.contains("=== Cold checks"), "{told}");
}

/// A net of 9.6 V at most with no rated part on it is stopped a quarter beyond that, not never.
#[test]
fn a_rail_far_beyond_what_a_healthy_box_shows_stops_the_bring_up() {
    let bench = Bench::plain();
    let cold = "8.6 V\n11 kohm\n11 kohm\n";
    let file = bench.put("answers.txt", &format!("{cold}12.2 V\nquit\n"));
    let output = bench.run("bench", &file);
    let told = told(&output);
    // A quarter beyond 9.6 V, and half of 7.5 V less what the meter loads.
    assert!(told.contains("beyond 12.0 V"), "{told}");
    // 9.6 V over 0.95 kΩ and 8 kΩ.
    assert!(
        told.replace('\n', " ").contains("at most 1.1 mA from BT1"),
        "{told}"
    );
    assert!(told.contains("STOP. Switch off now."), "{told}");

    // Nor does a rail go on that shows next to nothing: something is short, or turned round.
    let bench = Bench::plain();
    let file = bench.put("answers.txt", &format!("{cold}0.7 V\nquit\n"));
    let output = bench.run("bench", &file);
    let told = self::told(&output);
    assert!(told.contains("STOP. Switch off now."), "{told}");
}

/// A test point may bear a supply's name; `alone: true` says which of the two was measured.
#[test]
fn a_supply_that_shares_its_name_with_a_net_is_still_measured_by_itself() {
    let bench = Bench::plain();
    let design = DESIGN.replace("PROMISE", "8.3 V ± 20 %");
    let design = design.replace("TP1: cell", "BT1: cell");
    bench.put("design.yaml", &design);
    let file = bench.put("answers.txt", "-8.6 V\nquit\n");
    let output = bench.run("bench", &file);
    let told = told(&output);
    assert!(told.contains("STOP. Do not join it to the box."), "{told}");
    let record = fs::read_to_string(bench.unit()).expect("the record");
    assert!(record.contains("alone: true"), "{record}");
}

/// What a supply gives by itself is its label's arithmetic: an alternating adaptor's open-circuit
/// voltage in proportion to the mains, two per cent for the meter's alternating range (common
/// practice); a regulated one's output; a battery's flat to fresh.
#[test]
fn a_supply_by_itself_gives_what_its_label_says() {
    let design = |parts: &str| {
        let text = format!(
            "preplug: design/1\ntitle: Box\nconditions: {{mains: {{voltage: 230 V ± 10 %, \
             frequency: 50 Hz}}}}\nparts:\n{parts}\n  R1: {{kind: resistor, value: 1 kΩ ± 5 %, \
             power: 1/4 W, nets: {{a: v, b: gnd}}}}\n"
        );
        let load = move |_: &str| Ok(text.as_bytes().to_vec());
        match preplug::design::read("design.yaml", &load) {
            Ok(read) => read.design,
            Err(refused) => panic!("{:#?}", refused.diagnostics),
        }
    };
    for (part, low, nominal, high, alternating) in [
        (
            "  S1: {kind: ac-adaptor, output: 12 V, open-circuit: 15 V ± 4 %, current: 1 A, class: II, nets: {live: v, common: gnd}}",
            15.0 * 0.96 * 0.9 * 0.98,
            15.0,
            15.0 * 1.04 * 1.1 * 1.02,
            true,
        ),
        (
            "  S1: {kind: dc-adaptor, output: 12 V ± 5 %, regulated: true, current: 1 A, class: II, plug-polarity: centre-positive, nets: {positive: v, negative: gnd}}",
            11.4,
            12.0,
            12.6,
            false,
        ),
        (
            "  S1: {kind: battery, fresh: 9.6 V, flat: 6.6 V, current: 100 mA, resistance: 2 Ω ± 10 %, nets: {positive: v, negative: gnd}}",
            6.6,
            8.1,
            9.6,
            false,
        ),
    ] {
        let open = preplug::bringup::open(&design(part), "S1").expect("a supply");
        let near = |a: f64, b: f64| (a - b).abs() < 2e-3;
        assert!(
            near(open.limits.low, low)
                && near(open.nominal, nominal)
                && near(open.limits.high, high),
            "{part}: {open:?}, not {low}, {nominal}, {high}"
        );
        assert_eq!(open.alternating, alternating, "{part}");
    }
}

#[test]
fn a_short_stops_everything_before_power() {
    let bench = Bench::plain();
    let file = bench.put("answers.txt", "8.6 V\n0.3 ohm\n8.6 V\nback\nquit\n");
    let output = bench.run("bench", &file);
    let told = told(&output);
    assert_eq!(code(&output), 1);
    assert!(told.contains("STOP. Do not apply power."), "{told}");
    assert!(!told.contains("=== First power"), "{told}");
}

#[test]
fn a_skipped_step_keeps_the_plug_out() {
    let bench = Bench::plain();
    let mut answers = GOOD.to_vec();
    answers[4] = "skip the clip slipped";
    let file = bench.put("answers.txt", &answers[..8].join("\n"));
    let told = told(&bench.run("bench", &file));
    assert!(told.contains("DO NOT PLUG IN"), "{told}");
    assert!(told.contains("was skipped: the clip slipped"), "{told}");

    // `again` measures it, and the bring-up goes on to its end.
    let file = bench.put("again.txt", "again\n3.91 V\n3.89 V\n0.01\n7.78 V\n");
    let output = bench.run("bench", &file);
    assert_eq!(code(&output), 0, "{}", self::told(&output));
}

#[test]
fn a_pause_loses_nothing() {
    let bench = Bench::plain();
    for (at, answer) in GOOD.iter().enumerate() {
        let file = bench.put("answers.txt", &format!("{answer}\npause\n"));
        let output = bench.run("bench", &file);
        let last = at + 1 == GOOD.len();
        assert_eq!(code(&output), i32::from(!last), "{}", told(&output));
    }
    let text = fs::read_to_string(bench.unit()).expect("the record");
    assert_eq!(text.matches("opens: ").count(), 1, "one session");
}

#[test]
fn a_mistake_in_the_readings_writes_nothing() {
    let bench = Bench::plain();
    for rows in [
        "at,reads\nTP1,8.6 V\nTP9,1 V\n",
        "at,reads\nTP1,8.6\n",
        "place,reads\nTP1,8.6 V\n",
        "at,Nob,reads\nTP2,50 %,1 V\n",
    ] {
        let file = bench.put("rows.csv", rows);
        let output = bench.run("record", &file);
        assert_eq!(code(&output), 2, "{}", told(&output));
        assert!(!bench.unit().exists(), "{rows}");
    }
    let mut program = Command::new(env!("CARGO_BIN_EXE_preplug"));
    program
        .args([
            "record",
            "design.yaml",
            "--unit",
            "../001",
            "--readings",
            "x",
        ])
        .current_dir(bench.folder.path());
    assert_eq!(code(&program.output().expect("it starts")), 2);
}

fn preplug(arguments: &[&str]) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_preplug"));
    let program = program.args(arguments).env("NO_COLOR", "1");
    program.stdin(Stdio::null()).output().expect("it starts")
}

fn text(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

#[test]
fn a_signature_stands_for_the_files_it_was_given_for_and_no_others() {
    let bench = Bench::plain();
    let (design, out) = (text(&bench.path("design.yaml")), text(bench.folder.path()));
    let own = bench.path("mine.yaml");
    let sign = |of: &str| {
        let signature = format!("signatures: {{power: {{name: N. Shift, date: 2026-01-02{of}}}}}");
        fs::write(&own, REVIEW.replace("DECISION", &signature)).expect("written");
        let output = preplug(&["review", &design, "--out", &out, "--as", &text(&own)]);
        assert!(code(&output) <= 1, "{}", told(&output));
        told(&output)
    };
    let unbound = sign("");
    assert!(unbound.contains("not bound"), "{unbound}");
    let digest = unbound.split("`of: ").nth(1).expect("a digest");
    let digest = format!(", of: {}", digest.split('`').next().expect("its end"));
    let standing = sign(&digest);
    assert!(
        standing.contains("N. Shift, 2026-01-02: stands"),
        "{standing}"
    );
    // One remark more in the instrument's file, and it is another box that was signed.
    bench.put("rack.yaml", &format!("{RACK}# moved to the other room\n"));
    let stale = sign(&digest);
    assert!(stale.contains("STALE"), "{stale}");
}

#[test]
fn what_a_revision_changed_is_listed() {
    let (old, new) = (Bench::plain(), Bench::plain());
    let changed = fs::read_to_string(new.path("design.yaml"))
        .expect("there")
        .replace(
            "R1: {kind: resistor, value: 1 kΩ",
            "R1: {kind: resistor, value: 2.2 kΩ",
        )
        .replace("b: out}", "b: out2}")
        .replace("tip: out,", "tip: out2,")
        .replace("TP2: out", "TP2: out2")
        .replace(
            "purpose: One knob, nothing to nine volts.\n",
            "author: N. Shift\n",
        );
    new.put("design.yaml", &changed);
    let paths = [
        text(&old.path("design.yaml")),
        text(&new.path("design.yaml")),
    ];
    let output = preplug(&["compare", &paths[0], &paths[1]]);
    let told = told(&output);
    let plain = told.split_whitespace().collect::<Vec<_>>().join(" ");
    for piece in [
        "R1 value: 1 kΩ ± 5 % → 2.2 kΩ ± 5 %",
        "R2 b on: out → out2",
        "new share the design purpose-missing",
        "gone share the design author-missing",
        "same share the design licence-missing",
    ] {
        assert!(plain.contains(piece), "{piece}: {told}");
    }
    let output = preplug(&["compare", &paths[0], &paths[1], "--format", "json"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(json["format"], "preplug-compare/1");
    let top = json["nets"]
        .as_array()
        .expect("nets")
        .iter()
        .find(|n| n["net"] == "top");
    // Half of what the knob's 10 kΩ gets through 1 kΩ and 2.2 kΩ (Ohm's law): 10/11 and 10/12.2.
    let top = top.expect("the voltage of `top` moved");
    let nominal = |which: &str| top[which]["nominal"].as_f64().expect("a number");
    assert!(
        (nominal("new") / nominal("old") - 11.0 / 12.2).abs() < 2e-3,
        "{top}"
    );
    // The same in the dossier of the newer one.
    let out = text(new.folder.path());
    preplug(&["review", &paths[1], "--since", &paths[0], "--out", &out]);
    let page = page(&new);
    for piece in [
        "What changed",
        "value: 1 kΩ ± 5 % → 2.2 kΩ ± 5 %",
        "purpose-missing",
        "author-missing",
    ] {
        assert!(page.contains(piece), "{piece}: {page}");
    }
}

/// The words of the dossier that a review wrote into a bench's folder.
fn page(bench: &Bench) -> String {
    let folder = bench.folder.path().file_name().expect("a name");
    let pdf = bench.path(&format!("{}.pdf", folder.to_string_lossy()));
    let mut program = Command::new("pdftotext");
    let read = program.arg("-layout").arg(pdf).arg("-").output();
    String::from_utf8_lossy(&read.expect("pdftotext").stdout).into_owned()
}

/// One unit's own gates, in every place that tells of it: brought up, its plug gate opens whatever
/// its share gate says; after rework nothing that was measured counts.
#[test]
fn a_units_own_gates_are_told_apart_from_the_designs() {
    let bench = Bench::plain();
    let design = text(&bench.path("design.yaml"));
    let answers = bench.put("answers.txt", &GOOD.join("\n"));
    assert_eq!(code(&bench.run("bench", &answers)), 0);
    let gates = || {
        let output = preplug(&["check", &design, "--format", "json"]);
        let answer: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
        answer["designs"][0]["units"][0]["gates"].clone()
    };
    let before = gates();
    assert_eq!(before["power"]["state"], "open", "{before}");
    assert_eq!(before["plug"]["state"], "open", "{before}");
    assert_eq!(before["share"]["state"], "blocked", "{before}");
    let reasons = before["share"]["reasons"].as_array().expect("reasons");
    assert!(
        reasons
            .iter()
            .any(|reason| reason == "there is no photo of it")
    );
    let answers = bench.put("answers.txt", "rework knob rewired\nquit");
    let mut again = bench.command("bench", &answers);
    again.arg("--afresh").output().expect("it starts");
    let after = gates();
    assert_eq!(after["power"]["state"], "blocked", "{after}");
    let reason = after["power"]["reasons"][0].as_str().expect("a reason");
    assert!(reason.contains("are not measured"), "{reason}");
    // The design's own gates do not move with a unit's.
    let out = text(bench.folder.path());
    let output = preplug(&["review", &design, "--out", &out, "--gate", "plug"]);
    let said = told(&output);
    assert_eq!(code(&output), 0, "{said}");
    assert!(said.contains("This unit, 001:\n  power  BLOCKED"), "{said}");
    let page = page(&bench);
    assert!(
        page.contains("Gates of unit 001") && page.contains("knob rewired"),
        "{page}"
    );
    let output = preplug(&["register", &out, "--format", "json"]);
    let register: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let unit = &register["designs"][0]["units"][0];
    assert_eq!(unit["gates"]["power"], false, "{unit}");
    assert!(
        unit["reasons"]["power"][0]
            .as_str()
            .is_some_and(|r| r.contains("not measured"))
    );
}

#[test]
fn the_register_lists_units_and_reviews_only_what_changed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut boxes = Vec::new();
    for name in ["one", "two"] {
        let bench = Bench::plain();
        let rows = bench.put("rows.csv", "at,reads\nTP1,8.600 V\n");
        for (date, reads) in [("2024-01-02", "8.600 V"), ("2026-01-02", "8.100 V")] {
            fs::write(&rows, format!("at,reads\nTP1,{reads}\n")).expect("written");
            let mut command = bench.command("record", &rows);
            assert!(
                command
                    .args(["--date", date])
                    .status()
                    .expect("it starts")
                    .success()
            );
        }
        let into = folder.path().join(name);
        fs::create_dir_all(into.join("units")).expect("made");
        for file in ["design.yaml", "rack.yaml", "review.yaml", "units/001.yaml"] {
            fs::copy(bench.path(file), into.join(file)).expect("copied");
        }
        boxes.push(into);
    }
    let register = |format: &str| {
        let output = preplug(&["register", &text(folder.path()), "--format", format]);
        assert_eq!(code(&output), 0, "{}", told(&output));
        told(&output)
    };
    let first = register("text");
    assert!(
        first.contains("2 designs, 2 units; 2 reviewed anew"),
        "{first}"
    );
    assert!(
        first.contains("last test 2026-01-02, drift TP1: −0.50 V"),
        "{first}"
    );
    assert!(register("text").contains("0 reviewed anew"));
    let unit = boxes[1].join("units/001.yaml");
    let changed = fs::read_to_string(&unit)
        .expect("there")
        .replace("Bench box", "That box");
    fs::write(&unit, changed).expect("written");
    assert!(register("text").contains("1 reviewed anew"));
    let table = register("csv");
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let rows: Vec<csv::StringRecord> = rows.records().map(|row| row.expect("a row")).collect();
    assert_eq!(rows.len(), 4);
    assert_eq!(&rows[1][1], "001");
    assert_eq!(&rows[1][3], "BLOCKED", "its cold checks are not on record");
    let json: serde_json::Value = serde_json::from_str(&register("json")).expect("JSON");
    assert_eq!(json["designs"].as_array().expect("designs").len(), 2);
    let pdf = text(&folder.path().join("register.pdf"));
    let output = preplug(&["register", &text(folder.path()), "--pdf", &pdf]);
    assert!(
        told(&output).contains("register.pdf (1 pages)"),
        "{}",
        told(&output)
    );
    assert!(
        Command::new("qpdf")
            .args(["--check", &pdf])
            .output()
            .expect("qpdf")
            .status
            .success()
    );
    let read = Command::new("pdftotext")
        .args(["-layout", &pdf, "-"])
        .output();
    let page = String::from_utf8_lossy(&read.expect("pdftotext").stdout).into_owned();
    for piece in [
        "Bench box",
        "unit 001",
        "2026-01-02",
        "drift TP1",
        "not measured",
    ] {
        assert!(page.contains(piece), "{piece}: {page}");
    }
}

//! `preplug bench`: the bring-up of one unit, step by step, in the terminal.
//!
//! Every reading is on disk before the next step is shown; whatever ends the program, the same
//! command goes on where it stopped.

use super::journal::{Head, Journal, unit_path};
use super::record::Given;
use super::{
    BAD_INPUT, BLOCKED, COULD_NOT_FINISH, OPEN, assessed, complain, files, print, unit_report,
};
use crate::bench::{self, Answer, Progress, Standing};
use crate::bringup::{Limits, Phase, Rule, Step, draws, steps};
use crate::checks::Gate;
use crate::quantity::{self, parse_value};
use crate::records::log::{Entry, Opening};
use crate::records::{Meter, Unit};
use crate::{Assessed, design};
use std::collections::VecDeque;
use std::io::BufRead;

const HELP: &str = "\
  A reading     5.98 V, -6 V, 350 mV, 4.7 kΩ, OL (a comma is taken as a point)
  skip WHY      leave the step out; plugging in is refused until it is measured
  back          to the step before; the new reading counts
  note TEXT     put a remark on record
  again         measure again what did not pass
  rework WHAT   something was mended: everything is measured anew
  pause, quit   stop here; the same command goes on where you stopped
";

/// Runs the command.
pub(super) fn run(
    path: &str,
    serial: &str,
    answers: Option<&str>,
    afresh: bool,
    given: Given,
) -> u8 {
    let Some(place) = unit_path(path, serial) else {
        anstream::eprintln!(
            "`{serial}` is no serial number for a file: use letters, digits, `-`, `_` and `.`"
        );
        return BAD_INPUT;
    };
    let mut input = Input { file: None };
    if let Some(answers) = answers {
        match files::load(answers) {
            Ok(bytes) => {
                let text = String::from_utf8_lossy(&bytes);
                input.file = Some(text.lines().map(str::to_owned).collect());
            }
            Err(why) => {
                anstream::eprintln!("cannot open {answers}: {why}");
                return BAD_INPUT;
            }
        }
    }
    let read = match design::read(path, &files::load) {
        Ok(read) => read,
        Err(refused) => {
            complain(&refused.diagnostics, &refused.sources);
            return BAD_INPUT;
        }
    };
    let head = Head {
        serial: serial.to_owned(),
        design: read.design.title.clone(),
        revision: read.design.revision.clone(),
        builder: given.builder.clone(),
    };
    let journal = match Journal::open(&place, &head, &read.design) {
        Ok((journal, said)) => {
            for line in said {
                print(&format!("{line}\n"));
            }
            journal
        }
        Err(why) => {
            anstream::eprintln!("{why}");
            return COULD_NOT_FINISH;
        }
    };
    let assessed = match assessed(path, &files::companions(path)) {
        Ok(assessed) => assessed,
        Err(code) => return code,
    };
    let shown = place.to_string_lossy();
    let Some(unit) = assessed.units.iter().find(|unit| unit.path == shown) else {
        anstream::eprintln!("{shown} is not among the units of {path}");
        return COULD_NOT_FINISH;
    };
    let ended = Bench::begin(path, &assessed, unit, &journal, input, afresh, given)
        .and_then(|mut bench| bench.go());
    ended.unwrap_or_else(|why| {
        anstream::eprintln!("{why}");
        COULD_NOT_FINISH
    })
}

/// Where answers come from.
struct Input {
    /// Lines of a file; the terminal where there is none.
    file: Option<VecDeque<String>>,
}

impl Input {
    /// The next line; `None` at the end (ctrl-D).
    fn line(&mut self, prompt: &str) -> Option<String> {
        print(prompt);
        if let Some(lines) = &mut self.file {
            let line = lines.pop_front();
            print(&format!("{}\n", line.as_deref().unwrap_or_default()));
            return line;
        }
        let mut bytes = Vec::new();
        match std::io::stdin().lock().read_until(b'\n', &mut bytes) {
            Ok(0) | Err(_) => {
                print("\n");
                None
            }
            Ok(_) => Some(String::from_utf8_lossy(&bytes).trim().to_owned()),
        }
    }

    fn typed(&self) -> bool {
        self.file.is_none()
    }
}

struct Bench<'a> {
    steps: Vec<Step>,
    /// What the supplies are drawn for, in a sentence.
    drawn: String,
    progress: Progress,
    rule: Rule,
    meter: Meter,
    before: [Vec<String>; 3],
    journal: &'a Journal,
    session: u32,
    unit: &'a Unit,
    by: Option<String>,
    input: Input,
    phase: Option<Phase>,
    /// A reading that does not pass, waiting to be typed again.
    doubted: Option<(usize, f64)>,
}

impl<'a> Bench<'a> {
    fn begin(
        path: &str,
        assessed: &'a Assessed,
        unit: &'a Unit,
        journal: &'a Journal,
        mut input: Input,
        afresh: bool,
        mut given: Given,
    ) -> Result<Self, String> {
        let (design, rule) = (&assessed.design, unit_report::rule(assessed));
        let fingerprint = &assessed.fingerprint.built;
        print(&format!(
            "Bring-up of {}, unit {}\nRecord: {}\n",
            design.title,
            unit.serial,
            journal.path()
        ));
        let open = unit.sessions.iter().rev().find(|session| {
            session.guided && !session.closed && session.design.as_ref() == Some(fingerprint)
        });
        let open = open.filter(|_| !afresh);
        let (session, meter, by) = match open {
            Some(session) => {
                print(&format!(
                    "Going on with session {} of {}: {} on record.\n",
                    session.number,
                    session.date,
                    count(session.readings.len())
                ));
                (session.number, session.meter.clone(), session.by.clone())
            }
            None => {
                if input.typed() {
                    ask(&mut input, unit, &mut given);
                }
                let meter = given.meter.clone().unwrap_or_else(|| usual(unit));
                let number = journal.append(|next| {
                    let opening = Opening {
                        session: next,
                        date: given.date.clone().unwrap_or_else(files::today),
                        by: given.by.clone(),
                        note: given.note.clone(),
                        meter: meter.clone(),
                        mains: given.mains,
                        ambient: given.ambient,
                        revision: design.revision.clone(),
                        design: Some(fingerprint.clone()),
                        guided: true,
                    };
                    (Entry::Opens(opening), next)
                })?;
                (number, meter, given.by.clone())
            }
        };
        print(&format!("Meter: {}\n", meter.describe()));
        if !meter.assumed.is_empty() {
            print(&format!(
                "       {} not given, those of a common meter taken\n",
                meter.assumed.join(", ")
            ));
        }
        print(&format!("Rule: {}\n", rule.describe()));
        let steps = steps(design, &assessed.evidence, &meter);
        // Only what this session measured counts in it.
        let mut own = unit.clone();
        own.sessions.retain(|s| s.number == session);
        let progress = bench::progress(design, &steps, &own, fingerprint, &rule);
        Ok(Self {
            before: unit_report::before(path, assessed, unit),
            drawn: draws(design, &assessed.evidence),
            steps,
            progress,
            rule,
            meter,
            journal,
            session,
            unit,
            by,
            input,
            phase: None,
            doubted: None,
        })
    }

    /// The whole procedure; the exit status.
    fn go(&mut self) -> Result<u8, String> {
        let mut at = self.open_from(0);
        let halted = self.steps.iter().zip(&self.progress.standings).any(|(step, standing)| {
            matches!(standing, Standing::Judged(reads, _) if beyond(step, *reads))
        });
        if halted {
            match self.held(&Phase::ALL)? {
                Some(next) => at = Some(next),
                None => return Ok(BLOCKED),
            }
        }
        loop {
            let Some(index) = at else {
                if self.all_passed() {
                    return self.finish();
                }
                match self.held(&Phase::ALL)? {
                    Some(next) => at = Some(next),
                    None => return Ok(BLOCKED),
                }
                continue;
            };
            let phase = self.steps[index].phase;
            let earlier = needed_before(phase);
            let measured = bench::not_passed(&self.steps, &self.progress, earlier);
            let design = self.design_refuses(phase);
            if !measured.is_empty() || !design.is_empty() {
                match self.refused(phase, &measured, &design, earlier)? {
                    Some(next) => {
                        at = Some(next);
                        continue;
                    }
                    None => return Ok(BLOCKED),
                }
            }
            match self.step(index)? {
                Then::At(next) => at = next,
                Then::Leave => return Ok(BLOCKED),
            }
        }
    }

    fn open_from(&self, index: usize) -> Option<usize> {
        let open = |at: &usize| self.progress.standings[*at] == Standing::Open;
        let after = (index..self.steps.len()).find(open);
        after.or_else(|| (0..self.steps.len()).find(open))
    }

    fn all_passed(&self) -> bool {
        self.progress.standings.iter().all(Standing::passed)
    }

    /// Why the design itself, as this unit was built, forbids a phase.
    fn design_refuses(&self, phase: Phase) -> Vec<String> {
        let gates = match phase {
            Phase::Supply | Phase::Cold => 0,
            Phase::FirstPower | Phase::Outputs => 1,
            Phase::PlugIn => 2,
        };
        self.before[..gates].iter().flatten().cloned().collect()
    }

    fn refused(
        &mut self,
        phase: Phase,
        measured: &[String],
        design: &[String],
        earlier: &[Phase],
    ) -> Result<Option<usize>, String> {
        let what = if phase == Phase::PlugIn {
            "DO NOT PLUG IN."
        } else {
            "DO NOT APPLY POWER."
        };
        print(&format!("\n{what}\n"));
        for reason in measured.iter().chain(design) {
            print(&wrapped(reason, "  - "));
        }
        if measured.is_empty() {
            print(&wrapped(
                "All that could be measured so far passed. The procedure ends here until the \
                 design is cleared.",
                "",
            ));
            return Ok(None);
        }
        self.held(earlier)
    }

    /// Nothing goes on until somebody says so. Returns the step to go on with.
    fn held(&mut self, phases: &[Phase]) -> Result<Option<usize>, String> {
        print(
            "\nType `again` to measure again what did not pass, `rework WHAT` when it was\n\
             mended, `note TEXT`, or `quit`. `preplug diagnose` ranks what may be wrong.\n",
        );
        loop {
            let Some(line) = self.input.line("held> ") else {
                return Ok(leave());
            };
            match bench::answer(&line, quantity::Unit::Volt) {
                Answer::Again => {
                    let mut first = None;
                    for (index, step) in self.steps.iter().enumerate() {
                        let standing = &mut self.progress.standings[index];
                        if phases.contains(&step.phase) && !standing.passed() {
                            *standing = Standing::Open;
                            first = first.or(Some(index));
                        }
                    }
                    self.phase = None;
                    return Ok(first);
                }
                Answer::Rework(what) => {
                    self.rework(what)?;
                    return Ok(Some(0));
                }
                Answer::Note(text) => self.note(text)?,
                Answer::Pause => return Ok(leave()),
                Answer::Help => print(HELP),
                _ => print("Held: type `again`, `rework WHAT`, `note TEXT` or `quit`.\n"),
            }
        }
    }

    fn note(&self, text: String) -> Result<(), String> {
        let session = self.session;
        let kept = format!("kept: note: {text}\n");
        self.journal
            .append(|_| (Entry::Note { session, text }, ()))?;
        print(&kept);
        Ok(())
    }

    fn rework(&mut self, what: String) -> Result<(), String> {
        let entry = Entry::Rework {
            what,
            date: files::today(),
            by: self.by.clone(),
        };
        self.journal.append(|_| (entry, ()))?;
        print("kept: rework. Everything is measured anew.\n");
        self.progress.standings.fill(Standing::Open);
        self.phase = None;
        Ok(())
    }

    /// One step.
    fn step(&mut self, index: usize) -> Result<Then, String> {
        let step = self.steps[index].clone();
        if self.phase != Some(step.phase) {
            let (title, before) = step.phase.words();
            print(&format!("\n=== {title} ===\n"));
            let drawn = match step.phase {
                Phase::FirstPower => self.drawn.as_str(),
                _ => "",
            };
            print(&wrapped(&format!("{before}{drawn}"), ""));
            self.phase = Some(step.phase);
        }
        print(&format!(
            "\n{}\n",
            bench::prompt(&step, self.steps.len(), &self.meter)
        ));
        loop {
            let Some(line) = self.input.line("> ") else {
                leave::<()>();
                return Ok(Then::Leave);
            };
            match bench::answer(&line, step.place.unit) {
                Answer::Reading(reads, written) => {
                    if let Some(then) = self.reading(index, &step, reads, &written)? {
                        return Ok(then);
                    }
                }
                Answer::Skip(reason) => {
                    let entry = Entry::Skip {
                        session: self.session,
                        point: step.place.clone(),
                        reason: reason.clone(),
                    };
                    self.journal.append(|_| (entry, ()))?;
                    print("kept: skipped\n");
                    self.progress.standings[index] = Standing::Skipped(reason);
                    return Ok(Then::At(self.open_from(index + 1)));
                }
                Answer::Back if index == 0 => print("This is the first step.\n"),
                Answer::Back => return Ok(Then::At(Some(index - 1))),
                Answer::Note(text) => self.note(text)?,
                Answer::Rework(what) => {
                    self.rework(what)?;
                    return Ok(Then::At(Some(0)));
                }
                Answer::Again => print("Nothing is held here: type the reading.\n"),
                Answer::Pause => {
                    leave::<()>();
                    return Ok(Then::Leave);
                }
                Answer::Help => print(HELP),
                Answer::Blank => print(&wrapped(
                    &format!(
                        "Step {}: expect {}. Type the reading, or `help`.",
                        step.number,
                        bench::expectation(&step)
                    ),
                    "",
                )),
                Answer::Unclear(what) => print(&wrapped(&what, "")),
            }
        }
    }

    /// Takes a reading; `None` when it is to be typed again.
    fn reading(
        &mut self,
        index: usize,
        step: &Step,
        reads: f64,
        written: &str,
    ) -> Result<Option<Then>, String> {
        let standing = bench::standing(step, reads, &self.meter, &self.rule);
        let stops = beyond(step, reads);
        let sure = self.doubted == Some((index, reads)) || !self.input.typed();
        if !standing.passed() && !matches!(standing, Standing::NotAssessed(..)) && !sure {
            if stops {
                print(stop_now(step.phase));
            }
            print(&wrapped(&doubt(step, reads, &self.rule, &self.meter), ""));
            self.doubted = Some((index, reads));
            return Ok(None);
        }
        self.doubted = None;
        let entry = Entry::Reading {
            session: self.session,
            point: step.place.clone(),
            reads: written.to_owned(),
            note: None,
        };
        self.journal.append(|_| (entry, ()))?;
        let words = match &standing {
            Standing::Judged(_, verdict) => verdict.words(),
            _ => "not assessed",
        };
        print(&format!(
            "kept: {} {written}: {words}\n",
            step.place.describe()
        ));
        let passed = standing.passed();
        self.progress.standings[index] = standing;
        if stops {
            print(stop_now(step.phase));
            print(&wrapped(&side(step, reads), ""));
            let phases = [
                Phase::Cold,
                Phase::FirstPower,
                Phase::Outputs,
                Phase::PlugIn,
            ];
            return Ok(Some(match self.held(&phases)? {
                Some(next) => Then::At(Some(next)),
                None => Then::Leave,
            }));
        }
        if !passed {
            print(&wrapped(&side(step, reads), ""));
        }
        Ok(Some(Then::At(self.open_from(index + 1))))
    }

    fn finish(&mut self) -> Result<u8, String> {
        let session = self.session;
        let how = "all steps passed".to_owned();
        self.journal
            .append(|_| (Entry::Closes { session, how }, ()))?;
        print("\nAll steps passed, and are on record.\n");
        let gates = bench::unit_gates(&self.before, &self.steps, &self.progress);
        print(&unit_report::print_gates(&self.unit.serial, &gates));
        let open = |gate: Gate| gates.iter().any(|g| g.gate == gate && g.open());
        Ok(if open(Gate::Plug) { OPEN } else { BLOCKED })
    }
}

fn leave<T>() -> Option<T> {
    print("\nStopped. Nothing is lost: the same command goes on here.\n");
    None
}

enum Then {
    At(Option<usize>),
    Leave,
}

/// Phases that must have passed before another begins.
fn needed_before(phase: Phase) -> &'static [Phase] {
    match phase {
        Phase::Supply | Phase::Cold => &[],
        Phase::FirstPower | Phase::Outputs => &[Phase::Supply, Phase::Cold],
        Phase::PlugIn => &[
            Phase::Supply,
            Phase::Cold,
            Phase::FirstPower,
            Phase::Outputs,
        ],
    }
}

/// Beyond the limits at which everything stops?
fn beyond(step: &Step, reads: f64) -> bool {
    let outside = |limits: Limits| reads < limits.low || reads > limits.high;
    step.halt.is_some_and(outside)
}

fn stop_now(phase: Phase) -> &'static str {
    match phase {
        Phase::Supply => "\nSTOP. Do not join it to the box.\n",
        Phase::Cold => "\nSTOP. Do not apply power.\n",
        Phase::FirstPower | Phase::Outputs => "\nSTOP. Switch off now. Do not plug anything in.\n",
        Phase::PlugIn => "\nSTOP. Pull the plug out now, then switch off.\n",
    }
}

/// Which side a reading lies on, and what that suggests.
fn side(step: &Step, reads: f64) -> String {
    let Some(limits) = step.expected.limits() else {
        return String::new();
    };
    if reads < limits.low {
        format!("Below what is expected. It suggests: {}.", step.if_low)
    } else if reads > limits.high {
        format!("Above what is expected. It suggests: {}.", step.if_high)
    } else {
        "Too near the limit for this meter to tell.".to_owned()
    }
}

fn doubt(step: &Step, reads: f64, rule: &Rule, meter: &Meter) -> String {
    let mut words = format!(
        "Expected {}. {}",
        bench::expectation(step),
        side(step, reads)
    );
    if reads != 0.0 && bench::standing(step, -reads, meter, rule).passed() {
        words.push_str(
            " With the other sign it would fit: was the minus left out, or are the probes swapped?",
        );
    }
    words.push_str(" Type it again to put it on record, or type the right reading.");
    words
}

/// What is asked before a session that the command line does not say.
fn ask(input: &mut Input, unit: &Unit, given: &mut Given) {
    print("A few lines first; leave blank what is not known.\n");
    if given.by.is_none() {
        let name = input.line("Who measures? ").unwrap_or_default();
        given.by = Some(name).filter(|name| !name.is_empty());
    }
    while given.meter.is_none() {
        let known = usual(unit).describe();
        let line = input
            .line(&format!("Meter [{known}]? "))
            .unwrap_or_default();
        if line.is_empty() {
            break;
        }
        match Meter::parse(&line) {
            Ok(meter) => given.meter = Some(meter),
            Err(why) => print(&wrapped(&why, "")),
        }
    }
    let mut number = |question: &str, unit: quantity::Unit| loop {
        let line = input.line(question).unwrap_or_default();
        if line.is_empty() {
            return None;
        }
        let line = line.replace(',', ".").replace('v', "V");
        let bare = line.trim_end_matches(|c: char| !c.is_ascii_digit());
        match parse_value(&format!("{bare} {}", unit.symbol()), unit) {
            Ok(value) => return Some(value),
            Err(error) => print(&wrapped(&error.reason, "")),
        }
    };
    if given.mains.is_none() {
        given.mains = number("Mains voltage, if measured? ", quantity::Unit::Volt);
    }
    if given.ambient.is_none() {
        given.ambient = number("Room temperature in °C? ", quantity::Unit::Celsius);
    }
}

/// The meter of the unit's last session, or a common one.
fn usual(unit: &Unit) -> Meter {
    let last = unit.sessions.last().map(|session| session.meter.clone());
    last.unwrap_or_else(|| Meter {
        assumed: vec!["accuracy", "resistance", "counts", "input"],
        ..Meter::default()
    })
}

fn wrapped(text: &str, first: &str) -> String {
    if text.is_empty() {
        return String::new();
    }
    let rest = " ".repeat(first.len());
    let options = textwrap::Options::new(78)
        .initial_indent(first)
        .subsequent_indent(&rest);
    format!("{}\n", textwrap::fill(text, options))
}

fn count(readings: usize) -> String {
    match readings {
        1 => "1 reading".to_owned(),
        more => format!("{more} readings"),
    }
}

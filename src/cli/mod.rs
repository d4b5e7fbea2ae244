//! The command line: the only place that touches files, clock, environment and terminal.

mod bench;
mod check;
mod compare;
mod diagnose;
mod diagnose_json;
mod diagnose_report;
mod draw;
mod explain;
mod faults;
mod files;
mod journal;
mod json;
mod material;
mod parts;
mod pin_picture;
mod record;
mod register;
mod register_page;
mod report;
mod review;
mod trace;
mod unit_report;
mod unpack;

use clap::{Parser, Subcommand, ValueEnum};
use std::path::PathBuf;
use std::process::ExitCode;

/// All gates open.
pub const OPEN: u8 = 0;
/// A gate is blocked.
pub const BLOCKED: u8 = 1;
/// Bad usage or bad input; nothing was written.
pub const BAD_INPUT: u8 = 2;
/// Could not finish: reading or writing failed.
pub const COULD_NOT_FINISH: u8 = 3;

/// Reviews the design of a small home-built electronics box before it is powered, plugged in or
/// shared, and writes its build dossier.
///
/// Exit status: 0 all gates asked for are open, 1 a gate is blocked, 2 bad usage or bad input
/// (nothing is written), 3 could not finish.
#[derive(Debug, Parser)]
#[command(name = "preplug", version, max_term_width = 80)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Reviews a design and writes its dossier as a PDF
    Review {
        /// The design file
        file: String,
        /// Folder for the dossier
        #[arg(long, value_name = "DIR", default_value = ".")]
        out: PathBuf,
        /// Paper size
        #[arg(long, value_enum, default_value_t = Paper::A4)]
        paper: Paper,
        /// Folder of templates that stand in for those shipped, file by file
        #[arg(long, value_name = "DIR")]
        templates: Option<PathBuf>,
        /// The gate that decides the exit status
        #[arg(long, value_enum, default_value_t = GateName::Share)]
        gate: GateName,
        /// The review file of the person who reviews; `review.yaml` beside the design otherwise
        #[arg(long = "as", value_name = "REVIEW")]
        reviewer: Option<String>,
        /// An older revision: the dossier then says what changed since
        #[arg(long, value_name = "OLD")]
        since: Option<String>,
    },
    /// Reviews designs and prints what was found
    Check {
        /// The design files
        #[arg(required = true)]
        files: Vec<String>,
        /// How to print
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// The gate that decides the exit status
        #[arg(long, value_enum, default_value_t = GateName::Share)]
        gate: GateName,
        /// Writes how the solver reached each solution into a file, for developers
        #[arg(long, value_name = "LOG")]
        trace: Option<PathBuf>,
    },
    /// Draws a design, or a figure of its dossier, as SVG
    Draw {
        /// The design file
        file: String,
        /// `schematic`, `pins` or `wiring`, for which nothing is solved, so that a circuit that does
        /// not work is drawn as well; or a figure of the dossier (any other word lists them)
        drawing: String,
        /// The SVG file to write
        #[arg(short, long, value_name = "SVG")]
        out: PathBuf,
    },
    /// Takes the design files back out of a dossier
    Unpack {
        /// The dossier
        #[arg(value_name = "PDF")]
        dossier: String,
        /// Folder for the files
        #[arg(long, value_name = "DIR", default_value = ".")]
        out: PathBuf,
    },
    /// Brings up a built unit, step by step, and puts every reading on record
    ///
    /// Shows one step at a time: what to set, where to put the probes, the meter's range, what to
    /// expect and when to stop. Every reading is on disk before the next step; after a crash the
    /// same command goes on where it stopped. It refuses to go on to plugging in while a step
    /// before it failed or was skipped.
    Bench {
        /// The design file
        file: String,
        /// Serial number of the unit
        #[arg(long)]
        unit: String,
        /// Take the answers from a file, one to a line as they would be typed
        #[arg(long, value_name = "FILE")]
        readings: Option<String>,
        /// Begin a new session, even where one was not finished
        #[arg(long)]
        afresh: bool,
        #[command(flatten)]
        session: SessionArguments,
    },
    /// Puts readings of a built unit on record and judges them
    ///
    /// Readings come as CSV (headings `at`, `reads`, and the names of controls) or as YAML
    /// (`preplug: readings/1` and the keys of a session). Nothing on record is ever changed.
    Record {
        /// The design file
        file: String,
        /// Serial number of the unit
        #[arg(long)]
        unit: String,
        /// The readings, CSV or YAML
        #[arg(long, value_name = "FILE")]
        readings: String,
        #[command(flatten)]
        session: SessionArguments,
    },
    /// Ranks what may be the matter with a built unit by how well it explains the readings
    ///
    /// The healthy box and every single fault and slip are compared with what is on record of the
    /// unit. Exit status: 0 when nothing being wrong is the likeliest and fits, 1 otherwise.
    Diagnose {
        /// The design file
        file: String,
        /// Serial number of the unit
        #[arg(long)]
        unit: String,
        /// How to print
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
    },
    /// Compares two revisions of a design: parts, wiring, voltages, findings
    Compare {
        /// The design file as it was
        old: String,
        /// The design file as it is
        new: String,
        /// How to print
        #[arg(long, value_enum, default_value_t = Format::Text)]
        format: Format,
        /// The gate of the new design that decides the exit status
        #[arg(long, value_enum, default_value_t = GateName::Plug)]
        gate: GateName,
    },
    /// Lists every design and unit below a folder: gates, last test, drift, signatures
    ///
    /// What was found is kept in `.preplug-register.json` in that folder, under a digest of every
    /// file it rests on; only what changed is reviewed anew.
    Register {
        /// The folder
        folder: PathBuf,
        /// How to print
        #[arg(long, value_enum, default_value_t = RegisterFormat::Text)]
        format: RegisterFormat,
        /// Write it as a PDF as well
        #[arg(long, value_name = "FILE")]
        pdf: Option<PathBuf>,
        /// Paper size of the PDF
        #[arg(long, value_enum, default_value_t = Paper::A4)]
        paper: Paper,
    },
    /// Lists the part types of the catalogue, or prints one with its pins, figures and sources
    Parts {
        /// The type, as printed on the part
        #[arg(value_name = "TYPE")]
        type_name: Option<String>,
    },
    /// Prints what a check looks at, why, and by whose word; without an id the list of all
    Explain {
        /// The check's id, as findings name it
        id: Option<String>,
    },
}

/// What is said of a session at the bench.
#[derive(Debug, Clone, clap::Args)]
struct SessionArguments {
    /// Who measures
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// Who built the unit, for a new record
    #[arg(long, value_name = "NAME")]
    builder: Option<String>,
    /// The day of the readings, year-month-day; today when not given
    #[arg(long, value_parser = day)]
    date: Option<String>,
    /// The meter: `bench meter, 0.5 % + 2 digits, 2000 counts, 10 MΩ, true rms`
    #[arg(long, value_parser = crate::records::Meter::parse)]
    meter: Option<crate::records::Meter>,
    /// Mains voltage while measuring, `231 V`
    #[arg(long, value_parser = volts)]
    mains: Option<f64>,
    /// Room temperature while measuring, `21 °C`
    #[arg(long, value_parser = celsius)]
    ambient: Option<f64>,
    /// Remark on the session
    #[arg(long)]
    note: Option<String>,
}

fn volts(text: &str) -> Result<f64, String> {
    crate::quantity::parse_value(text, crate::quantity::Unit::Volt).map_err(|error| error.reason)
}

fn day(text: &str) -> Result<String, String> {
    let day = crate::source::is_date(text).then(|| text.to_owned());
    day.ok_or_else(|| "write year-month-day, for example 2026-09-02".to_owned())
}

fn celsius(text: &str) -> Result<f64, String> {
    crate::quantity::parse_value(text, crate::quantity::Unit::Celsius).map_err(|error| error.reason)
}

impl From<SessionArguments> for record::Given {
    fn from(said: SessionArguments) -> Self {
        Self {
            builder: said.builder,
            by: said.by,
            date: said.date,
            meter: said.meter,
            mains: said.mains,
            ambient: said.ambient,
            note: said.note,
        }
    }
}

/// Paper sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Paper {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 inches
    Letter,
}

/// Output formats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people
    Text,
    /// For programs
    Json,
}

/// Forms of the register.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RegisterFormat {
    /// For people
    Text,
    /// For spreadsheets
    Csv,
    /// For programs
    Json,
}

/// The gates by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum GateName {
    /// Safe to apply power
    Power,
    /// Safe to connect to the instrument
    Plug,
    /// Fit to hand to a stranger
    Share,
}

impl From<GateName> for crate::checks::Gate {
    fn from(name: GateName) -> Self {
        match name {
            GateName::Power => Self::Power,
            GateName::Plug => Self::Plug,
            GateName::Share => Self::Share,
        }
    }
}

/// Runs the command line.
#[must_use]
pub fn run() -> ExitCode {
    let arguments = Arguments::parse();
    let code = match arguments.command {
        Command::Review {
            file,
            out,
            paper,
            templates,
            gate,
            reviewer,
            since,
        } => {
            let (templates, since) = (templates.as_deref(), since.as_deref());
            let gate = gate.into();
            review::run(&file, &out, paper, templates, reviewer, since, gate)
        }
        Command::Check {
            files,
            format,
            gate,
            trace,
        } => check::run(&files, format, gate.into(), trace.as_deref()),
        Command::Draw { file, drawing, out } => draw::run(&file, &drawing, &out),
        Command::Unpack { dossier, out } => unpack::run(&dossier, &out),
        Command::Bench {
            file,
            unit,
            readings,
            afresh,
            session,
        } => bench::run(&file, &unit, readings.as_deref(), afresh, session.into()),
        Command::Record {
            file,
            unit,
            readings,
            session,
        } => record::run(&file, &unit, &readings, session.into()),
        Command::Diagnose { file, unit, format } => diagnose::run(&file, &unit, format),
        Command::Compare {
            old,
            new,
            format,
            gate,
        } => compare::run(&old, &new, format, gate.into()),
        Command::Register {
            folder,
            format,
            pdf,
            paper,
        } => register::run(&folder, format, pdf.as_deref(), paper),
        Command::Parts { type_name } => parts::run(type_name.as_deref()),
        Command::Explain { id } => explain::run(id.as_deref()),
    };
    ExitCode::from(code)
}

/// Standard output; a reader that goes away (`| head`) is no error.
fn print(text: &str) {
    use std::io::Write;
    let mut out = anstream::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Reviews a design with its companions; the exit status where a file is wrong, which was said.
fn assessed(path: &str, companions: &crate::Companions) -> Result<crate::Assessed, u8> {
    crate::assess(path, companions, &files::load).map_err(|refused| {
        complain(&refused.diagnostics, &refused.sources);
        BAD_INPUT
    })
}

/// What is wrong with the files, on standard error.
fn complain(diagnostics: &[crate::source::Diagnostic], sources: &crate::source::SourceSet) {
    use crate::source::{PrintStyle, print};
    let choice = anstream::AutoStream::choice(&std::io::stderr());
    let style = PrintStyle {
        colour: choice != anstream::ColorChoice::Never,
        width: 100,
    };
    anstream::eprint!("{}", print(diagnostics, sources, style));
}

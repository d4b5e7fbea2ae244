//! What a check declares of itself, and what it is given.

use super::Outcome;
use crate::catalogue::Mark;
use crate::design::Design;
use crate::evidence::Evidence;

/// One of the three decisions. `Plug` needs `Power`; `Share` needs both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gate {
    /// Safe to apply power.
    Power,
    /// Safe to connect to the instrument.
    Plug,
    /// Fit to hand to a stranger.
    Share,
    /// Blocks nothing.
    Note,
}

impl Gate {
    /// The word in files and on the command line.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Power => "power",
            Self::Plug => "plug",
            Self::Share => "share",
            Self::Note => "note",
        }
    }

    /// What is blocked, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Power => "the power gate",
            Self::Plug => "the plug gate",
            Self::Share => "the share gate",
            Self::Note => "no gate",
        }
    }
}

/// The stage of the review a check belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Ratings.
    Ratings,
    /// Thermal.
    Thermal,
    /// Polarity.
    Polarity,
    /// Pinout.
    Pinout,
    /// Output range against the instrument's input.
    OutputRange,
    /// Isolation and mains cautions.
    Isolation,
    /// Completeness.
    Completeness,
}

impl Stage {
    /// Its heading.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Ratings => "Ratings",
            Self::Thermal => "Thermal",
            Self::Polarity => "Polarity",
            Self::Pinout => "Pinout",
            Self::OutputRange => "Output range",
            Self::Isolation => "Isolation and mains",
            Self::Completeness => "Completeness",
        }
    }
}

/// Where a threshold or rule was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// Citation, e.g. `IEC 60384-4, surge voltage` or `common practice`.
    pub citation: &'static str,
    /// How far it was confirmed.
    pub mark: Mark,
}

/// A check, as registered.
#[derive(Debug, Clone, Copy)]
pub struct Check {
    /// Names the fault; equal to the file name with dashes.
    pub id: &'static str,
    /// The most severe gate it can block.
    pub gate: Gate,
    /// Its stage.
    pub stage: Stage,
    /// What it checks, why it matters, its limits: the doc comment of the file.
    pub rationale: &'static str,
    /// Sources of its thresholds; never empty.
    pub sources: &'static [Source],
    /// What a person must confirm because software cannot see it.
    pub sign_off: &'static str,
    /// Why it can never be *not assessed*: it reads only what every design has. `None` when it can.
    pub always_assessed: Option<&'static str>,
    /// Why it concerns every design there is. `None` when there are designs it does not apply to.
    pub always_applies: Option<&'static str>,
    /// Looks at every place it concerns. Never empty: at least one *does not apply*.
    pub run: fn(&Context) -> Vec<Outcome>,
}

/// What a check may read.
#[derive(Debug, Clone, Copy)]
pub struct Context<'a> {
    /// The design.
    pub design: &'a Design,
    /// What was computed of it.
    pub evidence: &'a Evidence,
    /// What is on record of units built to it.
    pub built: Built,
    /// Acceptances and signed lines of the review file that have no effect, ready to print.
    pub stale: &'a [String],
}

/// What is on record of units built to a design.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Built {
    /// Units with at least one session of readings, demonstrations left out.
    pub measured: usize,
    /// Units whose record is a demonstration.
    pub demonstrations: usize,
    /// Photos in the records of real units.
    pub photos: usize,
}

/// Declares `pub const CHECK: Check`, its doc comment becoming the rationale. `always_assessed:`
/// and `always_applies:` say why a check is never *not assessed* or never *does not apply*; the
/// tests hold them to it.
#[macro_export]
macro_rules! check {
    (
        $(#[doc = $doc:literal])+
        id: $id:literal, gate: $gate:ident, stage: $stage:ident,
        sources: [$(($citation:literal, $mark:ident)),+ $(,)?],
        sign_off: $sign_off:literal,
        $(always_assessed: $always_assessed:literal,)?
        $(always_applies: $always_applies:literal,)?
        run: $run:expr $(,)?
    ) => {
        $(#[doc = $doc])+
        pub const CHECK: $crate::checks::Check = $crate::checks::Check {
            id: $id,
            gate: $crate::checks::Gate::$gate,
            stage: $crate::checks::Stage::$stage,
            rationale: concat!($($doc, "\n"),+),
            sources: &[$($crate::checks::Source {
                citation: $citation,
                mark: $crate::catalogue::Mark::$mark,
            }),+],
            sign_off: $sign_off,
            always_assessed: $crate::check!(@option $($always_assessed)?),
            always_applies: $crate::check!(@option $($always_applies)?),
            run: $run,
        };
    };
    (@option) => { None };
    (@option $text:literal) => { Some($text) };
}

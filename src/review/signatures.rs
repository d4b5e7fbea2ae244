//! Signatures under the gates: each stands under the digest of the files it was given for.

use super::file::ReviewFile;
use super::{Fingerprint, GateState};
use crate::checks::Gate;

/// What a signature is worth now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Worth {
    /// Given for these very files, by this version, under an open gate.
    Stands,
    /// The files or the program have changed since.
    Stale,
    /// It does not say for which files it was given.
    Unbound,
    /// The gate it was given under is blocked.
    GateBlocked,
}

/// One signature as it stands now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignatureState {
    /// The gate.
    pub gate: Gate,
    /// Who.
    pub name: String,
    /// Date, year-month-day.
    pub date: String,
    /// What it is worth.
    pub worth: Worth,
}

impl Worth {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Stands => "stands",
            Self::Stale => "STALE: the files or the program have changed since",
            Self::Unbound => "not bound: it does not say for which files it was given",
            Self::GateBlocked => "without effect: the gate is blocked",
        }
    }
}

/// The signatures of a review file against the gates and the files as they are now.
#[must_use]
pub fn signatures(
    file: &ReviewFile,
    gates: &[GateState; 3],
    fingerprint: &Fingerprint,
) -> Vec<SignatureState> {
    let of = |state: &GateState| {
        let signature = file.signatures.get(state.gate.key())?;
        let worth = match &signature.of {
            None => Worth::Unbound,
            Some(of) if *of != fingerprint.signed => Worth::Stale,
            Some(_) if !state.open => Worth::GateBlocked,
            Some(_) => Worth::Stands,
        };
        Some(SignatureState {
            gate: state.gate,
            name: signature.name.clone(),
            date: signature.date.clone(),
            worth,
        })
    };
    gates.iter().filter_map(of).collect()
}

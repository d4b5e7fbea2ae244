//! Title, gates, bring-up steps and checklists.

use super::{Inline, Status};

/// The title of the document, for the cover.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Title {
    /// A line above the title, e.g. "Build dossier".
    pub over: String,
    /// The title.
    pub title: String,
    /// What it is for, in a sentence.
    pub purpose: Vec<Inline>,
    /// Facts as name and value: revision, date, author, licence, …
    pub facts: Vec<(String, Vec<Inline>)>,
}

/// The panels of the gates and the verdict under them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Gates {
    /// The gates in their order.
    pub gates: Vec<Gate>,
    /// The verdict in one paragraph.
    pub verdict: Vec<Inline>,
}

/// One gate.
#[derive(Debug, Clone, PartialEq)]
pub struct Gate {
    /// Its name, e.g. "Power".
    pub name: String,
    /// What it decides, e.g. "Safe to apply power?"
    pub question: String,
    /// Open or blocked.
    pub open: bool,
    /// What blocks it, or what it rests on; a few words for each line.
    pub reasons: Vec<Vec<Inline>>,
}

/// Bring-up steps, in groups; numbering runs through the groups.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Steps {
    /// The name links point to; empty for none.
    pub id: String,
    /// The groups.
    pub groups: Vec<StepGroup>,
    /// What is said when there are no steps.
    pub empty: String,
}

/// Steps done in one condition of the box, e.g. "Cold, nothing connected".
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StepGroup {
    /// The condition.
    pub title: String,
    /// What to set up first.
    pub before: Vec<Inline>,
    /// The steps.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Step {
    /// The name links point to; empty for none.
    pub id: String,
    /// What to do and where.
    pub action: Vec<Inline>,
    /// Meter function and range.
    pub meter: Vec<Inline>,
    /// The reading to expect.
    pub expected: Vec<Inline>,
    /// When to stop.
    pub stop: Vec<Inline>,
    /// The unit after the blank; `None` for a box to tick only.
    pub blank: Option<String>,
}

/// Lines to tick and to sign.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Checklist {
    /// The name links point to; empty for none.
    pub id: String,
    /// The lines.
    pub items: Vec<CheckItem>,
    /// Who signs below them.
    pub signatures: Vec<Signature>,
    /// What is said when there are no lines.
    pub empty: String,
}

/// One line to tick.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CheckItem {
    /// What is confirmed.
    pub text: Vec<Inline>,
    /// The title over it and its neighbours that belong together; may be empty.
    pub belongs: Vec<Inline>,
    /// The state it is in already, if any.
    pub status: Option<Status>,
    /// Who signed it already, with the date; a blank to sign when `None`.
    pub signed: Option<String>,
}

/// A line to sign.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Signature {
    /// In what role, e.g. "Builder", "Reviewer, gate power".
    pub role: String,
    /// Name, date already given, if any.
    pub signed: Option<(String, String)>,
}

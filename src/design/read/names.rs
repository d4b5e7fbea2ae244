//! Names in a design: references, nets and controls, with where each was first used.

use crate::source::{Diagnostic, Entry, Node, Reader, Span, nearest};
use indexmap::IndexMap;

/// The reserved net of the box's 0 V.
pub(super) const GROUND: &str = "gnd";
/// The reserved net of what is left open.
pub(super) const OPEN: &str = "nc";

/// The nets that parts are wired to.
#[derive(Debug, Default)]
pub(super) struct Names {
    nets: IndexMap<String, Vec<Span>>,
    /// References and controls of parts that could not be read.
    unread: Vec<String>,
}

impl Names {
    /// `gnd`, then the others in order of first appearance.
    pub(super) fn nets(&self) -> Vec<String> {
        std::iter::once(GROUND.to_owned())
            .chain(self.nets.keys().filter(|net| *net != GROUND).cloned())
            .collect()
    }

    /// Remembers a part that could not be read: its names are not unknown for that.
    pub(super) fn unread(&mut self, part: &Entry) {
        self.unread.push(part.key.clone());
        let control = part.value.get("control").and_then(Node::text);
        self.unread.extend(control.map(str::to_owned));
    }

    /// Does a part that could not be read go by this name?
    pub(super) fn is_unread(&self, name: &str) -> bool {
        self.unread.iter().any(|unread| unread == name)
    }

    /// Every net with the places where a part joins it.
    pub(super) fn uses(&self) -> impl Iterator<Item = (&str, &[Span])> {
        self.nets
            .iter()
            .map(|(net, places)| (net.as_str(), places.as_slice()))
    }

    /// Where a net first stands.
    pub(super) fn first(&self, net: &str) -> Option<Span> {
        self.nets.get(net)?.first().copied()
    }

    /// A net that a terminal is wired to; joins the list of nets.
    pub(super) fn wire(&mut self, node: &Node, what: &str, reader: &mut Reader) -> Option<String> {
        let net = net_name(node, what, reader)?;
        if net != OPEN {
            let folded = net.to_lowercase();
            let other = self
                .nets
                .iter()
                .find(|(name, _)| **name != net && name.to_lowercase() == folded);
            if let Some((other, places)) = other
                && !self.nets.contains_key(&net)
            {
                let mut error = Diagnostic::error(
                    "names-differ-in-case",
                    format!("`{net}` and `{other}` differ only in capitals"),
                )
                .at(node.span, "")
                .hint("write one net one way, or give two nets two names");
                if let Some(first) = places.first() {
                    error = error.related(*first, "the other one");
                }
                reader.note(error);
            }
            self.nets.entry(net.clone()).or_default().push(node.span);
        }
        Some(net)
    }

    /// A net that must exist already, named outside the parts.
    pub(super) fn existing(&self, node: &Node, what: &str, reader: &mut Reader) -> Option<String> {
        let net = reader.text(node, what)?;
        self.existing_at(net, node.span, what, reader)
    }

    /// As [`Self::existing`], of a name that stands as a key.
    pub(super) fn existing_at(
        &self,
        net: &str,
        place: Span,
        what: &str,
        reader: &mut Reader,
    ) -> Option<String> {
        if net == GROUND || self.nets.contains_key(net) {
            return Some(net.to_owned());
        }
        let hint = nearest(net, self.nets.keys().map(String::as_str))
            .map(|near| format!("did you mean `{near}`?"));
        reader.note(
            Diagnostic::error("unknown-net", format!("no part is wired to a net `{net}`"))
                .at(place, format!("in {what}"))
                .hint_if(hint),
        );
        None
    }
}

/// The name of a net as written, checked.
fn net_name(node: &Node, what: &str, reader: &mut Reader) -> Option<String> {
    let net = reader.text(node, what)?;
    if net == GROUND || net == OPEN {
        return Some(net.to_owned());
    }
    let folded = net.to_lowercase();
    let meant = match folded.as_str() {
        "gnd" | "ground" | "0v" | "0 v" | "earth" => Some(GROUND),
        "nc" | "n/c" | "n.c." | "none" | "open" => Some(OPEN),
        _ => None,
    };
    if let Some(meant) = meant {
        reader.note(
            Diagnostic::error("reserved-net", format!("`{net}` is not a name for a net"))
                .at(node.span, "")
                .hint(match meant {
                    GROUND => "the box's 0 V is written `gnd`",
                    _ => "what is left open is written `nc`",
                }),
        );
        return None;
    }
    if let Some(bad) = unfit(net) {
        reader.note(
            Diagnostic::error("bad-name", format!("{bad} in the name of a net"))
                .at(node.span, "")
                .hint("use letters, digits and `+ - _ / ~`"),
        );
        return None;
    }
    Some(net.to_owned())
}

/// What makes a name unfit, if anything: dots join the keys of a route.
pub(super) fn unfit(name: &str) -> Option<String> {
    if name.chars().count() > 40 {
        return Some("more than 40 characters".to_owned());
    }
    name.chars()
        .find(|c| !c.is_alphanumeric() && !matches!(c, '+' | '-' | '_' | '/' | '~'))
        .map(|c| match c {
            ' ' => "a space".to_owned(),
            c => format!("`{c}`"),
        })
}

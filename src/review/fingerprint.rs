//! Digests of what a review rests on.

use crate::records::log::hex;
use crate::source::{FileId, Node, Reader, SourceSet, Value, read_tree};
use sha2::{Digest, Sha256};

/// Digests of a design with the instruments and controllers it names.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fingerprint {
    /// Of what is built and measured: parts, wiring, conditions, test points, and the files of
    /// instruments and controllers. Remarks and the title block do not enter it.
    pub built: String,
    /// Of every byte, and of the version of this program: what a signature stands under.
    pub signed: String,
}

/// Keys of a design that change nothing about the box.
const WORDS: &[&str] = &[
    "preplug",
    "title",
    "revision",
    "date",
    "author",
    "licence",
    "purpose",
    "revisions",
    "notes",
    "promises",
];

/// The digests of all files in the set, the design file first.
#[must_use]
pub fn fingerprint(sources: &SourceSet) -> Fingerprint {
    let mut built = Sha256::new();
    let mut signed = Sha256::new();
    signed.update(env!("CARGO_PKG_VERSION"));
    for (index, (id, file)) in sources.files().enumerate() {
        signed.update([0]);
        signed.update(file.text.as_bytes());
        if let Some(tree) = tree(sources, id) {
            let mut text = String::new();
            write(&tree, if index == 0 { WORDS } else { &[] }, &mut text);
            built.update([0]);
            built.update(text);
        }
    }
    Fingerprint {
        built: hex(&built.finalize(), 16),
        signed: hex(&signed.finalize(), 16),
    }
}

fn tree(sources: &SourceSet, id: FileId) -> Option<Node> {
    read_tree(sources, id, &mut Reader::default())
}

fn write(node: &Node, leave_out: &[&str], text: &mut String) {
    match &node.value {
        Value::Text(scalar) => text.push_str(scalar),
        Value::List(items) => {
            for item in items {
                text.push('[');
                write(item, &[], text);
                text.push(']');
            }
        }
        Value::Map(entries) => {
            for entry in entries {
                if leave_out.contains(&entry.key.as_str()) {
                    continue;
                }
                text.push('{');
                text.push_str(&entry.key);
                text.push(':');
                write(&entry.value, &[], text);
                text.push('}');
            }
        }
    }
}

//! Numbers and names of headings, given before anything is set.

use crate::dossier::block::{Block, plain_text};

/// The headings of levels 1 and 2 in reading order.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Outline {
    pub entries: Vec<Entry>,
}

/// A numbered heading.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entry {
    pub level: u8,
    /// `3` or `3.2`.
    pub number: String,
    pub words: String,
    /// The name links point to; made up from the number if the heading has none.
    pub id: String,
}

impl Outline {
    pub fn of(blocks: &[Block]) -> Self {
        let mut outline = Self::default();
        let mut counts = (0, 0);
        outline.walk(blocks, &mut counts);
        outline
    }

    fn walk(&mut self, blocks: &[Block], counts: &mut (u32, u32)) {
        for block in blocks {
            match block {
                Block::Heading { level, text, id } if *level <= 2 => {
                    if *level == 1 {
                        *counts = (counts.0 + 1, 0);
                    } else {
                        counts.1 += 1;
                    }
                    let number = if *level == 1 {
                        counts.0.to_string()
                    } else {
                        format!("{}.{}", counts.0, counts.1)
                    };
                    self.entries.push(Entry {
                        level: *level,
                        id: if id.is_empty() {
                            format!("section-{number}")
                        } else {
                            id.clone()
                        },
                        number,
                        words: plain_text(text),
                    });
                }
                Block::Callout { blocks, .. } | Block::Stamped { blocks, .. } => {
                    self.walk(blocks, counts);
                }
                Block::List { items, .. } => {
                    for item in items {
                        self.walk(item, counts);
                    }
                }
                _ => {}
            }
        }
    }
}

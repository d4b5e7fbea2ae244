//! Markdown to blocks: headings with ids, prose, lists, tables.

use pulldown_cmark::{Alignment, Event, HeadingLevel, Options, Parser, Tag, TagEnd};

use crate::dossier::block::{Align, Block, Callout, Cell, Column, Inline, Row, Table};

/// Blocks of a piece of Markdown, or what it holds that a dossier has not, with its words.
pub(super) fn blocks(markdown: &str) -> Result<Vec<Block>, (&'static str, String)> {
    let options = Options::ENABLE_TABLES | Options::ENABLE_HEADING_ATTRIBUTES;
    let mut builder = Builder {
        blocks: vec![Vec::new()],
        ..Builder::default()
    };
    for (event, range) in Parser::new_ext(markdown, options).into_offset_iter() {
        builder.take(event).map_err(|what| {
            let words = markdown.get(range).unwrap_or_default();
            (what, words.to_owned())
        })?;
    }
    Ok(builder.blocks.pop().unwrap_or_default())
}

#[derive(Default)]
struct Builder {
    /// Blocks under construction: the document, then quotes and list items inside it.
    blocks: Vec<Vec<Block>>,
    /// Inlines under construction: the paragraph, then dress inside it.
    inlines: Vec<Vec<Inline>>,
    lists: Vec<(bool, Vec<Vec<Block>>)>,
    table: Option<Table>,
    heading_id: String,
    in_code: bool,
    link: String,
}

impl Builder {
    fn take(&mut self, event: Event) -> Result<(), &'static str> {
        match event {
            Event::Start(tag) => return self.start(tag),
            Event::End(tag) => self.end(tag),
            Event::Text(words) if self.in_code => {
                for line in words.lines() {
                    self.push(Inline::Code(line.to_owned()));
                    self.push(Inline::Break);
                }
            }
            Event::Text(words) => self.push(Inline::Text(words.into_string())),
            Event::Code(words) => self.push(Inline::Code(words.into_string())),
            Event::SoftBreak => self.push(Inline::Text(" ".to_owned())),
            Event::HardBreak => self.push(Inline::Break),
            Event::Rule => self.add(Block::PageBreak),
            Event::Html(_) | Event::InlineHtml(_) => return Err("HTML"),
            Event::FootnoteReference(_) => return Err("footnotes"),
            Event::InlineMath(_) | Event::DisplayMath(_) => return Err("mathematics"),
            Event::TaskListMarker(_) => return Err("task lists in Markdown; use `:::checklist`"),
        }
        Ok(())
    }

    fn start(&mut self, tag: Tag) -> Result<(), &'static str> {
        match tag {
            Tag::Paragraph | Tag::Emphasis | Tag::Strong | Tag::TableCell => {
                self.inlines.push(Vec::new());
            }
            Tag::Heading { id, .. } => {
                self.heading_id = id
                    .map(pulldown_cmark::CowStr::into_string)
                    .unwrap_or_default();
                self.inlines.push(Vec::new());
            }
            Tag::Link { dest_url, .. } => {
                self.link = dest_url.into_string();
                self.inlines.push(Vec::new());
            }
            Tag::BlockQuote(_) => self.blocks.push(Vec::new()),
            Tag::CodeBlock(_) => {
                self.in_code = true;
                self.inlines.push(Vec::new());
            }
            Tag::List(first) => {
                // In a tight item the words before an inner list have no paragraph of their own.
                self.loose_words();
                self.lists.push((first.is_some(), Vec::new()));
            }
            Tag::Item => {
                self.blocks.push(Vec::new());
                self.inlines.push(Vec::new());
            }
            Tag::Table(alignments) => {
                self.table = Some(Table {
                    columns: alignments
                        .into_iter()
                        .map(|alignment| {
                            Column::new(
                                "",
                                match alignment {
                                    Alignment::Right => Align::Right,
                                    Alignment::Center => Align::Centre,
                                    Alignment::None | Alignment::Left => Align::Left,
                                },
                            )
                        })
                        .collect(),
                    ..Table::default()
                });
            }
            Tag::TableHead => {}
            Tag::TableRow => {
                if let Some(table) = &mut self.table {
                    table.rows.push(Row::default());
                }
            }
            Tag::Image { .. } => return Err("images in Markdown; use `:::figure`"),
            Tag::HtmlBlock => return Err("HTML"),
            _ => return Err("such Markdown"),
        }
        Ok(())
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Paragraph => {
                let words = self.inlines.pop().unwrap_or_default();
                self.add(Block::Paragraph(words));
            }
            TagEnd::Heading(level) => {
                let block = Block::Heading {
                    level: match level {
                        HeadingLevel::H1 => 1,
                        HeadingLevel::H2 => 2,
                        _ => 3,
                    },
                    text: self.inlines.pop().unwrap_or_default(),
                    id: std::mem::take(&mut self.heading_id),
                };
                self.add(block);
            }
            TagEnd::Emphasis => {
                let words = self.inlines.pop().unwrap_or_default();
                self.push(Inline::Emphasis(words));
            }
            TagEnd::Strong => {
                let words = self.inlines.pop().unwrap_or_default();
                self.push(Inline::Strong(words));
            }
            TagEnd::Link => {
                let words = self.inlines.pop().unwrap_or_default();
                let target = std::mem::take(&mut self.link);
                if let Some(id) = target.strip_prefix('#') {
                    let to = id.to_owned();
                    self.push(Inline::Link { to, text: words });
                } else {
                    // Paper has no links: the address is printed.
                    for word in words {
                        self.push(word);
                    }
                    self.push(Inline::Text(" (".to_owned()));
                    self.push(Inline::Code(target));
                    self.push(Inline::Text(")".to_owned()));
                }
            }
            TagEnd::BlockQuote(_) => {
                let blocks = self.blocks.pop().unwrap_or_default();
                self.add(Block::Callout {
                    id: String::new(),
                    kind: Callout::Note,
                    title: Vec::new(),
                    blocks,
                });
            }
            TagEnd::CodeBlock => {
                self.in_code = false;
                let mut lines = self.inlines.pop().unwrap_or_default();
                lines.pop();
                self.add(Block::Paragraph(lines));
            }
            TagEnd::Item => {
                self.loose_words();
                self.inlines.pop();
                let blocks = self.blocks.pop().unwrap_or_default();
                if let Some((_, items)) = self.lists.last_mut() {
                    items.push(blocks);
                }
            }
            TagEnd::List(_) => {
                if let Some((ordered, items)) = self.lists.pop() {
                    self.add(Block::List { ordered, items });
                }
            }
            TagEnd::TableCell => {
                let words = self.inlines.pop().unwrap_or_default();
                self.cell(words);
            }
            TagEnd::Table => {
                if let Some(table) = self.table.take() {
                    self.add(Block::Table(table));
                }
            }
            _ => {}
        }
    }

    /// A cell of the head while there are no rows, of the last row after that.
    fn cell(&mut self, words: Vec<Inline>) {
        let Some(table) = &mut self.table else { return };
        match table.rows.last_mut() {
            Some(row) => row.cells.push(Cell::Text(words)),
            None => {
                if let Some(column) = table.columns.iter_mut().find(
                    |c| matches!(c.head.as_slice(), [Inline::Text(words)] if words.is_empty()),
                ) {
                    column.head = words;
                }
            }
        }
    }

    /// Words of a tight list item become a paragraph.
    fn loose_words(&mut self) {
        if let Some(words) = self.inlines.last_mut()
            && !words.is_empty()
        {
            let words = std::mem::take(words);
            self.add(Block::Paragraph(words));
        }
    }

    fn push(&mut self, inline: Inline) {
        if let Some(words) = self.inlines.last_mut() {
            // Escapes split the words of a field; joined again, they are shaped together.
            match (words.last_mut(), &inline) {
                (Some(Inline::Text(before)), Inline::Text(more)) => before.push_str(more),
                _ => words.push(inline),
            }
        }
    }

    fn add(&mut self, block: Block) {
        if let Some(blocks) = self.blocks.last_mut() {
            blocks.push(block);
        }
    }
}

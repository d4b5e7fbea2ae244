//! What the pages say as a tree, for readers who hear the document or read it on a narrow screen.
//!
//! Blocks are set in reading order, so nodes stand in reading order too. What belongs to no node
//! is decoration.

use std::cell::RefCell;

/// What a node is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// The whole.
    Document,
    /// Blocks that belong together: a callout, a figure with its caption.
    Group,
    /// A heading of level 1, 2 or 3.
    Heading(u8),
    /// A paragraph.
    Paragraph,
    /// A list.
    List,
    /// An item of a list.
    Item,
    /// The mark of an item.
    Label,
    /// What an item says.
    Body,
    /// A table.
    Table,
    /// A row of a table.
    Row,
    /// A cell of the head, over its column.
    Head,
    /// A title over the rows that follow, across this many columns.
    Across(usize),
    /// A cell.
    Cell,
    /// The caption of a table or figure.
    Caption,
    /// A figure.
    Figure,
    /// The table of contents.
    Contents,
    /// A line of it.
    ContentsItem,
}

/// A node.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// What it is.
    pub role: Role,
    /// The node it belongs to; none for the first, which is the document.
    pub parent: Option<usize>,
    /// What it shows, for a reader who cannot see it; empty for what is text itself.
    pub alt: String,
}

/// Grows the tree while blocks are set.
#[derive(Debug)]
pub(super) struct Structure {
    nodes: RefCell<Vec<Node>>,
    open: RefCell<Vec<usize>>,
}

impl Structure {
    pub fn new() -> Self {
        let document = Node {
            role: Role::Document,
            parent: None,
            alt: String::new(),
        };
        Self {
            nodes: RefCell::new(vec![document]),
            open: RefCell::new(vec![0]),
        }
    }

    /// A node of its own under the open one.
    pub fn leaf(&self, role: Role) -> usize {
        self.with_alt(role, "")
    }

    /// The same with what it shows.
    pub fn with_alt(&self, role: Role, alt: &str) -> usize {
        let mut nodes = self.nodes.borrow_mut();
        nodes.push(Node {
            role,
            parent: self.open.borrow().last().copied().or(Some(0)),
            alt: alt.to_owned(),
        });
        nodes.len() - 1
    }

    /// Makes `content` with a new node open, so that what it adds belongs to that node.
    pub fn within<T>(&self, role: Role, content: impl FnOnce() -> T) -> T {
        let node = self.leaf(role);
        self.open.borrow_mut().push(node);
        let made = content();
        self.open.borrow_mut().pop();
        made
    }

    pub fn into_nodes(self) -> Vec<Node> {
        self.nodes.into_inner()
    }
}

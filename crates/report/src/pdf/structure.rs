//! The order of reading: a tree of headings, paragraphs, tables and figures beside what is drawn.

use krilla::tagging::{Identifier, ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagTree};
use std::num::NonZeroU16;

/// What a part of the document is.
#[derive(Clone, Debug)]
pub(crate) enum Role {
    Root,
    Heading(u16, String),
    Paragraph,
    List,
    Item,
    ItemBody,
    Table,
    Caption,
    TableRow,
    ColumnHeader,
    RowHeader,
    Cell,
    Figure(String),
}

#[derive(Debug)]
struct Part {
    role: Role,
    children: Vec<usize>,
    drawn: Vec<Identifier>,
}

/// Parts by number; the first is the whole document.
#[derive(Debug)]
pub(crate) struct Structure {
    parts: Vec<Part>,
}

/// The whole document.
pub(crate) const ROOT: usize = 0;

impl Structure {
    pub fn new() -> Structure {
        Structure { parts: vec![Part { role: Role::Root, children: Vec::new(), drawn: Vec::new() }] }
    }

    /// A new part within another; its number.
    pub fn add(&mut self, within: usize, role: Role) -> usize {
        self.parts.push(Part { role, children: Vec::new(), drawn: Vec::new() });
        let number = self.parts.len() - 1;
        self.parts[within].children.push(number);
        number
    }

    /// Something drawn belongs to a part.
    pub fn drawn(&mut self, part: usize, what: Identifier) {
        self.parts[part].drawn.push(what);
    }

    /// The tree as the PDF holds it.
    pub fn tree(&mut self) -> TagTree {
        let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
        for child in self.parts[ROOT].children.clone() {
            if let Some(node) = self.node(child) {
                tree.push(node);
            }
        }
        tree
    }

    fn node(&mut self, number: usize) -> Option<Node> {
        let drawn = std::mem::take(&mut self.parts[number].drawn);
        let children = self.parts[number].children.clone();
        let role = self.parts[number].role.clone();
        let mut nodes: Vec<Node> = drawn.into_iter().map(Node::Leaf).collect();
        nodes.extend(children.into_iter().filter_map(|c| self.node(c)));
        // An empty cell still holds its place in the row.
        if nodes.is_empty() && !matches!(role, Role::Cell | Role::ColumnHeader | Role::RowHeader) {
            return None;
        }
        let group = match role {
            Role::Root => return None,
            Role::Heading(level, text) => {
                TagGroup::with_children(Tag::Hn(NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN), Some(text)), nodes)
            }
            Role::Paragraph => TagGroup::with_children(Tag::P, nodes),
            Role::List => TagGroup::with_children(Tag::L(ListNumbering::Disc), nodes),
            Role::Item => TagGroup::with_children(Tag::LI, nodes),
            Role::ItemBody => TagGroup::with_children(Tag::LBody, nodes),
            Role::Table => TagGroup::with_children(Tag::Table, nodes),
            Role::Caption => TagGroup::with_children(Tag::Caption, nodes),
            Role::TableRow => TagGroup::with_children(Tag::TR, nodes),
            Role::ColumnHeader => TagGroup::with_children(Tag::TH(TableHeaderScope::Column), nodes),
            Role::RowHeader => TagGroup::with_children(Tag::TH(TableHeaderScope::Row), nodes),
            Role::Cell => TagGroup::with_children(Tag::TD, nodes),
            Role::Figure(described) => TagGroup::with_children(Tag::Figure(Some(described)), nodes),
        };
        Some(Node::Group(group))
    }
}

//! The structure tree (ISO 32000-1, 14.7): what is read aloud, in order, with alternative text.

use lopdf::{Dictionary, Document, Object, ObjectId, text_string};

use super::finish::{dictionary, integer, name};
use super::marks::{Kid, Kind, Marked, Marks};
use crate::dossier::layout::Role;

/// Adds the tree and gives its root. `annotations` are the objects of the links and fields, in
/// order; each learns its key in the tree.
pub(super) fn add(
    document: &mut Document,
    marks: &Marks,
    pages: &[ObjectId],
    annotations: &[ObjectId],
) -> ObjectId {
    let root = document.new_object_id();
    let ids: Vec<ObjectId> = marks
        .nodes
        .iter()
        .map(|_| document.new_object_id())
        .collect();
    for (marked, id) in marks.nodes.iter().zip(&ids) {
        let element = element(marked, root, &ids, pages, annotations);
        document.set_object(*id, element);
    }
    // The way back from content and annotations to elements.
    let mut numbers = Vec::new();
    for (key, content) in marks.pages.iter().enumerate() {
        let elements = content
            .iter()
            .filter_map(|node| ids.get(*node))
            .map(|id| Object::Reference(*id))
            .collect();
        numbers.push(integer(key));
        numbers.push(Object::Array(elements));
        set(document, pages.get(key), "StructParents", integer(key));
        set(document, pages.get(key), "Tabs", name("S"));
    }
    for (index, annotation) in marks.annotations.iter().enumerate() {
        let Some(id) = annotation.node.and_then(|node| ids.get(node)) else {
            continue;
        };
        let key = marks.pages.len() + index;
        numbers.push(integer(key));
        numbers.push(Object::Reference(*id));
        set(
            document,
            annotations.get(index),
            "StructParent",
            integer(key),
        );
    }
    let parents = document.add_object(dictionary([("Nums", Object::Array(numbers))]));
    let first = ids.first().copied().map(Object::Reference);
    let tree = dictionary([
        ("Type", name("StructTreeRoot")),
        ("K", first.unwrap_or(Object::Null)),
        ("ParentTree", Object::Reference(parents)),
        (
            "ParentTreeNextKey",
            integer(marks.pages.len() + marks.annotations.len()),
        ),
    ]);
    document.set_object(root, tree);
    root
}

fn set(document: &mut Document, id: Option<&ObjectId>, key: &str, value: Object) {
    if let Some(id) = id
        && let Ok(object) = document.get_object_mut(*id).and_then(Object::as_dict_mut)
    {
        object.set(key, value);
    }
}

fn element(
    marked: &Marked,
    root: ObjectId,
    ids: &[ObjectId],
    pages: &[ObjectId],
    annotations: &[ObjectId],
) -> Dictionary {
    let mut element = Dictionary::new();
    element.set("S", name(marked.kind.tag()));
    let parent = marked.parent.and_then(|parent| ids.get(parent)).copied();
    element.set("P", parent.unwrap_or(root));
    // The page of the first content, so that most numbers stand alone.
    let home = marked.kids.iter().find_map(|kid| match kid {
        Kid::Content { page, .. } => Some(*page),
        _ => None,
    });
    if let Some(page) = home.and_then(|page| pages.get(page)) {
        element.set("Pg", *page);
    }
    let kids: Vec<Object> = marked
        .kids
        .iter()
        .filter_map(|kid| match *kid {
            Kid::Node(node) => Some(Object::Reference(*ids.get(node)?)),
            Kid::Content { page, number } if Some(page) == home => Some(integer(number)),
            Kid::Content { page, number } => Some(dictionary([
                ("Type", name("MCR")),
                ("Pg", Object::Reference(*pages.get(page)?)),
                ("MCID", integer(number)),
            ])),
            Kid::Annotation(index) => Some(dictionary([
                ("Type", name("OBJR")),
                ("Obj", Object::Reference(*annotations.get(index)?)),
            ])),
        })
        .collect();
    if !kids.is_empty() {
        element.set("K", Object::Array(kids));
    }
    if !marked.alt.is_empty() {
        element.set("Alt", text_string(&marked.alt));
    }
    let attributes = match marked.kind {
        Kind::Block(Role::Head) => Some(dictionary([
            ("O", name("Table")),
            ("Scope", name("Column")),
        ])),
        Kind::Block(Role::Across(columns)) => Some(dictionary([
            ("O", name("Table")),
            ("Scope", name("Row")),
            ("ColSpan", integer(columns)),
        ])),
        _ => None,
    };
    if let Some(attributes) = attributes {
        element.set("A", attributes);
    }
    element
}

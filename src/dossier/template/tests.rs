use serde_json::json;

use super::*;
use crate::dossier::block::{Inline, Table, plain_text};

fn named() -> IndexMap<String, Placeable> {
    IndexMap::from([
        (
            "ratings".to_owned(),
            Placeable {
                blocks: vec![Block::Table(Table::default())],
                required: true,
            },
        ),
        (
            "thermal".to_owned(),
            Placeable {
                blocks: vec![Block::Table(Table::default())],
                required: false,
            },
        ),
    ])
}

fn rendered(template: &str, fields: &Value) -> Result<Vec<Block>, Vec<String>> {
    let file = (
        "templates/dossier.md".to_owned(),
        template.as_bytes().to_vec(),
    );
    let templates = Templates::from_files([file]).unwrap();
    let sources = &templates.sources;
    render(&templates, fields, &named()).map_err(|errors| {
        errors
            .into_iter()
            .map(|error| {
                let place = error.primary.as_ref().map(|l| sources.place(l.span));
                format!(
                    "{}: {}{}",
                    place.unwrap_or_default(),
                    error.message,
                    error.hint.map(|h| format!(" ({h})")).unwrap_or_default()
                )
            })
            .collect()
    })
}

#[test]
fn words_and_blocks_come_in_the_order_of_the_template() {
    let template = "# Ratings {#r}\n\nThe *nearest* is {{ part }}, see [there](#x).\n\n:::table ratings\n\n:::caution Stored charge\nWait {{ time }}.\n\n- one\n- two\n:::\n";
    let fields = json!({"part": "C1_*bad*\n:::table", "time": "40 s"});
    let blocks = rendered(template, &fields).unwrap();
    let [heading, paragraph, table, callout] = blocks.as_slice() else {
        panic!("{blocks:?}")
    };
    assert_eq!(
        *heading,
        Block::Heading {
            level: 1,
            text: text("Ratings"),
            id: "r".to_owned()
        }
    );
    let Block::Paragraph(words) = paragraph else {
        panic!()
    };
    assert_eq!(
        plain_text(words),
        "The nearest is C1_*bad* :::table, see there."
    );
    assert!(
        matches!(&words[3], Inline::Link { to, .. } if to == "x"),
        "{words:?}"
    );
    assert!(matches!(table, Block::Table(_)));
    let Block::Callout {
        kind,
        title,
        blocks,
        ..
    } = callout
    else {
        panic!()
    };
    assert_eq!(
        (*kind, plain_text(title)),
        (Callout::Caution, "Stored charge".to_owned())
    );
    assert_eq!(blocks.len(), 2);
}

#[test]
fn unknown_names_and_kinds_are_located_all_at_once() {
    let template = "Words.\n\n:::table ratings\n{% for i in [1] %}\n  :::table thermel\n{% endfor %}\n:::tabel thermal\n:::figure thermal\n";
    assert_eq!(
        rendered(template, &json!({})).unwrap_err(),
        [
            "templates/dossier.md:5:3: there is no block named `thermel` (did you mean `thermal`?)",
            "templates/dossier.md:7:1: there is no block kind `tabel` (did you mean `table`?)",
            "templates/dossier.md:8:1: `thermal` is no figure (write `:::table thermal`)",
        ]
    );
}

#[test]
fn markdown_that_a_dossier_has_not_is_located() {
    let template = "# One\n\nWords.\n\n:::table ratings\n\nMore <b>bold</b> words.\n";
    assert_eq!(
        rendered(template, &json!({})).unwrap_err(),
        ["templates/dossier.md:7:6: a dossier has no HTML"]
    );
}

#[test]
fn a_missing_file_is_located_where_it_is_included() {
    let template = ":::table ratings\n\n{% include \"heta.md\" %}\n";
    let errors = rendered(template, &json!({})).unwrap_err();
    assert!(
        errors[0].starts_with("templates/dossier.md:3:"),
        "{errors:?}"
    );
}

#[test]
fn own_files_stand_in_for_those_shipped() {
    let own = |name: &str| vec![(format!("mine/{name}"), b"# Mine {#mine}\n".to_vec())];
    let templates = Templates::shipped_but(own("cautions.md")).unwrap();
    assert_eq!(templates.files.len(), SHIPPED.len());
    let main = templates.sources.file(templates.files[0]);
    assert_eq!(main.path, "templates/dossier.md");
    let (errors, _) = Templates::shipped_but(own("cautoins.md")).unwrap_err();
    assert_eq!(errors[0].message, "no template includes `cautoins.md`");
    assert_eq!(
        errors[0].hint.as_deref(),
        Some("did you mean `cautions.md`?")
    );
}

#[test]
fn an_unknown_field_is_located() {
    let errors = rendered(
        ":::table ratings\n\nNearest: {{ ratings.count }}\n",
        &json!({}),
    )
    .unwrap_err();
    assert_eq!(errors.len(), 1);
    assert!(
        errors[0].starts_with("templates/dossier.md:3:13: "),
        "{errors:?}"
    );
}

#[test]
fn a_required_block_cannot_be_left_out() {
    let errors = rendered("Nothing.\n", &json!({})).unwrap_err();
    assert_eq!(
        errors,
        [
            "templates/dossier.md:1:1: the template never places `ratings`, which every dossier must show (add a line `:::table ratings`)"
        ]
    );
}

#[test]
fn open_and_stray_closings_are_errors() {
    let errors = rendered(":::table ratings\n:::\n:::note\nWords.\n", &json!({})).unwrap_err();
    assert_eq!(errors.len(), 2, "{errors:?}");
    assert!(errors[0].contains(":2:1: no callout is open here"));
    assert!(errors[1].contains(":3:1: this callout is never closed"));
}

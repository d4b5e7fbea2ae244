//! Trees, limits and printed diagnostics.

use super::*;
use std::fmt::Write as _;
use std::time::{Duration, Instant};

fn tree(text: &str) -> (SourceSet, Result<Node, Vec<Diagnostic>>) {
    let mut sources = SourceSet::default();
    let tree = read_file(
        &mut sources,
        "box.yaml",
        text.as_bytes().to_vec(),
        |tree, _| Some(tree.clone()),
    )
    .map(|(tree, _)| tree);
    (sources, tree)
}

fn codes(text: &str) -> Vec<&'static str> {
    let (_, tree) = tree(text);
    tree.err()
        .unwrap_or_default()
        .iter()
        .map(|error| error.code)
        .collect()
}

#[test]
fn scalars_stay_as_written_and_spans_hit_them() {
    let text = "serial: 001\nrevision: 1.10\nstate: on\nµ: \"12 V\"  # of µ\nlist: [a b, 'c']\nmap:\n  x: −5..5 V\n  y:\nend: ~\n";
    let (sources, tree) = tree(text);
    let tree = tree.unwrap();
    for (key, value) in [
        ("serial", "001"),
        ("revision", "1.10"),
        ("state", "on"),
        ("µ", "12 V"),
        ("end", "~"),
    ] {
        assert_eq!(tree.get(key).unwrap().text(), Some(value));
    }
    let volts = tree.get("µ").unwrap();
    assert_eq!(sources.text(volts.span), "\"12 V\"");
    assert_eq!(sources.text(volts.piece(3..4)), "V");
    let x = tree.get("map").unwrap().get("x").unwrap();
    assert_eq!(sources.text(x.span), "−5..5 V");
    assert_eq!(sources.place(x.span), "box.yaml:7:6");
    assert_eq!(sources.text(tree.get("list").unwrap().span), "[a b, 'c']");
    assert_eq!(
        sources
            .text(tree.get("map").unwrap().span)
            .trim_end_matches([':', '\n']),
        "x: −5..5 V\n  y"
    );
    assert_eq!(sources.text(tree.entries().unwrap()[3].key_span), "µ");
}

#[test]
fn byte_order_mark_and_line_ends_do_not_shift_places() {
    let mut sources = SourceSet::default();
    let file = sources
        .add("a.yaml", b"\xef\xbb\xbfa: 1\r\nb: 2\r\n".to_vec())
        .unwrap();
    let tree = read_tree(&sources, file, &mut Reader::default()).unwrap();
    assert_eq!(sources.place(tree.get("b").unwrap().span), "a.yaml:2:4");
}

#[test]
fn limits_hold() {
    let mut bomb = String::from("a0: &a0 [x, x]\n");
    for level in 1..60 {
        let _ = writeln!(bomb, "a{level}: &a{level} [*a{0}, *a{0}, *a{0}]", level - 1);
    }
    let started = Instant::now();
    assert_eq!(codes(&bomb), ["too-many-nodes"]);
    let took = started.elapsed();
    // A few milliseconds; the bound leaves room for a busy machine and an unoptimised build.
    assert!(took < Duration::from_millis(500), "{took:?}");
    assert_eq!(
        codes(&format!("a: {}{}", "[".repeat(65), "]".repeat(65))),
        ["too-deep"]
    );
    assert_eq!(
        codes(&format!("a: {}{}", "[".repeat(63), "]".repeat(63))),
        [""; 0]
    );
    assert_eq!(codes(&format!("a: {}", "[".repeat(900_000))), ["too-deep"]);
    assert_eq!(codes(&"x".repeat(LARGEST_FILE + 1)), ["unreadable-text"]);
    assert_eq!(codes(&"- a\n".repeat(60_000)), ["too-many-nodes"]);
    assert_eq!(codes("a: &x [*x]"), ["alias-loop"]);
    let mut chain = String::from("a0: &a0 [x]\n");
    for level in 1..80 {
        let _ = writeln!(chain, "a{level}: &a{level} [*a{}]", level - 1);
    }
    assert_eq!(codes(&chain), ["too-deep"]);
    assert_eq!(codes(&format!("{}: 1", "k".repeat(500_000))), ["syntax"]);
    let many_keys: String = (0..20_000).fold(String::new(), |mut text, n| {
        let _ = writeln!(text, "k{n}: 1");
        text
    });
    assert_eq!(codes(&many_keys), [""; 0]);
}

#[test]
fn what_yaml_allows_and_we_do_not() {
    assert_eq!(
        codes("a: 1\nb: 2\na: 3\nb: 4\n"),
        ["duplicate-key", "duplicate-key"]
    );
    assert_eq!(codes("a: !!int 3"), ["tag"]);
    assert_eq!(codes("a: &x {b: 1}\nc:\n  <<: *x\n"), ["merge-key"]);
    assert_eq!(codes("a: 1\n---\nb: 2\n"), ["second-document"]);
    assert_eq!(codes("? [a, b]\n: 1\n"), ["complex-key"]);
    assert_eq!(codes("a: b: c"), ["syntax"]);
    assert_eq!(codes("a:\n\tb: c"), ["syntax"]);
    assert_eq!(codes(""), ["empty-file"]);
    assert_eq!(codes("# nothing\n"), ["empty-file"]);
    assert_eq!(codes("a: \u{202e}x"), ["unreadable-text"]);
    assert_eq!(codes("a: \u{1b}[31m"), ["unreadable-text"]);
    let mut sources = SourceSet::default();
    assert!(sources.add("x", b"a: caf\xe9\n".to_vec()).is_err());
    assert!(sources.add("x", b"\xff\xfea\0".to_vec()).is_err());
}

#[test]
fn a_diagnostic_prints_like_this() {
    let (sources, tree) = tree("parts:\n  C1: {kind: film}\n  C1: {kind: ceramic}\n");
    let errors = tree.unwrap_err();
    assert_eq!(
        print(&errors, &sources, PrintStyle::default()),
        "\
error[duplicate-key]: `C1` is given twice
 --> box.yaml:3:3
  |
2 |   C1: {kind: film}
  |   -- first given here
3 |   C1: {kind: ceramic}
  |   ^^ given again here
  |
  = help: keep one of them

1 error
"
    );
    let json = errors[0].to_json(&sources);
    assert_eq!(json["place"]["line"], 3);
    assert_eq!(json["related"][0]["column"], 3);
}

//! The program as a person meets it: exit codes, what is written and when, colour, JSON.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::thread::sleep;

fn preplug(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_preplug"));
    command
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR_FORCE")
        .env_remove("SOURCE_DATE_EPOCH")
        .stdin(Stdio::null());
    command
}

fn run(arguments: &[&str]) -> Output {
    preplug(arguments).output().expect("the program starts")
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn pdfs(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> = fs::read_dir(folder)
        .map(|entries| {
            entries
                .filter_map(|entry| Some(entry.ok()?.path()))
                .filter(|path| path.extension().is_some_and(|e| e == "pdf"))
                .collect()
        })
        .unwrap_or_default();
    found.sort();
    found
}

/// Writes the dossier of `design` into a fresh folder and gives its bytes.
fn dossier(design: &str, environment: &[(&str, &str)]) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().to_str().expect("UTF-8");
    let output = preplug(&["review", design, "--out", out])
        .envs(environment.iter().copied())
        .output()
        .expect("the program starts");
    assert!(code(&output) <= 1, "{}", text(&output.stderr));
    let written = pdfs(folder.path());
    assert_eq!(written.len(), 1, "one dossier");
    fs::read(&written[0]).expect("the dossier")
}

const MOTH_LAMP: &str = "reviews/moth-lamp/design.yaml";
const FOG_FADER: &str = "reviews/fog-fader/design.yaml";
const TIDE_LEVER: &str = "reviews/tide-lever/design.yaml";
const TREADLE: &str = "reviews/borrowed-treadle/design.yaml";

#[test]
fn the_gate_asked_for_decides_the_exit_code() {
    let power = run(&["check", MOTH_LAMP, "--gate", "power"]);
    assert_eq!(code(&power), 0, "{}", text(&power.stdout));
    let plug = run(&["check", MOTH_LAMP, "--gate", "plug"]);
    assert_eq!(code(&plug), 0, "{}", text(&plug.stdout));
    let share = run(&["check", MOTH_LAMP, "--gate", "share"]);
    assert_eq!(code(&share), 1, "no unit was built and measured");
    let treadle = run(&["check", TREADLE, "--gate", "power"]);
    assert_eq!(code(&treadle), 1);
}

#[test]
fn bad_usage_is_two() {
    for arguments in [
        &["check"][..],
        &["no-such-command"],
        &["check", MOTH_LAMP, "--gate", "door"],
        &["review", MOTH_LAMP, "--paper", "foolscap"],
        &["explain", "no-such-check"],
        &["check", "reviews/no-such-box/design.yaml"],
    ] {
        let output = run(arguments);
        assert_eq!(code(&output), 2, "{arguments:?}");
        assert!(!output.stderr.is_empty(), "{arguments:?} says why");
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_three() {
    let output = run(&["review", MOTH_LAMP, "--out", "/dev/null/dossiers"]);
    assert_eq!(code(&output), 3, "{}", text(&output.stderr));
}

/// Five mistakes of five kinds, one to a line.
const FIVE_MISTAKES: &str = "\
preplug: design/1
title: Five mistakes
purpose: To be refused.
parts:
  BT1: {kind: battery, fresh: 9.6 V, flat: 7 V, current: 100 mA, nets: {positive: cell, negative: gnd}}
  R1: {kind: resistor, value: 1 kΩ, powr: 1/4 W, nets: {a: cell, b: out}}
  R2: {kind: resistor, value: 1000, nets: {a: out, b: gnd}}
  U1: {type: 78L055, package: TO-92, pins: {1: rail, 2: gnd, 3: cell}}
  R3: {kind: resistor, value: 10 kΩ, value: 22 kΩ, nets: {a: out, b: gnd}}
  J1: {kind: jack, contacts: TS, nets: {tip: out, sleeve: gnd}}
test-points: {TP1: outt}
";

#[test]
fn five_mistakes_give_five_located_errors_and_nothing_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let design = folder.path().join("design.yaml");
    fs::write(&design, FIVE_MISTAKES).expect("written");
    let output = run(&["review", design.to_str().expect("UTF-8")]);
    assert_eq!(code(&output), 2);
    let told = text(&output.stderr);
    for (line, column, words) in [
        (6, 37, "power"),
        (7, 31, "unit"),
        (8, 14, "78L05"),
        (9, 38, "value"),
        (11, 20, "out"),
    ] {
        let place = format!("design.yaml:{line}:{column}");
        assert!(told.contains(&place), "{place} is named:\n{told}");
        assert!(told.contains(words), "`{words}` is said:\n{told}");
    }
    let errors = told.lines().filter(|l| l.starts_with("error")).count();
    assert_eq!(errors, 5, "{told}");
    let left: Vec<_> = fs::read_dir(folder.path()).expect("there").collect();
    assert_eq!(left.len(), 1, "only the design itself");
}

#[test]
fn killing_it_while_it_writes_leaves_the_former_dossier_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let box_folder = folder.path().join("moth-lamp");
    let instruments = folder.path().join("instruments");
    fs::create_dir_all(&box_folder).expect("made");
    fs::create_dir_all(&instruments).expect("made");
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    fs::copy(
        root.join("reviews/instruments/lamp-dimmer.yaml"),
        instruments.join("lamp-dimmer.yaml"),
    )
    .expect("copied");
    let design = box_folder.join("design.yaml");
    let shipped = fs::read_to_string(root.join(MOTH_LAMP)).expect("shipped");
    let write = |title: &str| {
        fs::write(&design, shipped.replace("title: Moth lamp", title)).expect("written");
    };
    let design_path = design.to_str().expect("UTF-8");
    let out = box_folder.to_str().expect("UTF-8");
    let arguments = ["review", design_path, "--out", out];

    write("title: Moth lamp");
    assert!(code(&run(&arguments)) <= 1);
    let written = pdfs(&box_folder);
    assert_eq!(written.len(), 1);
    let former = fs::read(&written[0]).expect("the former dossier");

    // The same title, so the same file name, and another text inside.
    fs::write(
        &design,
        shipped
            .replace("revision: A", "revision: B")
            .replace("  A: first build", "  B: again"),
    )
    .expect("written");
    let elsewhere = tempfile::tempdir().expect("a folder");
    let aside = elsewhere.path().to_str().expect("UTF-8");
    let started = std::time::Instant::now();
    assert!(code(&run(&["review", design_path, "--out", aside])) <= 1);
    let whole_run = started.elapsed();
    let latter = fs::read(&pdfs(elsewhere.path())[0]).expect("the latter dossier");
    assert_ne!(former, latter);

    // Twenty kills, closest together where the run ends and the file is written.
    let mut killed = 0;
    for step in 0..20_u32 {
        fs::write(&written[0], &former).expect("the former dossier put back");
        let mut child = preplug(&arguments)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program starts");
        sleep(whole_run * (60 + 3 * step) / 100);
        killed += u32::from(child.kill().is_ok());
        child.wait().expect("reaped");
        let now = fs::read(&written[0]).expect("a dossier");
        assert!(
            now == former || now == latter,
            "neither the former nor the latter dossier after kill {step}"
        );
    }
    assert!(killed > 0, "something was killed");
}

#[test]
fn the_same_inputs_give_the_same_bytes() {
    let once = dossier(MOTH_LAMP, &[]);
    assert!(once == dossier(MOTH_LAMP, &[]), "twice the same");
    assert!(
        once == dossier(
            MOTH_LAMP,
            &[("RAYON_NUM_THREADS", "1"), ("TZ", "Asia/Tokyo")]
        ),
        "whatever the threads and the time zone"
    );
}

#[test]
fn colour_is_for_those_who_want_it() {
    let escape = |environment: &[(&str, &str)]| {
        let output = preplug(&["check", MOTH_LAMP])
            .envs(environment.iter().copied())
            .output()
            .expect("the program starts");
        output.stdout.contains(&0x1b) || output.stderr.contains(&0x1b)
    };
    assert!(escape(&[("CLICOLOR_FORCE", "1")]), "forced");
    assert!(!escape(&[]), "not into a pipe");
    assert!(
        !escape(&[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")]),
        "NO_COLOR wins"
    );
}

#[test]
fn json_parses_and_carries_gates_and_outcomes() {
    let output = run(&["check", TREADLE, "--format", "json"]);
    assert_eq!(code(&output), 1);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let all = json.to_string();
    for word in ["gates", "power", "plug", "share", "led-without-resistor"] {
        assert!(all.contains(&format!("\"{word}\"")), "{word}");
    }
    let design = &json["designs"][0];
    let list = |value: &serde_json::Value| value.as_array().expect("a list").clone();
    let findings = list(&design["findings"]);
    // What a plug's short brings about stands under it, what is alike together, and every outcome
    // that fails or is not assessed stands somewhere.
    let shorted = findings
        .iter()
        .find(|f| f["check"] == "plug-shorts-supply" && f["place"]["name"] == "J2")
        .expect("found");
    let brings = list(&shorted["brings"]);
    assert!(brings.iter().any(|f| f["check"] == "regulator-overload"));
    assert!(findings.iter().any(|f| !list(&f["alike"]).is_empty()));
    let grouped = |f: &serde_json::Value| 1 + list(&f["brings"]).len() + list(&f["alike"]).len();
    let told: usize = findings.iter().map(grouped).sum();
    let bad = list(&design["outcomes"])
        .iter()
        .filter(|o| o["outcome"] == "fails" || o["outcome"] == "not-assessed")
        .count();
    assert_eq!(told, bad);
}

/// One line for each situation solved, the same for one thread and for two.
#[test]
fn the_solver_gives_an_account_of_itself() {
    let folder = tempfile::tempdir().expect("a folder");
    let log = |threads: &str| {
        let file = folder.path().join(threads);
        let path = file.to_str().expect("UTF-8");
        let output = preplug(&["check", FOG_FADER, "--format", "json", "--trace", path])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .expect("the program starts");
        assert!(code(&output) <= 1, "{}", text(&output.stderr));
        (output.stdout, fs::read_to_string(&file).expect("the log"))
    };
    let (json, one) = log("1");
    assert_eq!(one, log("2").1);
    let json: serde_json::Value = serde_json::from_slice(&json).expect("JSON");
    let solved = json["designs"][0]["evidence"]["counts"]["solved"].as_u64();
    let healthy = one.split("\n## ").nth(1).expect("the healthy box");
    let lines = healthy.lines().filter(|line| line.contains(" | shooting"));
    let (lines, solved) = (lines.count() as u64, solved.expect("a count"));
    // What is another situation's very circuit is not solved again, and so has no line.
    assert!(lines > solved / 2 && lines <= solved, "{lines} of {solved}");
    let nowhere = folder.path().join("none/log");
    let path = nowhere.to_str().expect("UTF-8");
    assert_eq!(code(&run(&["check", MOTH_LAMP, "--trace", path])), 3);
    // A design that cannot be read leaves a former log as it is.
    let folder = tempfile::tempdir().expect("a folder");
    let (log, design) = (folder.path().join("log"), folder.path().join("design.yaml"));
    fs::write(&log, "former").expect("written");
    fs::write(&design, "preplug: design/1\n").expect("written");
    let output = preplug(&["check"])
        .arg(&design)
        .arg("--trace")
        .arg(&log)
        .output()
        .expect("it starts");
    assert_eq!(code(&output), 2);
    assert_eq!(fs::read_to_string(&log).expect("the log"), "former");
}

/// A figure of the dossier by its name; an unknown one is answered with the names there are.
#[test]
fn figures_of_the_dossier_can_be_drawn() {
    let folder = tempfile::tempdir().expect("a folder");
    let svg = folder.path().join("figure.svg");
    let path = svg.to_str().expect("UTF-8");
    let output = run(&["draw", FOG_FADER, "unit-001-reading", "-o", path]);
    assert_eq!(code(&output), 2);
    assert!(!svg.exists());
    let told = text(&output.stderr);
    assert!(told.contains("did you mean unit-001-readings-1?"), "{told}");
    assert!(told.contains("  schematic\n"), "{told}");
    let output = run(&["draw", FOG_FADER, "unit-001-readings-1", "-o", path]);
    assert_eq!(code(&output), 0, "{}", text(&output.stderr));
    let drawn = fs::read_to_string(&svg).expect("the figure");
    // A row for each reading of the unit's file, each inside its window.
    let unit = fs::read_to_string("reviews/fog-fader/units/001.yaml").expect("the unit");
    let readings = unit.matches("reads:").count();
    assert!(readings > 4);
    assert_eq!(drawn.matches(": pass<").count(), readings, "{drawn}");
}

#[test]
fn drawings_name_every_part() {
    let folder = tempfile::tempdir().expect("a folder");
    let svg = folder.path().join("drawing.svg");
    let path = svg.to_str().expect("UTF-8");
    for (drawing, parts) in [
        ("schematic", &["BR1", "U1", "RV1", "J1"][..]),
        ("pins", &["BR1", "U1", "RV1", "J1"]),
        ("wiring", &["BR1", "U1", "RV1", "J1"]),
    ] {
        let output = run(&["draw", FOG_FADER, drawing, "-o", path]);
        assert_eq!(code(&output), 0, "{}", text(&output.stderr));
        let drawn = fs::read_to_string(&svg).expect("the drawing");
        for part in parts {
            assert!(drawn.contains(&format!(">{part}")), "{drawing}: {part}");
        }
    }
}

/// A page of which less than a fifth is used looks like a mistake; the last one may end anywhere.
#[test]
fn no_page_of_a_dossier_is_nearly_empty() {
    let folder = tempfile::tempdir().expect("a folder");
    for design in [TIDE_LEVER, FOG_FADER, MOTH_LAMP, TREADLE] {
        let pdf = folder.path().join("dossier.pdf");
        fs::write(&pdf, dossier(design, &[])).expect("written");
        let read = Command::new("pdftotext")
            .args(["-bbox".as_ref(), pdf.as_os_str(), "-".as_ref()])
            .output()
            .expect("pdftotext");
        let words = text(&read.stdout);
        let number = |of: &str, line: &str| -> f64 {
            let after = line.split(&format!("{of}=\"")).nth(1).expect("its place");
            let digits = after.split('"').next().expect("a number");
            digits.parse().expect("a number")
        };
        let pages: Vec<&str> = words.split("<page ").skip(1).collect();
        assert!(pages.len() > 20, "{design}");
        for (at, page) in pages[..pages.len() - 1].iter().enumerate() {
            let height = number("height", page);
            let lowest = page
                .lines()
                .filter(|line| line.contains("<word "))
                .map(|line| number("yMax", line) / height)
                // Without the foot.
                .filter(|low| *low < 0.92)
                .fold(0.0, f64::max);
            let used = (lowest - 0.08) / 0.84;
            assert!(used > 0.2, "{design}, page {}: {used:.2}", at + 1);
        }
    }
}

#[test]
fn every_figure_that_a_dossier_can_have_is_offered() {
    let folder = tempfile::tempdir().expect("a folder");
    let svg = folder.path().join("figure.svg");
    let output = run(&[
        "draw",
        TIDE_LEVER,
        "schemtic",
        "-o",
        svg.to_str().expect("UTF-8"),
    ]);
    assert_eq!(code(&output), 2);
    let told = text(&output.stderr);
    assert!(told.contains("did you mean schematic?"), "{told}");
    for figure in [
        "headroom",
        "junctions",
        "safe-area-U1",
        "switch-on-J1-0",
        "switch-off-J1-0",
        "faults-J1-0",
        "tolerances-figure",
    ] {
        assert!(told.contains(&format!("  {figure} ")), "{figure}: {told}");
    }
}

#[test]
fn a_place_that_cannot_be_written_is_told_with_what_to_do() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).to_str().expect("UTF-8").to_owned();
    fs::write(at("file"), "x").expect("a file");
    let told = |out: &str| {
        let output = run(&["draw", FOG_FADER, "schematic", "-o", out]);
        assert_eq!(code(&output), 3, "{out}");
        let told = text(&output.stderr);
        assert!(
            !told.contains("os error") && !told.contains(".preplug-"),
            "{told}"
        );
        told
    };
    assert!(told(&at("none/a.svg")).contains("make it first"));
    assert!(told(&at("")).contains("it is a folder; name a file in it"));
    assert!(told(&at("file/a.svg")).contains("is a file, not a folder"));
    // A folder cannot be made where a file stands.
    let output = run(&["review", FOG_FADER, "--out", &at("file/deeper")]);
    assert_eq!(code(&output), 3);
    let told = text(&output.stderr);
    assert!(
        told.contains("name another") && !told.contains("os error"),
        "{told}"
    );
    assert_eq!(fs::read(at("file")).expect("still there"), b"x");
}

#[test]
fn every_check_explains_itself() {
    for check in preplug::checks::REGISTRY {
        let output = run(&["explain", check.id]);
        assert_eq!(code(&output), 0, "{}", check.id);
        // Long citations are broken over lines.
        let told = text(&output.stdout);
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(check.id), "{}", check.id);
        assert!(told.contains(check.sources[0].citation), "{}", check.id);
    }
}

#[test]
fn a_dossier_gives_back_the_files_it_was_made_from() {
    let folder = tempfile::tempdir().expect("a folder");
    let pdf = folder.path().join("dossier.pdf");
    fs::write(&pdf, dossier(MOTH_LAMP, &[])).expect("written");
    let pdf = pdf.to_str().expect("UTF-8");
    let out = folder.path().join("out");
    let unpack = || run(&["unpack", pdf, "--out", out.to_str().expect("UTF-8")]);
    let first = unpack();
    assert_eq!(code(&first), 0, "{}", text(&first.stderr));
    let design = out.join("moth-lamp/design.yaml");
    assert_eq!(
        fs::read(&design).expect("unpacked"),
        fs::read(MOTH_LAMP).expect("the design")
    );
    let list = fs::read_to_string(out.join("parts.csv")).expect("the parts list");
    assert!(list.starts_with("Quantity,What it is,"), "{list}");
    // Made from what was unpacked, the dossier is the same to the byte.
    let again = dossier(design.to_str().expect("UTF-8"), &[]);
    assert!(again == fs::read(pdf).expect("the dossier"));
    // What is there is never written over.
    fs::write(&design, "mine").expect("written");
    let second = unpack();
    assert_eq!(code(&second), 2);
    assert!(text(&second.stderr).contains("is there already"));
    assert_eq!(fs::read_to_string(&design).expect("kept"), "mine");
}

#[test]
fn the_epoch_dates_a_dossier_whose_design_has_no_date() {
    let folder = tempfile::tempdir().expect("a folder");
    let made = fs::read_to_string(MOTH_LAMP).expect("the design");
    let undated: String = made
        .lines()
        .filter(|line| !line.starts_with("date:"))
        .map(|line| line.to_owned() + "\n")
        .collect();
    fs::create_dir(folder.path().join("box")).expect("a folder");
    let design = folder.path().join("box/design.yaml");
    fs::write(&design, undated).expect("written");
    let beside = folder.path().join("instruments");
    fs::create_dir(&beside).expect("a folder");
    for file in fs::read_dir("reviews/instruments").expect("instruments") {
        let file = file.expect("a file");
        fs::copy(file.path(), beside.join(file.file_name())).expect("copied");
    }
    // 1 September 2001, by GNU date.
    let epoch = [("SOURCE_DATE_EPOCH", "999302400")];
    let bytes = dossier(design.to_str().expect("UTF-8"), &epoch);
    let pdf = lopdf::Document::load_mem(&bytes).expect("a PDF");
    let info = pdf
        .trailer
        .get(b"Info")
        .and_then(lopdf::Object::as_reference);
    let info = pdf.get_dictionary(info.expect("info")).expect("info");
    assert_eq!(
        info.get(b"CreationDate")
            .and_then(|date| date.as_str())
            .expect("a date"),
        b"D:20010901000000Z"
    );
}

#[test]
fn own_templates_stand_in_and_their_mistakes_are_located() {
    let folder = tempfile::tempdir().expect("a folder");
    let own = folder.path().join("purpose.md");
    let out = folder.path().to_str().expect("UTF-8");
    let review = || run(&["review", MOTH_LAMP, "--out", out, "--templates", out]);
    fs::write(&own, "# Wozu {#purpose}\n\n:::table requirements\n").expect("written");
    assert_eq!(code(&review()), 1);
    fs::write(&own, "# Wozu\n\n:::table requirments\n{{ zweck }}\n").expect("written");
    let refused = review();
    assert_eq!(code(&refused), 2);
    let said = text(&refused.stderr);
    assert!(
        said.contains("purpose.md:4") && said.contains("zweck"),
        "{said}"
    );
}

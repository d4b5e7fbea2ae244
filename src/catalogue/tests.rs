use super::*;
use crate::quantity::Spread;

#[test]
fn all_data_files_load() {
    assert_eq!(load().map(|_| ()), Ok(()));
}

#[test]
fn types_of_the_list_resolve() {
    let mut wanted: Vec<String> = Vec::new();
    for code in ["05", "06", "08", "09", "10", "12", "15"] {
        for family in ["78L", "79L", "78", "79"] {
            wanted.push(format!("{family}{code}"));
        }
    }
    wanted.extend((1..=7).map(|n| format!("1N400{n}")));
    wanted.extend(
        [
            "LM317",
            "LM317L",
            "LM337",
            "LM337L",
            "LM2931",
            "TL431",
            "1N4148",
            "1N5817",
            "1N5818",
            "1N5819",
            "W04",
            "DB104",
            "LM358",
            "TL072",
            "LED-red",
            "LED-green",
        ]
        .map(String::from),
    );
    for name in wanted {
        let entry = find(&name);
        assert_eq!(entry.map(|e| e.name.as_str()), Some(name.as_str()));
    }
}

#[test]
fn names_on_real_parts_are_read() {
    for (written, name, grade) in [
        ("uA7805", "7805", None),
        ("µA7805", "7805", None),
        ("LM7812CT", "7812", Some("C")),
        ("L7805ABV", "7805", Some("A")),
        ("1n4004g", "1N4004", None),
        ("MC78L05ACP", "78L05", Some("A")),
        ("78L05A", "78L05", Some("A")),
        ("LM317LZ", "LM317L", None),
        ("LM317T", "LM317", None),
        ("LM2931AZ-5.0", "LM2931", Some("A")),
        ("TL072CP", "TL072", None),
        ("led red", "LED-red", None),
        ("BZX79C5V1", "BZX79-C5V1", None),
        ("BC547B", "BC547", Some("B")),
        ("2n3904TA", "2N3904", None),
    ] {
        let found = look_up(written).map(|f| (f.entry.name.as_str(), f.grade));
        assert_eq!(found, Some((name, grade.map(String::from))), "{written}");
    }
    for unknown in ["1N40011", "78M05", "LM3170", "7804", "XX7805", ""] {
        assert!(look_up(unknown).is_none(), "{unknown}");
    }
}

#[test]
fn a_reading_of_the_name_is_reported() {
    let found = look_up("LM7812CT").unwrap();
    assert_eq!(
        found.reading().as_deref(),
        Some("read as 7812: 'LM' is a maker's prefix, 'CT' gives grade C")
    );
    assert_eq!(look_up("7812").unwrap().reading(), None);
}

/// Every figure has a source and low ≤ nominal ≤ high (units are checked while reading).
#[test]
fn every_figure_is_ordered_and_cited() {
    for entry in types() {
        let grades = entry.grades.values();
        let packages = entry.packages.values().map(|p| &p.figures);
        for (property, figure) in std::iter::once(&entry.figures)
            .chain(grades)
            .chain(packages)
            .flatten()
        {
            let Spread { low, nominal, high } = figure.spread;
            assert!(
                low <= nominal && nominal <= high,
                "{} {property:?}",
                entry.name
            );
            let Pedigree::Published(source, _) = &figure.pedigree else {
                panic!("{} {property:?} is not from a document", entry.name);
            };
            assert!(!source.is_empty(), "{} {property:?}", entry.name);
        }
        assert!(!entry.packages.is_empty(), "{} has no package", entry.name);
    }
}

/// A grade never widens what the plain type has.
#[test]
fn grades_narrow() {
    for entry in types() {
        for (grade, figures) in &entry.grades {
            for (property, figure) in figures {
                let plain = entry.figures[property].spread;
                assert!(
                    figure.spread.low >= plain.low && figure.spread.high <= plain.high,
                    "{} {grade} {property:?}",
                    entry.name
                );
            }
        }
    }
}

fn order(name: &str, package: &str) -> Vec<&'static str> {
    let entry = find(name).unwrap();
    let (_, package) = entry.package(package).unwrap();
    package.pins.values().map(String::as_str).collect()
}

/// Pin orders from the face with the print, leads down, left to right: ST L78L ("pin 1 = VOUT,
/// 2 = GND, 3 = VIN"), TI UA78L, onsemi MC7800, MC79L, TS7900 (confirmed); LM317 and LM337 in
/// TO-220 from onsemi (confirmed); LM2931 from IL2931 (confirmed).
#[test]
fn pin_orders_follow_the_makers() {
    assert_eq!(order("78L06", "TO-92"), ["out", "ground", "in"]);
    assert_eq!(order("7806", "TO220"), ["in", "ground", "out"]);
    assert_eq!(order("79L06", "to-92"), ["ground", "in", "out"]);
    assert_eq!(order("7906", "TO-220"), ["ground", "in", "out"]);
    assert_eq!(order("LM317", "TO-220"), ["adjust", "out", "in"]);
    assert_eq!(order("LM337", "TO-220"), ["adjust", "in", "out"]);
    assert_eq!(order("LM2931", "TO-92"), ["out", "ground", "in"]);
    assert_eq!(order("LM2931", "TO-220"), ["in", "ground", "out"]);
    let tab = |name: &str| find(name).unwrap().packages["TO-220"].tab.as_deref();
    assert_eq!(tab("7805"), Some("ground"));
    assert_eq!(tab("7905"), Some("in"));
    assert_eq!(tab("LM317"), Some("out"));
    assert_eq!(tab("LM337"), Some("in"));
}

/// 78L05A 4.75–5.25 V, 78L09A 8.55–9.45 V over line, load and temperature (TI LM78L SNVS754J,
/// confirmed); 78L06A 5.70–6.30 V (computed); C grade ± 10 % (ST L78L revision 11, confirmed).
#[test]
fn fixed_outputs_by_grade() {
    let output = |name: &str, grade: Option<&str>| {
        find(name)
            .unwrap()
            .figure(Property::Output, None, grade)
            .unwrap()
            .spread
    };
    for (name, grade, low, high) in [
        ("78L05", Some("A"), 4.75, 5.25),
        ("78L09", Some("A"), 8.55, 9.45),
        ("78L06", Some("A"), 5.70, 6.30),
        ("78L05", None, 4.5, 5.5),
        ("7806", None, 5.70, 6.30),
        ("79L05", Some("A"), 4.75, 5.25),
    ] {
        let spread = output(name, grade);
        assert!((spread.low - low).abs() < 1e-9, "{name} {spread:?}");
        assert!((spread.high - high).abs() < 1e-9, "{name} {spread:?}");
    }
}

/// Each fit meets its points within the misfit that goes with it (given to the
/// millivolt), and the three characteristics never cross in their order at the test current.
#[test]
fn fits_meet_their_points() {
    let mut seen = 0;
    for entry in types() {
        let Some(fits) = &entry.fits else { continue };
        for drop in [Drop::Low, Drop::Typical, Drop::High] {
            let fit = fits.at(drop);
            for point in &fit.points {
                let miss = (fit.voltage(point.current) - point.voltage).abs();
                assert!(
                    miss <= fit.misfit + 1e-3,
                    "{} {drop:?} {point:?}: {miss}",
                    entry.name
                );
                seen += 1;
            }
        }
        let (Some(current), Some(forward)) = (
            entry.figures.get(&Property::TestCurrent),
            entry.figures.get(&Property::ForwardVoltage),
        ) else {
            assert!(
                matches!(entry.kind, Kind::Zener | Kind::Mosfet),
                "{}",
                entry.name
            );
            continue;
        };
        let at = current.spread.nominal;
        assert!(
            fits.low.voltage(at) <= fits.typical.voltage(at),
            "{}",
            entry.name
        );
        assert!(
            fits.typical.voltage(at) <= fits.high.voltage(at),
            "{}",
            entry.name
        );
        let nominal = forward.spread.nominal;
        let typical = fits.typical.voltage(at);
        assert!((typical - nominal).abs() < 0.02, "{} {typical}", entry.name);
    }
    assert!(seen > 200);
}

#[test]
fn leds_by_colour() {
    assert_eq!(led("Yellow").map(|e| e.name.as_str()), Some("LED-yellow"));
    assert!(led("mauve").is_none());
}

#[test]
fn defaults_say_why() {
    let resistor = defaults(Kind::Resistor);
    assert!((resistor.tolerances[&Property::Value].plus - 0.05).abs() < 1e-12);
    let electrolytic = &defaults(Kind::Electrolytic).tolerances[&Property::Value];
    assert!((electrolytic.minus - 0.2).abs() < 1e-12 && !electrolytic.reason.is_empty());
    for kind in Kind::ALL {
        for (property, figure) in &defaults(*kind).figures {
            let Pedigree::Assumed(reason) = &figure.pedigree else {
                panic!("{kind:?} {property:?}");
            };
            assert!(reason.contains("; "), "{reason}");
        }
    }
    assert!(defaults(Kind::Load).figures.is_empty());
}

/// What decides over safety is never assumed.
#[test]
fn no_default_for_capacitor_and_contact_ratings() {
    for kind in [
        Kind::Electrolytic,
        Kind::Tantalum,
        Kind::Ceramic,
        Kind::Film,
    ] {
        assert!(!defaults(kind).figures.contains_key(&Property::Rating));
    }
    for kind in [Kind::Switch, Kind::Jack, Kind::Fuse, Kind::Diode] {
        assert!(!defaults(kind).figures.contains_key(&Property::Current));
    }
    assert!(
        !defaults(Kind::Diode)
            .figures
            .contains_key(&Property::ReverseVoltage)
    );
}

/// 1000 µF 35 V: 0.159 Ω at 120 Hz from tan δ 0.12, 350 µA leakage (Lelon RGA, confirmed;
/// computed); ripple rating 0.65–1.0 A, usual ESR 0.05–0.10 Ω (from memory).
#[test]
fn electrolytic_rule() {
    let figures = electrolytic(1000e-6, 35.0);
    let spread = |property| figures[&property].spread;
    assert!((spread(Property::Esr).high - 0.159).abs() < 5e-4);
    assert!((0.05..0.10).contains(&spread(Property::Esr).nominal));
    assert!((spread(Property::LeakageCurrent).high - 350e-6).abs() < 1e-9);
    assert!((spread(Property::RippleCurrent).nominal - 0.65).abs() < 1e-9);
    assert!(
        (electrolytic(1e-6, 50.0)[&Property::LeakageCurrent]
            .spread
            .high
            - 3e-6)
            .abs()
            < 1e-12
    );
    // tan δ grows by 0.02 for each 1000 µF beyond 1000 µF: 0.12 + 0.02 · 2 at 2200 µF.
    let larger = electrolytic(2200e-6, 35.0)[&Property::Esr].spread.high;
    assert!((larger - 0.16 / (2.0 * std::f64::consts::PI * 120.0 * 2200e-6)).abs() < 1e-9);
}

#[test]
fn unknown_names_have_neighbours() {
    assert!(nearest("1N4733").contains(&"1N4733A"));
    assert!(nearest("78L07").contains(&"78L06"));
    assert!(nearest("potato peeler").is_empty());
}

#[test]
fn every_junction_has_a_characteristic() {
    let at = |kind, name, colour: Option<&str>| {
        fits_for(kind, name, colour).map(|fits| fits.typical.voltage(0.01))
    };
    let diode = at(Kind::Diode, None, None).unwrap();
    assert!((diode - 0.645).abs() < 0.01);
    assert_eq!(at(Kind::Bridge, Some("DB104"), None), Some(diode));
    assert!(at(Kind::Led, None, Some("blue")) > at(Kind::Led, None, None));
    assert!(at(Kind::Diode, Some("1N5819"), None) < Some(0.3));
    assert_eq!(at(Kind::Resistor, None, None), None);
    // The parameters stand in the fits alone: a figure of the same name is the design's own.
    for entry in types().iter().filter(|entry| entry.fits.is_some()) {
        assert!(!entry.figures.contains_key(&Property::SaturationCurrent));
    }
}

//! What is read, what is refused and what is printed.

use super::*;

fn reads(text: &str, unit: Unit) -> (f64, f64, f64) {
    match parse_spread(text, unit) {
        Ok(Parsed { spread, .. }) => (spread.low, spread.nominal, spread.high),
        Err(error) => panic!("`{text}`: {error}"),
    }
}

fn close(a: (f64, f64, f64), b: (f64, f64, f64)) -> bool {
    let near = |x: f64, y: f64| (x - y).abs() <= 1e-12 * y.abs().max(1e-15);
    near(a.0, b.0) && near(a.1, b.1) && near(a.2, b.2)
}

/// Letter code after IEC 60062 clause 4 (values; from memory) and the trade's spellings.
#[test]
fn values_are_exact_however_they_are_written() {
    use Unit::*;
    for (text, unit, value) in [
        ("12 V", Volt, 12.0),
        ("12V", Volt, 12.0),
        ("-0.35 V", Volt, -0.35),
        ("−350 mV", Volt, -0.35),
        ("3V3", Volt, 3.3),
        ("5V1", Volt, 5.1),
        ("4k7", Ohm, 4700.0),
        ("4K7", Ohm, 4700.0),
        ("4.7 kΩ", Ohm, 4700.0),
        ("4.7k", Ohm, 4700.0),
        ("4.7 kohm", Ohm, 4700.0),
        ("4.7 k\u{2126}", Ohm, 4700.0),
        ("4k7 Ω", Ohm, 4700.0),
        ("330R", Ohm, 330.0),
        ("330 R", Ohm, 330.0),
        ("330 ohm", Ohm, 330.0),
        ("R47", Ohm, 0.47),
        ("0R47", Ohm, 0.47),
        ("4R7", Ohm, 4.7),
        ("1M0", Ohm, 1e6),
        ("10 MΩ", Ohm, 1e7),
        ("10 mΩ", Ohm, 0.01),
        ("2k2", Ohm, 2200.0),
        ("6n8", Farad, 6.8e-9),
        ("4n7", Farad, 4.7e-9),
        ("100n", Farad, 1e-7),
        ("n47", Farad, 0.47e-9),
        ("1000 µF", Farad, 1e-3),
        ("1000 μF", Farad, 1e-3),
        ("1000uF", Farad, 1e-3),
        ("1\u{202f}000\u{a0}µF", Farad, 1e-3),
        ("470 pF", Farad, 470e-12),
        ("1/4 W", Watt, 0.25),
        ("1/2W", Watt, 0.5),
        ("500 mA", Ampere, 0.5),
        ("7.7e-9 A", Ampere, 7.7e-9),
        ("14 fA", Ampere, 14e-15),
        ("6 VA", VoltAmpere, 6.0),
        ("50 Hz", Hertz, 50.0),
        ("20 K/W", KelvinPerWatt, 20.0),
        ("20 °C/W", KelvinPerWatt, 20.0),
        ("-2 mV/K", VoltPerKelvin, -0.002),
        ("85 °C", Celsius, 85.0),
        ("2000 h", Hour, 2000.0),
        ("5 A²s", AmpereSquaredSecond, 5.0),
        ("5 A2s", AmpereSquaredSecond, 5.0),
        ("60 dB", Decibel, 60.0),
        ("5 %", Ratio, 0.05),
        ("100000", Ratio, 1e5),
        ("100 V/mV", Ratio, 1e5),
        ("10 mA/V", Siemens, 0.01),
        ("2.5 mm", Metre, 0.0025),
        ("10 cm", Metre, 0.1),
    ] {
        assert_eq!(parse_value(text, unit), Ok(value), "{text}");
    }
}

#[test]
fn tolerances_and_ranges() {
    use Unit::*;
    for (text, unit, expected) in [
        ("4.7 kΩ ± 5 %", Ohm, (4465.0, 4700.0, 4935.0)),
        ("4k7 ±5%", Ohm, (4465.0, 4700.0, 4935.0)),
        ("4k7J", Ohm, (4465.0, 4700.0, 4935.0)),
        ("4k7 +/- 5 %", Ohm, (4465.0, 4700.0, 4935.0)),
        ("4k7 +-5 %", Ohm, (4465.0, 4700.0, 4935.0)),
        ("1000 µF -20/+50 %", Farad, (0.8e-3, 1e-3, 1.5e-3)),
        ("1000 µF +50/-20 %", Farad, (0.8e-3, 1e-3, 1.5e-3)),
        ("1000 µF -20 %/+50 %", Farad, (0.8e-3, 1e-3, 1.5e-3)),
        ("1000 µF −20 % / +50 %", Farad, (0.8e-3, 1e-3, 1.5e-3)),
        ("1.7 V -0.5/+0.8 V", Volt, (1.2, 1.7, 2.5)),
        ("100 Ω -0/+10 %", Ohm, (100.0, 100.0, 110.0)),
        ("100 Ω -10/+0 %", Ohm, (90.0, 100.0, 100.0)),
        ("230 V ± 10 %", Volt, (207.0, 230.0, 253.0)),
        ("12 V ± 2 V", Volt, (10.0, 12.0, 14.0)),
        ("12 V ± 200 mV", Volt, (11.8, 12.0, 12.2)),
        ("25 °C ± 5 K", Celsius, (20.0, 25.0, 30.0)),
        ("25 °C ± 5 °C", Celsius, (20.0, 25.0, 30.0)),
        ("-6 V ± 5 %", Volt, (-6.3, -6.0, -5.7)),
        ("-5..5 V", Volt, (-5.0, 0.0, 5.0)),
        ("−5 .. 5 V", Volt, (-5.0, 0.0, 5.0)),
        ("-500 mV..5 V", Volt, (-0.5, 2.25, 5.0)),
        ("-500..500 mV", Volt, (-0.5, 0.0, 0.5)),
        ("5..35 °C", Celsius, (5.0, 20.0, 35.0)),
        ("1k..100k", Ohm, (1000.0, 50500.0, 100_000.0)),
        ("0.9..1.1", Ratio, (0.9, 1.0, 1.1)),
        ("100 ± 20 %", Ratio, (80.0, 100.0, 120.0)),
    ] {
        let found = reads(text, unit);
        assert!(close(found, expected), "{text}: {found:?}");
        assert!(parse_spread(text, unit).unwrap().has_tolerance, "{text}");
    }
    assert!(close(reads("25 °C ± 5 K", Celsius), (20.0, 25.0, 30.0)));
    assert!(parse_range("25 °C ± 5 K", Celsius).is_ok());
    assert!(parse_range("25 °C", Celsius).is_err());
    assert!(!parse_spread("4k7", Ohm).unwrap().has_tolerance);
    assert_eq!(parse_size("120 x 100 x 50 mm"), Ok([0.12, 0.1, 0.05]));
    assert_eq!(parse_size("12cm×100mm×50mm"), Ok([0.12, 0.1, 0.05]));
}

#[test]
fn what_is_refused_says_where_and_why() {
    use Unit::*;
    for (text, unit, piece, reason) in [
        ("12", Volt, "12", "no unit"),
        ("12 A", Volt, "A", "is a current"),
        ("4,7 kΩ", Ohm, ",", "comma"),
        ("10 MF", Farad, "10 MF", "mega"),
        ("10m", Ohm, "m", "prefix without a unit"),
        ("12 v", Volt, "v", "capitals matter"),
        ("5 KHz", Hertz, "KHz", "capitals matter"),
        ("4k7", Volt, "4k7", "letter"),
        ("4E7", Ohm, "4E7", "letter"),
        ("1 000 µF", Farad, "1 000", "space inside"),
        ("4.7.1 V", Volt, "4.7.", "two decimal points"),
        ("12 V ± 5", Volt, "5", "no unit"),
        ("12 V 5 %", Volt, "5 %", "not understood"),
        ("12 V +5 %", Volt, "+5 %", "one side"),
        ("12 V +5/+10 %", Volt, "+5/+10 %", "opposite signs"),
        ("12 V ± 120 %", Volt, "120 %", "100 %"),
        ("5..-5 V", Volt, "5..-5", "downwards"),
        ("5–35 °C", Celsius, "–35 °C", "not understood"),
        ("35 C", Celsius, "C", "not a temperature"),
        ("35", Celsius, "35", "no unit"),
        ("± 5 %", Volt, "± 5 %", "without a value"),
        ("V", Volt, "V", "does not begin"),
        ("~12 V", Volt, "~12 V", "does not begin"),
        ("1/0 W", Watt, "1/0", "over zero"),
        ("4.7k7", Ohm, "4.7k7", "has both"),
        ("4k7 kΩ", Ohm, "4k7 kΩ", "after the letter code"),
        ("12 bananas", Volt, "bananas", "is not a unit"),
        ("12 VAC", Volt, "VAC", "a unit with a remark"),
        ("12 mVrms", Volt, "mVrms", "a unit with a remark"),
        ("12 V rms", Volt, "rms", "not understood"),
        ("", Volt, "", "nothing"),
    ] {
        let error = parse_spread(text, unit).expect_err(text);
        assert!(error.reason.contains(reason), "{text}: {error}");
        assert_eq!(&text[error.range.clone()], piece, "{text}: {error}");
    }
}

#[test]
fn printed_forms() {
    use Unit::*;
    for (value, unit, figures, expected) in [
        (4700.0, Ohm, 3, "4.70 kΩ"),
        (-0.35, Volt, 2, "−0.35 V"),
        (0.0354, Volt, 3, "35.4 mV"),
        (999.96, Ohm, 3, "1.00 kΩ"),
        (0.001, Farad, 4, "1000 µF"),
        (1e-7, Farad, 3, "100 nF"),
        (0.5, Ampere, 3, "500 mA"),
        (85.04, Celsius, 3, "85.0 °C"),
        (0.0, Volt, 3, "0 V"),
        (-1e-15, Volt, 3, "0 V"),
        (123_456.0, Ratio, 3, "123000"),
        (0.25, Watt, 2, "0.25 W"),
        (-12.3, Decibel, 3, "−12.3 dB"),
        (f64::NAN, Volt, 3, "—"),
    ] {
        assert_eq!(format_to(value, unit, figures), expected);
    }
    assert_eq!(format_short(4700.0, Ohm), "4.7 kΩ");
    assert_eq!(format_short(12.0, Volt), "12 V");
    assert_eq!(format_short(0.001, Farad), "1000 µF");
    assert_eq!(format_percent(0.05, 1), "5 %");
    assert_eq!(format_range(-5.0, 5.0, Volt, 3), "−5.00..5.00 V");
    for text in ["4.7 kΩ ± 5 %", "100 Ω −10/+0 %"] {
        let spread = parse_spread(text, Ohm).unwrap().spread;
        assert_eq!(format_spread(&spread, Ohm), text);
    }
    let spread = parse_spread("5..35 °C", Celsius).unwrap().spread;
    assert_eq!(format_spread(&spread, Celsius), "5..35 °C");
    // An uneven spread that nobody gave in per cent stands as its ends.
    let uneven = Spread {
        low: 8.0,
        nominal: 11.0,
        high: 20.0,
    };
    assert_eq!(format_spread(&uneven, Volt), "8..20 V");
}

/// A small generator is enough here: the seed is fixed, the walk is over magnitudes and figures.
fn walk(mut seed: u64) -> impl Iterator<Item = f64> {
    std::iter::from_fn(move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        #[allow(clippy::cast_precision_loss)]
        Some((seed >> 11) as f64 / (1u64 << 53) as f64)
    })
}

/// Whatever is printed is read back within half a unit of the last figure printed.
#[test]
fn what_is_printed_is_read_back() {
    let mut random = walk(7);
    let mut next = || random.next().unwrap();
    for unit in Unit::ALL {
        for _ in 0..300 {
            let magnitude = match unit {
                Unit::Farad => -11.0 + 9.0 * next(),
                Unit::Celsius | Unit::Kelvin | Unit::Ratio => -1.0 + 3.0 * next(),
                _ => -5.0 + 8.0 * next(),
            };
            let value = libm::pow(10.0, magnitude) * if next() < 0.5 { -1.0 } else { 1.0 };
            for figures in 2..6_i32 {
                let text = format_to(value, *unit, usize::try_from(figures).unwrap());
                let Ok(back) = parse_value(&text, *unit) else {
                    panic!("{text}: {:?}", parse_value(&text, *unit));
                };
                let allowed = 0.51 * libm::pow(10.0, f64::from(1 - figures)) * value.abs();
                let floor = if text.starts_with('0') { 1e-3 } else { 0.0 };
                assert!(
                    (back - value).abs() <= allowed.max(floor),
                    "{value} → {text} → {back}"
                );
            }
            let spread = Spread::relative(value, 0.01 * (1.0 + 20.0 * next()));
            let text = format_spread(&spread, *unit);
            let back = parse_spread(&text, *unit).unwrap_or_else(|e| panic!("{text}: {e}"));
            assert!(
                (back.spread.low - spread.low).abs() <= 2e-3 * value.abs(),
                "{text}"
            );
            assert!(
                (back.spread.high - spread.high).abs() <= 2e-3 * value.abs(),
                "{text}"
            );
        }
    }
}

/// No text, however broken, stops the reader.
#[test]
fn broken_text_is_refused_quietly() {
    let alphabet: Vec<char> = "0123456789.+-−±/%kMmµuΩRVAF°C e,xX…²\u{202f}"
        .chars()
        .collect();
    let mut random = walk(99);
    for _ in 0..20_000 {
        let mut next = |bound: usize| {
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                clippy::cast_precision_loss
            )]
            let index = (random.next().unwrap() * bound as f64) as usize;
            index
        };
        let length = next(9);
        let text: String = (0..length)
            .map(|_| alphabet[next(alphabet.len())])
            .collect();
        for unit in [
            Unit::Volt,
            Unit::Ohm,
            Unit::Farad,
            Unit::Celsius,
            Unit::Ratio,
        ] {
            match parse_spread(&text, unit) {
                Ok(Parsed { spread, .. }) => {
                    assert!(
                        spread.low <= spread.nominal && spread.nominal <= spread.high,
                        "{text}"
                    );
                    assert!(spread.low.is_finite() && spread.high.is_finite(), "{text}");
                }
                Err(error) => assert!(text.get(error.range.clone()).is_some(), "{text}: {error:?}"),
            }
        }
        let _ = parse_size(&text);
    }
}

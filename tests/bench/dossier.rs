//! Time to compose and write a dossier once everything is computed: the shipped designs, without
//! their units. `cargo bench --bench dossier` prints pages, size and the time of each part, the least of
//! ten, in milliseconds; one thread.

use preplug::bringup::Meter;
use preplug::dossier::font::Fonts;
use preplug::dossier::layout::{Paper, lay_out};
use preplug::dossier::template::Templates;
use preplug::dossier::view::Material;
use preplug::dossier::{document, pdf};
use preplug::evidence::safe_area::safe_areas;
use preplug::{Companions, assess};
use std::time::Instant;

const RUNS: usize = 10;

/// The least time of some runs, and what they give.
fn least<T>(mut work: impl FnMut() -> T) -> (f64, T) {
    let mut run = || {
        let start = Instant::now();
        let given = work();
        (start.elapsed().as_secs_f64() * 1e3, given)
    };
    let (mut best, mut given) = run();
    for _ in 1..RUNS {
        let (time, next) = run();
        best = best.min(time);
        given = next;
    }
    (best, given)
}

fn main() {
    let load = |path: &str| std::fs::read(path).map_err(|error| error.to_string());
    for name in ["moth-lamp", "fog-fader", "tide-lever", "borrowed-treadle"] {
        let path = format!("reviews/{name}/design.yaml");
        let review = format!("reviews/{name}/review.yaml");
        let companions = Companions {
            review: std::path::Path::new(&review).is_file().then_some(review),
            units: Vec::new(),
            today: "2026-09-02".to_owned(),
        };
        let Ok(assessed) = assess(&path, &companions, &load) else {
            println!("{path}: refused");
            continue;
        };
        let areas = safe_areas(&assessed.design);
        let material = Material {
            design: &assessed.design,
            safe_areas: &areas,
            sources: &assessed.sources,
            evidence: &assessed.evidence,
            review: &assessed.review,
            file: assessed.file.as_ref(),
            units: &[],
            unit_gates: &[],
            learnt: &[],
            across: &[],
            since: None,
            photos: &[],
            fingerprint: &assessed.fingerprint,
            meter: &Meter::default(),
            date: "2026-09-02",
        };
        let (fonts_take, fonts) = least(Fonts::new);
        let templates = Templates::shipped();
        let (made, document) = least(|| document(&material, &templates, &fonts));
        let Ok(document) = document else {
            println!("{path}: its templates are refused");
            continue;
        };
        let (laid_out, laid) = least(|| lay_out(&document, Paper::A4, &fonts));
        let (written, bytes) =
            least(|| pdf::write(&laid, &document.info, &document.attachments, &fonts));
        let size = bytes.map_or(0, |bytes| bytes.len()) / 1000;
        println!(
            "{name}: {} pages, {size} kB; fonts {fonts_take:.0} ms, figures and blocks {made:.0} ms, \
             pages {laid_out:.0} ms, PDF {written:.0} ms; together {:.0} ms",
            laid.pages.len(),
            fonts_take + made + laid_out + written,
        );
    }
}

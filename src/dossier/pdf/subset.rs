//! Fonts cut down to the glyphs a document uses.

use std::collections::{BTreeMap, BTreeSet};

use subsetter::GlyphRemapper;

use super::Error;
use crate::dossier::font::{Face, Fonts};
use crate::dossier::layout::{Page, Placed};

/// The faces a document uses, cut down, with the new numbers of their glyphs.
pub(super) struct Subsets {
    faces: BTreeMap<Face, Subset>,
}

/// One face, cut down.
pub(super) struct Subset {
    /// The font file.
    pub bytes: Vec<u8>,
    /// Its PostScript name with the tag of the subset.
    pub name: String,
    /// Widths of the new glyphs [font units].
    pub widths: BTreeMap<u16, u16>,
    pub units_per_em: u16,
    pub ascent: i16,
    pub descent: i16,
    /// Left, bottom, right, top of all glyphs [font units].
    pub bounds: [i16; 4],
    pub italic: bool,
    pub weight: u16,
    /// Old number → new number and width [1/1000 em], as the file will state it.
    glyphs: BTreeMap<u16, (u16, f64)>,
}

impl Subsets {
    /// Cuts down every face that the pages use.
    pub fn of(pages: &[Page], fonts: &Fonts) -> Result<Self, Error> {
        let mut used: BTreeMap<Face, BTreeSet<u16>> = BTreeMap::new();
        for item in pages.iter().flat_map(|page| &page.items) {
            if let Placed::Glyphs(run) = item {
                for glyph in &run.glyphs {
                    used.entry(glyph.face).or_default().insert(glyph.id);
                }
            }
        }
        let faces = used
            .into_iter()
            .map(|(face, ids)| Ok((face, cut(face, &ids, fonts)?)))
            .collect::<Result<_, Error>>()?;
        Ok(Self { faces })
    }

    /// The faces, cut down.
    pub fn faces(&self) -> impl Iterator<Item = (Face, &Subset)> {
        self.faces.iter().map(|(face, subset)| (*face, subset))
    }

    /// New number and width [1/1000 em] of a glyph.
    pub fn glyph(&self, face: Face, id: u16) -> (u16, f64) {
        self.faces
            .get(&face)
            .and_then(|subset| subset.glyphs.get(&id))
            .copied()
            .unwrap_or((0, 0.0))
    }
}

fn cut(face: Face, ids: &BTreeSet<u16>, fonts: &Fonts) -> Result<Subset, Error> {
    let failed = |reason: String| Error::Font {
        name: face.post_script_name(),
        reason,
    };
    let mut remapper = GlyphRemapper::new();
    for id in ids {
        remapper.remap(*id);
    }
    let bytes = subsetter::subset(face.bytes(), 0, &remapper).map_err(|e| failed(e.to_string()))?;
    let source = ttf(face).ok_or_else(|| failed("not a font".to_owned()))?;
    let em = fonts.units_per_em(face);
    let mut glyphs = BTreeMap::new();
    let mut widths = BTreeMap::new();
    for id in ids {
        let new = remapper.get(*id).unwrap_or(0);
        let units = source
            .glyph_hor_advance(rustybuzz::ttf_parser::GlyphId(*id))
            .unwrap_or(0);
        widths.insert(new, units);
        // The writer states whole thousandths, cut off.
        glyphs.insert(*id, (new, (f64::from(units) * 1000.0 / em).floor()));
    }
    let bounds = source.global_bounding_box();
    Ok(Subset {
        bytes,
        name: format!("{}+{}", tag(face, ids), face.post_script_name()),
        widths,
        units_per_em: source.units_per_em(),
        ascent: source.ascender(),
        descent: source.descender(),
        bounds: [bounds.x_min, bounds.y_min, bounds.x_max, bounds.y_max],
        italic: source.is_italic(),
        weight: source.weight().to_number(),
        glyphs,
    })
}

fn ttf(face: Face) -> Option<rustybuzz::ttf_parser::Face<'static>> {
    rustybuzz::ttf_parser::Face::parse(face.bytes(), 0).ok()
}

/// Six letters that differ when the set of glyphs differs (ISO 32000-1, 9.6.4).
fn tag(face: Face, ids: &BTreeSet<u16>) -> String {
    // FNV-1a, 64 bits.
    let mut hash: u64 = 0xcbf2_9ce4_8422_2325;
    let mut take = |byte: u8| hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    face.post_script_name().bytes().for_each(&mut take);
    for id in ids {
        id.to_be_bytes().into_iter().for_each(&mut take);
    }
    (0..6)
        .map(|_| {
            let letter = u8::try_from(hash % 26).unwrap_or(0);
            hash /= 26;
            char::from(b'A' + letter)
        })
        .collect()
}

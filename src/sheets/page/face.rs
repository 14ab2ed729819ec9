//! Type: the bundled fonts, how wide text is in them, and the outlines of its letters.
//!
//! A line is shaped by the font's own tables (kerning, ligatures) from left to right. What the main font lacks comes from the font of signs.

use harfrust::{BufferFlags, Direction, ShapeOptions, ShaperData, UnicodeBuffer};
use kurbo::{BezPath, Point};
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider as _};
use std::ops::Range;
use std::sync::{Arc, LazyLock};
use unicode_normalization::UnicodeNormalization as _;

const REGULAR: &[u8] = include_bytes!("../../../assets/fonts/AtkinsonHyperlegibleNext-Regular.ttf");
const BOLD: &[u8] = include_bytes!("../../../assets/fonts/AtkinsonHyperlegibleNext-Bold.ttf");
const ITALIC: &[u8] = include_bytes!("../../../assets/fonts/AtkinsonHyperlegibleNext-Italic.ttf");
const SIGNS: &[u8] = include_bytes!("../../../assets/fonts/FootringSigns.ttf");

/// The signs' place among the fonts.
const SIGNS_AT: usize = 3;

/// A cut of the type.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Face {
    /// Upright.
    #[default]
    Regular,
    /// Bold.
    Bold,
    /// Slanted.
    Italic,
}

impl Face {
    const fn at(self) -> usize {
        match self {
            Self::Regular => 0,
            Self::Bold => 1,
            Self::Italic => 2,
        }
    }
}

struct Font {
    file: FontRef<'static>,
    shaper: ShaperData,
    units_per_em: f64,
}

static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    let open = |data: &'static [u8]| {
        let file = FontRef::new(data).ok()?;
        let shaper = ShaperData::new(&file);
        let units_per_em = f64::from(file.metrics(Size::unscaled(), LocationRef::default()).units_per_em).max(1.0);
        Some(Font { file, shaper, units_per_em })
    };
    [REGULAR, BOLD, ITALIC, SIGNS].into_iter().filter_map(open).collect()
});

/// The bytes of every font, in the order of [`Piece::font`].
pub(super) const DATA: [&[u8]; 4] = [REGULAR, BOLD, ITALIC, SIGNS];

/// True where a bundled font has the sign.
pub fn has_sign(face: Face, sign: char) -> bool {
    font_of(face, sign).is_some()
}

fn font_of(face: Face, sign: char) -> Option<usize> {
    let has = |at: usize| FONTS.get(at).is_some_and(|font| font.file.charmap().map(sign).is_some_and(|id| id != GlyphId::NOTDEF));
    [face.at(), SIGNS_AT].into_iter().find(|&at| has(at))
}

/// A glyph of a line. Lengths in ems.
#[derive(Debug, Clone)]
pub(super) struct Glyph {
    pub(super) id: u32,
    pub(super) advance: f64,
    pub(super) x_offset: f64,
    pub(super) y_offset: f64,
    /// The bytes of the line's text that it stands for.
    pub(super) range: Range<usize>,
}

/// Glyphs of one font that follow each other.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// Which of [`DATA`].
    pub(super) font: usize,
    /// Where it begins, in ems from the line's left end.
    pub(super) start: f64,
    pub(super) glyphs: Vec<Glyph>,
}

/// A line of text with its glyphs.
#[derive(Debug, Clone)]
pub struct Line {
    text: String,
    pub(super) pieces: Vec<Piece>,
    width_em: f64,
}

impl Line {
    /// What it says.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Its width where the type is so large.
    pub fn width_mm(&self, size_mm: f64) -> f64 {
        self.width_em * size_mm
    }

    /// The outlines of its letters as one path, from the left end of the base line, y downward.
    pub fn outlines(&self, size_mm: f64) -> BezPath {
        let mut whole = BezPath::new();
        for (font, id, at) in self.placed() {
            let mut path = outline(font, id);
            path.apply_affine(kurbo::Affine::translate((at.x * size_mm, at.y * size_mm)) * kurbo::Affine::scale(size_mm));
            whole.extend(path);
        }
        whole
    }

    /// Every glyph: its font, its number, and where it stands in ems, y downward.
    pub(super) fn placed(&self) -> impl Iterator<Item = (usize, u32, Point)> + '_ {
        self.pieces.iter().flat_map(|piece| {
            let mut x = piece.start;
            piece.glyphs.iter().map(move |glyph| {
                let at = Point::new(x + glyph.x_offset, -glyph.y_offset);
                x += glyph.advance;
                (piece.font, glyph.id, at)
            })
        })
    }
}

/// Shapes a text as one line. Ends of lines and tabs become blanks; signs that steer a terminal or turn the direction of writing become '\u{fffd}'.
pub fn line(face: Face, text: &str) -> Arc<Line> {
    let text: String =
        crate::key::plain(text).nfc().map(|c| if matches!(c, '\n' | '\t' | '\u{2028}' | '\u{2029}') { ' ' } else { c }).collect();
    let mut pieces = Vec::new();
    let mut x = 0.0;
    for (font, range) in runs(face, &text) {
        let glyphs = shaped(font, &text, range);
        let wide: f64 = glyphs.iter().map(|glyph| glyph.advance).sum();
        pieces.push(Piece { font, start: x, glyphs });
        x += wide;
    }
    Arc::new(Line { text, pieces, width_em: x })
}

/// Splits a text where the font changes. Blanks stay with what is before them; a sign that no font has is drawn by the main one.
fn runs(face: Face, text: &str) -> Vec<(usize, Range<usize>)> {
    let mut runs: Vec<(usize, Range<usize>)> = Vec::new();
    for (at, sign) in text.char_indices() {
        let end = at + sign.len_utf8();
        let joins = sign.is_whitespace() || unicode_normalization::char::is_combining_mark(sign);
        let font = if joins { runs.last().map(|run| run.0) } else { None }.unwrap_or_else(|| font_of(face, sign).unwrap_or(face.at()));
        match runs.last_mut() {
            Some((last, range)) if *last == font => range.end = end,
            _ => runs.push((font, at..end)),
        }
    }
    runs
}

fn shaped(at: usize, text: &str, range: Range<usize>) -> Vec<Glyph> {
    let (Some(font), Some(part)) = (FONTS.get(at), text.get(range.clone())) else { return Vec::new() };
    let mut buffer = UnicodeBuffer::new();
    buffer.set_flags(BufferFlags::empty());
    buffer.push_str(part);
    buffer.set_direction(Direction::LeftToRight);
    buffer.guess_segment_properties();
    let out = font.shaper.shaper(&font.file).build().shape(buffer, ShapeOptions::new());
    let infos = out.glyph_infos();
    let em = |units: i32| f64::from(units) / font.units_per_em;
    // From left to right clusters only rise; each reaches to the next one that begins behind it.
    let mut ends: Vec<usize> = Vec::with_capacity(infos.len());
    let (mut end, mut begins) = (part.len(), part.len());
    for info in infos.iter().rev() {
        let from = info.cluster as usize;
        if from < begins {
            (end, begins) = (begins, from);
        }
        ends.push(end);
    }
    infos
        .iter()
        .zip(out.glyph_positions())
        .zip(ends.into_iter().rev())
        .map(|((info, place), end)| Glyph {
            id: info.glyph_id,
            advance: em(place.x_advance),
            x_offset: em(place.x_offset),
            y_offset: em(place.y_offset),
            range: range.start + info.cluster as usize..range.start + end,
        })
        .collect()
}

/// The outline of a glyph where an em is 1, y downward. Empty for a blank.
pub(super) fn outline(font: usize, id: u32) -> BezPath {
    let mut pen = Pen { path: BezPath::new(), em: 1.0 };
    if let Some(font) = FONTS.get(font)
        && let Some(glyph) = font.file.outline_glyphs().get(GlyphId::new(id))
    {
        pen.em = font.units_per_em;
        // A broken outline is a blank: the fonts are ours, and a test draws every letter.
        let _ = glyph.draw(DrawSettings::unhinted(Size::unscaled(), LocationRef::default()), &mut pen);
    }
    pen.path
}

/// The advance of a glyph in ems, as its font has it before kerning.
pub(super) fn advance(font: usize, id: u32) -> f64 {
    let Some(font) = FONTS.get(font) else { return 0.0 };
    let metrics = font.file.glyph_metrics(Size::unscaled(), LocationRef::default());
    metrics.advance_width(GlyphId::new(id)).map_or(0.0, |wide| f64::from(wide) / font.units_per_em)
}

/// Measures of a font in thousandths of an em.
pub(super) struct Measures {
    pub(super) ascent: f64,
    pub(super) descent: f64,
    pub(super) cap_height: f64,
    /// Degrees counter-clockwise from upright.
    pub(super) italic_angle: f64,
    /// Left, bottom, right, top of what holds every glyph.
    pub(super) bounds: [f64; 4],
}

/// The measures of a font.
pub(super) fn measures(font: usize) -> Measures {
    let Some(font) = FONTS.get(font) else {
        return Measures { ascent: 0.0, descent: 0.0, cap_height: 0.0, italic_angle: 0.0, bounds: [0.0; 4] };
    };
    let metrics = font.file.metrics(Size::unscaled(), LocationRef::default());
    let em = |units: f32| f64::from(units) / font.units_per_em * 1000.0;
    Measures {
        ascent: em(metrics.ascent),
        descent: em(metrics.descent),
        cap_height: em(metrics.cap_height.unwrap_or(metrics.ascent)),
        italic_angle: f64::from(metrics.italic_angle),
        bounds: metrics.bounds.map_or([0.0; 4], |b| [em(b.x_min), em(b.y_min), em(b.x_max), em(b.y_max)]),
    }
}

struct Pen {
    path: BezPath,
    em: f64,
}

impl Pen {
    fn at(&self, x: f32, y: f32) -> Point {
        Point::new(f64::from(x) / self.em, -f64::from(y) / self.em)
    }
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.at(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.at(x, y));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.path.quad_to(self.at(cx, cy), self.at(x, y));
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.path.curve_to(self.at(cx0, cy0), self.at(cx1, cy1), self.at(x, y));
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use kurbo::Shape as _;

    #[test]
    fn every_font_opens_and_draws_its_letters() {
        assert_eq!(FONTS.len(), DATA.len());
        for face in [Face::Regular, Face::Bold, Face::Italic] {
            for sign in "Aagß½×±–—“”‘’°ΔØéđžđ→µ".chars() {
                assert!(has_sign(face, sign), "{sign}");
                let drawn = line(face, &sign.to_string());
                assert!(drawn.outlines(10.0).bounding_box().area() > 0.1, "{sign}");
            }
        }
    }

    #[test]
    fn a_line_is_as_wide_as_its_letters_and_kerned() {
        let wide = |text: &str| line(Face::Regular, text).width_mm(1.0);
        assert!((wide("nn") - 2.0 * wide("n")).abs() < 1e-9);
        assert!(wide("AV") < wide("A") + wide("V") - 0.01, "a pair that every font pulls together");
        assert!(wide("") < 1e-9);
    }

    #[test]
    fn every_byte_of_a_text_belongs_to_a_glyph() {
        for text in ["office → ½ in", "e\u{301}te", "שלום", "a\u{0}b\u{202e}c", "ﬁnal efﬁgy"] {
            let line = line(Face::Regular, text);
            let mut covered = vec![false; line.text().len()];
            for glyph in line.pieces.iter().flat_map(|piece| &piece.glyphs) {
                assert!(line.text().get(glyph.range.clone()).is_some(), "{text}: {:?}", glyph.range);
                covered[glyph.range.clone()].fill(true);
            }
            assert!(covered.iter().all(|c| *c), "{text}");
        }
        assert_eq!(line(Face::Regular, "e\u{301}t\te").text(), "ét e");
        assert!(!line(Face::Regular, "a\u{0}\u{202e}").text().contains(['\u{0}', '\u{202e}']));
    }

    #[test]
    fn what_no_font_has_is_a_box_that_takes_room() {
        let boxed = line(Face::Regular, "漢");
        assert!(!has_sign(Face::Regular, '漢'));
        assert_eq!(boxed.pieces[0].glyphs[0].id, 0);
        assert!(boxed.width_mm(1.0) > 0.2);
        assert_eq!(boxed.text(), "漢");
    }
}

//! A page as PDF 1.7 (ISO 32000-1), with the letters it uses of each font inside.
//!
//! Fonts are CID fonts whose numbers are those of the subset. A glyph that stands for something else than the last time (the empty box stands for every
//! sign that no font has) is marked with the text it stands for, so that what is copied out of the file is what was written.

use super::face::{DATA, Measures, Piece, advance, measures};
use super::{Colour, Document, Item, Line, POINT_MM, Page, Stroke, WriteError};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use image::RgbImage;
use image::codecs::jpeg::JpegEncoder;
use kurbo::{BezPath, PathEl, Point};
use pdf_writer::types::{CidFontType, FontFlags, LineJoinStyle, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish as _, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::BTreeMap;
use std::io::Write as _;
use std::sync::Arc;
use subsetter::GlyphRemapper;

/// How well photographs are kept inside a PDF, of 100. A choice of this program, no source.
const JPEG_QUALITY: u8 = 88;
/// The longest side of a page in a PDF in points, as ISO 32000-1, annex C.2 has it.
const LONGEST_SIDE: f64 = 14_400.0;

/// The fonts by their names within a PDF, in the order of [`DATA`].
const NAMES: [(&[u8], &[u8]); 4] = [
    (b"F0", b"FOOTAA+AtkinsonHyperlegibleNext-Regular"),
    (b"F1", b"FOOTAB+AtkinsonHyperlegibleNext-Bold"),
    (b"F2", b"FOOTAC+AtkinsonHyperlegibleNext-Italic"),
    (b"F3", b"FOOTAD+FootringSigns"),
];

/// Writes a document as PDF. The same document always gives the same bytes: no clock is read.
///
/// # Errors
/// [`WriteError::NoPage`] for an empty document; [`WriteError::Format`] where a page has no possible size or a font or picture can't be packed.
pub fn write_pdf(document: &Document) -> Result<Vec<u8>, WriteError> {
    if document.pages.is_empty() {
        return Err(WriteError::NoPage);
    }
    let mut writer = Writer { pdf: Pdf::new(), next: 1, fonts: <[Used; 4]>::default(), pictures: BTreeMap::new() };
    let (catalog, tree, info, resources) = (writer.number(), writer.number(), writer.number(), writer.number());
    let mut kids = Vec::new();
    for page in &document.pages {
        kids.push(writer.page(page, tree, resources)?);
    }
    writer.pdf.pages(tree).count(i32::try_from(kids.len()).unwrap_or(i32::MAX)).kids(kids);
    let title = crate::key::plain(&document.title);
    writer.pdf.document_info(info).title(TextStr(&title)).creator(TextStr("Footring"));
    let mut root = writer.pdf.catalog(catalog);
    root.pages(tree).lang(TextStr(if crate::words::spoken() == crate::words::Language::German { "de-DE" } else { "en-GB" }));
    root.viewer_preferences().display_doc_title(true);
    root.finish();
    writer.resources(resources)?;
    Ok(writer.pdf.finish())
}

/// What is used of one font.
#[derive(Default)]
struct Used {
    glyphs: GlyphRemapper,
    /// What each glyph stood for the first time.
    says: BTreeMap<u32, String>,
}

struct Writer {
    pdf: Pdf,
    next: i32,
    fonts: [Used; 4],
    /// Pictures by the address of their pixels, which the document keeps alive.
    pictures: BTreeMap<usize, (Ref, usize)>,
}

impl Writer {
    fn number(&mut self) -> Ref {
        let number = Ref::new(self.next);
        self.next += 1;
        number
    }

    fn page(&mut self, page: &Page, tree: Ref, resources: Ref) -> Result<Ref, WriteError> {
        let (width, height) = (page.width_mm / POINT_MM, page.height_mm / POINT_MM);
        let possible = |side: f64| side.is_finite() && side > 0.0 && side <= LONGEST_SIDE;
        if !possible(width) || !possible(height) {
            return Err(WriteError::Format(format!("{} × {} mm is no size of a page", page.width_mm, page.height_mm)));
        }
        let (id, contents) = (self.number(), self.number());
        let mut content = Content::new();
        for item in &page.items {
            match item {
                Item::Path { path, fill, stroke } => draw(&mut content, height, path, *fill, stroke.as_ref()),
                Item::Text { at, size_mm, colour, line } => self.text(&mut content, height, *at, *size_mm, *colour, line),
                Item::Picture { rect, pixels, .. } => {
                    let (_, number) = self.picture(pixels)?;
                    let (w, h) = (rect.width() / POINT_MM, rect.height() / POINT_MM);
                    let place = [w, 0.0, 0.0, h, rect.x0 / POINT_MM, height - rect.y1 / POINT_MM];
                    content.save_state();
                    content.transform(place.map(|n| n as f32));
                    content.x_object(Name(format!("P{number}").as_bytes()));
                    content.restore_state();
                }
            }
        }
        let packed = packed(&content.finish())?;
        self.pdf.stream(contents, &packed).filter(Filter::FlateDecode);
        let mut sheet = self.pdf.page(id);
        sheet.media_box(Rect::new(0.0, 0.0, width as f32, height as f32)).parent(tree).contents(contents);
        sheet.pair(Name(b"Resources"), resources);
        sheet.finish();
        Ok(id)
    }

    fn text(&mut self, content: &mut Content, height: f64, at: Point, size_mm: f64, colour: Colour, line: &Line) {
        let size = size_mm / POINT_MM;
        if line.pieces.is_empty() || !at.is_finite() || !size.is_finite() {
            return;
        }
        let [r, g, b] = parts(colour);
        content.set_fill_rgb(r, g, b);
        for piece in &line.pieces {
            let (Some(used), Some((name, _))) = (self.fonts.get_mut(piece.font), NAMES.get(piece.font)) else { continue };
            let says = |range: &std::ops::Range<usize>| line.text().get(range.clone()).unwrap_or_default();
            let plain = piece
                .glyphs
                .iter()
                .all(|glyph| used.says.entry(glyph.id).or_insert_with(|| says(&glyph.range).to_owned()) == says(&glyph.range));
            if !plain {
                let ends = piece.glyphs.iter().map(|glyph| glyph.range.end).max().unwrap_or(0);
                let whole = says(&(piece.glyphs.iter().map(|glyph| glyph.range.start).min().unwrap_or(0)..ends));
                content.begin_marked_content_with_properties(Name(b"Span")).properties().actual_text(TextStr(whole));
            }
            content.begin_text();
            content.set_font(Name(name), size as f32);
            let x = at.x / POINT_MM + piece.start * size;
            content.set_text_matrix([1.0, 0.0, 0.0, 1.0, x as f32, (height - at.y / POINT_MM) as f32]);
            show(content, piece, used, size);
            content.end_text();
            if !plain {
                content.end_marked_content();
            }
        }
    }

    fn picture(&mut self, pixels: &Arc<RgbImage>) -> Result<(Ref, usize), WriteError> {
        let address = Arc::as_ptr(pixels) as usize;
        if let Some(known) = self.pictures.get(&address) {
            return Ok(*known);
        }
        let bytes = jpeg(pixels)?;
        let id = self.number();
        let side = |n: u32| i32::try_from(n).unwrap_or(i32::MAX);
        let mut image = self.pdf.image_xobject(id, &bytes);
        image.width(side(pixels.width())).height(side(pixels.height())).bits_per_component(8).filter(Filter::DctDecode);
        image.color_space().device_rgb();
        image.finish();
        let known = (id, self.pictures.len());
        self.pictures.insert(address, known);
        Ok(known)
    }

    fn resources(&mut self, id: Ref) -> Result<(), WriteError> {
        let mut fonts = Vec::new();
        for at in 0..DATA.len() {
            if self.fonts.get(at).is_some_and(|used| !used.says.is_empty()) {
                fonts.push((at, self.font(at)?));
            }
        }
        let pictures: Vec<(Ref, usize)> = self.pictures.values().copied().collect();
        let mut dict = self.pdf.indirect(id).start::<pdf_writer::writers::Resources<'_>>();
        let mut named = dict.fonts();
        for (at, font) in fonts {
            if let Some((name, _)) = NAMES.get(at) {
                named.pair(Name(name), font);
            }
        }
        named.finish();
        let mut named = dict.x_objects();
        for (picture, number) in pictures {
            named.pair(Name(format!("P{number}").as_bytes()), picture);
        }
        Ok(())
    }

    fn font(&mut self, at: usize) -> Result<Ref, WriteError> {
        let (id, cid, descriptor, file, cmap) = (self.number(), self.number(), self.number(), self.number(), self.number());
        let refused = |what: &str| WriteError::Format(format!("a font can't be packed: {what}"));
        let (Some(data), Some((_, name)), Some(used)) = (DATA.get(at), NAMES.get(at), self.fonts.get(at)) else {
            return Err(refused("there is no such font"));
        };
        let Measures { ascent, descent, cap_height, italic_angle, bounds } = measures(at);
        let subset = subsetter::subset(data, 0, &used.glyphs).map_err(|e| refused(&e.to_string()))?;
        let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        let name = Name(name);
        self.pdf.type0_font(id).base_font(name).encoding_predefined(Name(b"Identity-H")).descendant_font(cid).to_unicode(cmap);
        let mut font = self.pdf.cid_font(cid);
        font.subtype(CidFontType::Type2).base_font(name).system_info(system).font_descriptor(descriptor).default_width(0.0);
        font.cid_to_gid_map_predefined(Name(b"Identity"));
        font.widths().consecutive(0, used.glyphs.remapped_gids().map(|glyph| (advance(at, u32::from(glyph)) * 1000.0) as f32));
        font.finish();
        let mut flags = FontFlags::NON_SYMBOLIC;
        flags.set(FontFlags::ITALIC, italic_angle.abs() > 0.01);
        let bbox = Rect::new(bounds[0] as f32, bounds[1] as f32, bounds[2] as f32, bounds[3] as f32);
        let mut about = self.pdf.font_descriptor(descriptor);
        about.name(name).flags(flags).bbox(bbox).italic_angle(italic_angle as f32).ascent(ascent as f32).descent(descent as f32);
        about.cap_height(cap_height as f32).stem_v(if at == 1 { 140.0 } else { 90.0 }).font_file2(file);
        about.finish();
        let mut map = UnicodeCmap::<u16>::new(Name(b"Footring-UCS"), system);
        for (glyph, says) in &used.says {
            if let (Some(cid), false) = (cid_of(&used.glyphs, *glyph), says.is_empty()) {
                map.pair_with_multiple(cid, says.chars());
            }
        }
        let length = i32::try_from(subset.len()).unwrap_or(i32::MAX);
        let (subset, map) = (packed(&subset)?, packed(&map.finish())?);
        self.pdf.stream(file, &subset).filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
        self.pdf.cmap(cmap, &map).filter(Filter::FlateDecode);
        Ok(id)
    }
}

fn cid_of(glyphs: &GlyphRemapper, glyph: u32) -> Option<u16> {
    glyphs.get(u16::try_from(glyph).ok()?)
}

/// Shows the glyphs of a piece. Where one stands elsewhere than its width has it (kerning), the difference is written in thousandths of an em.
fn show(content: &mut Content, piece: &Piece, used: &mut Used, size: f64) {
    let mut rise = 0.0;
    let mut open: Vec<u8> = Vec::new();
    // What the next glyph is to be moved by, in ems to the right.
    let mut due = 0.0;
    let mut runs: Vec<(f64, f64, Vec<u8>)> = Vec::new();
    for glyph in &piece.glyphs {
        let Ok(id) = u16::try_from(glyph.id) else { continue };
        let cid = used.glyphs.remap(id);
        due += glyph.x_offset;
        if due.abs() > 1e-6 || (glyph.y_offset - rise).abs() > 1e-9 || runs.is_empty() {
            if let Some(last) = runs.last_mut() {
                last.2 = std::mem::take(&mut open);
            }
            rise = glyph.y_offset;
            runs.push((due, rise, Vec::new()));
        }
        open.extend(cid.to_be_bytes());
        due = glyph.advance - advance(piece.font, glyph.id) - glyph.x_offset;
    }
    if let Some(last) = runs.last_mut() {
        last.2 = open;
    }
    for (by, rise, bytes) in runs {
        content.set_rise((rise * size) as f32);
        let mut shown = content.show_positioned();
        let mut items = shown.items();
        if by.abs() > 1e-6 {
            items.adjust((-by * 1000.0) as f32);
        }
        items.show(Str(&bytes));
    }
    content.set_rise(0.0);
}

fn parts(Colour(rgb): Colour) -> [f32; 3] {
    rgb.map(|part| f32::from(part) / 255.0)
}

fn draw(content: &mut Content, height: f64, path: &BezPath, fill: Option<Colour>, stroke: Option<&Stroke>) {
    if !path.is_finite() || path.elements().len() < 2 || (fill.is_none() && stroke.is_none()) {
        return;
    }
    content.save_state();
    if let Some(colour) = fill {
        let [r, g, b] = parts(colour);
        content.set_fill_rgb(r, g, b);
    }
    if let Some(stroke) = stroke {
        let [r, g, b] = parts(stroke.colour);
        content.set_stroke_rgb(r, g, b).set_line_width((stroke.width_mm / POINT_MM) as f32).set_line_join(LineJoinStyle::RoundJoin);
        if let Some(dash) = stroke.dash_mm {
            content.set_dash_pattern(dash.map(|mm| (mm / POINT_MM) as f32), 0.0);
        }
    }
    let at = |p: Point| ((p.x / POINT_MM) as f32, (height - p.y / POINT_MM) as f32);
    let mut pen = Point::ORIGIN;
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                content.move_to(at(p).0, at(p).1);
                pen = p;
            }
            PathEl::LineTo(p) => {
                content.line_to(at(p).0, at(p).1);
                pen = p;
            }
            PathEl::QuadTo(q, p) => {
                let cubic = kurbo::QuadBez::new(pen, q, p).raise();
                content.cubic_to(at(cubic.p1).0, at(cubic.p1).1, at(cubic.p2).0, at(cubic.p2).1, at(p).0, at(p).1);
                pen = p;
            }
            PathEl::CurveTo(a, b, p) => {
                content.cubic_to(at(a).0, at(a).1, at(b).0, at(b).1, at(p).0, at(p).1);
                pen = p;
            }
            PathEl::ClosePath => {
                content.close_path();
            }
        }
    }
    match (fill, stroke) {
        (Some(_), Some(_)) => content.fill_nonzero_and_stroke(),
        (Some(_), None) => content.fill_nonzero(),
        (None, _) => content.stroke(),
    };
    content.restore_state();
}

fn packed(bytes: &[u8]) -> Result<Vec<u8>, WriteError> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).and_then(|()| encoder.finish()).map_err(|e| WriteError::Format(e.to_string()))
}

/// The pixels as JPEG.
pub(super) fn jpeg(pixels: &Arc<RgbImage>) -> Result<Vec<u8>, WriteError> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, JPEG_QUALITY).encode_image(&**pixels).map_err(|e| WriteError::Format(e.to_string()))?;
    Ok(bytes)
}

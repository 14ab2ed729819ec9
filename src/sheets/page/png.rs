//! A page as PNG, which says how many pixels it has to the metre.

use super::face::outline;
use super::{Colour, Item, Page, Stroke, WriteError};
use kurbo::{BezPath, PathEl};
use std::collections::BTreeMap;
use tiny_skia::{FillRule, FilterQuality, LineJoin, Paint, Path, PathBuilder, Pixmap, PixmapPaint, StrokeDash, Transform};

/// Pixels of one picture at most.
pub const MOST_PIXELS: u64 = 60_000_000;

/// Draws a page and writes it as PNG with so many pixels to the inch.
///
/// # Errors
/// [`WriteError::TooLarge`] beyond [`MOST_PIXELS`]; [`WriteError::Format`] where the writer refuses it.
pub fn write_png(page: &Page, pixels_per_inch: f64) -> Result<Vec<u8>, WriteError> {
    let (pixmap, per_mm) = drawn(page, pixels_per_inch)?;
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, pixmap.width(), pixmap.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    let per_metre = (per_mm * 1000.0).round() as u32;
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    // The ground is opaque, so the pixels are plain.
    let rgb: Vec<u8> = pixmap.pixels().iter().flat_map(|p| [p.red(), p.green(), p.blue()]).collect();
    let refused = |e: png::EncodingError| WriteError::Format(e.to_string());
    let mut writer = encoder.write_header().map_err(refused)?;
    writer.write_image_data(&rgb).map_err(refused)?;
    writer.finish().map_err(refused)?;
    Ok(bytes)
}

impl Page {
    /// The page as pixels: red, green and blue of each, row by row, and how many there are across and down.
    ///
    /// # Errors
    /// [`WriteError::TooLarge`] beyond [`MOST_PIXELS`].
    pub fn pixels(&self, pixels_per_inch: f64) -> Result<(u32, u32, Vec<u8>), WriteError> {
        let (pixmap, _) = drawn(self, pixels_per_inch)?;
        let rgb = pixmap.pixels().iter().flat_map(|p| [p.red(), p.green(), p.blue()]).collect();
        Ok((pixmap.width(), pixmap.height(), rgb))
    }
}

fn drawn(page: &Page, pixels_per_inch: f64) -> Result<(Pixmap, f64), WriteError> {
    let per_mm = if pixels_per_inch.is_finite() { pixels_per_inch.clamp(10.0, 2400.0) } else { 150.0 } / 25.4;
    let (width, height) = ((page.width_mm * per_mm).round() as u64, (page.height_mm * per_mm).round() as u64);
    let too_large = WriteError::TooLarge { width, height };
    if width.saturating_mul(height) > MOST_PIXELS {
        return Err(too_large);
    }
    let mut pixmap = Pixmap::new(width as u32, height as u32).ok_or(too_large)?;
    pixmap.fill(tiny_skia::Color::WHITE);
    let mm = Transform::from_scale(per_mm as f32, per_mm as f32);
    let mut letters: BTreeMap<(usize, u32), Option<Path>> = BTreeMap::new();
    for item in &page.items {
        match item {
            Item::Path { path, fill, stroke } => {
                let Some(path) = path_of(path) else { continue };
                if let Some(colour) = fill {
                    pixmap.fill_path(&path, &paint(*colour), FillRule::Winding, mm, None);
                }
                if let Some(stroke) = stroke {
                    pixmap.stroke_path(&path, &paint(stroke.colour), &line_of(stroke, per_mm), mm, None);
                }
            }
            Item::Text { at, size_mm, colour, line } => {
                for (font, id, place) in line.placed() {
                    let letter = letters.entry((font, id)).or_insert_with(|| path_of(&outline(font, id)));
                    let Some(letter) = letter else { continue };
                    let (x, y) = (at.x + place.x * size_mm, at.y + place.y * size_mm);
                    let to = mm.pre_concat(Transform::from_translate(x as f32, y as f32)).pre_scale(*size_mm as f32, *size_mm as f32);
                    pixmap.fill_path(letter, &paint(*colour), FillRule::Winding, to, None);
                }
            }
            Item::Picture { rect, pixels, .. } => {
                let rgba: Vec<u8> = pixels.pixels().flat_map(|p| [p.0[0], p.0[1], p.0[2], 255]).collect();
                let Some(size) = tiny_skia::IntSize::from_wh(pixels.width(), pixels.height()) else { continue };
                let Some(picture) = Pixmap::from_vec(rgba, size) else { continue };
                let (sx, sy) = (rect.width() / f64::from(pixels.width()), rect.height() / f64::from(pixels.height()));
                let to = mm.pre_concat(Transform::from_row(sx as f32, 0.0, 0.0, sy as f32, rect.x0 as f32, rect.y0 as f32));
                let how = PixmapPaint { quality: FilterQuality::Bicubic, ..PixmapPaint::default() };
                pixmap.draw_pixmap(0, 0, picture.as_ref(), &how, to, None);
            }
        }
    }
    Ok((pixmap, per_mm))
}

fn paint(Colour([r, g, b]): Colour) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, 255);
    paint.anti_alias = true;
    paint
}

/// A line that is never thinner than what can be seen.
fn line_of(stroke: &Stroke, per_mm: f64) -> tiny_skia::Stroke {
    let width = stroke.width_mm.max(0.6 / per_mm) as f32;
    let dash = stroke.dash_mm.and_then(|dash| StrokeDash::new(dash.iter().map(|mm| *mm as f32).collect(), 0.0));
    tiny_skia::Stroke { width, line_join: LineJoin::Round, dash, ..tiny_skia::Stroke::default() }
}

fn path_of(path: &BezPath) -> Option<Path> {
    if !path.is_finite() {
        return None;
    }
    let mut builder = PathBuilder::new();
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => builder.move_to(p.x as f32, p.y as f32),
            PathEl::LineTo(p) => builder.line_to(p.x as f32, p.y as f32),
            PathEl::QuadTo(a, p) => builder.quad_to(a.x as f32, a.y as f32, p.x as f32, p.y as f32),
            PathEl::CurveTo(a, b, p) => builder.cubic_to(a.x as f32, a.y as f32, b.x as f32, b.y as f32, p.x as f32, p.y as f32),
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}

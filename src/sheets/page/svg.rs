//! A page as SVG. Letters are outlines, so that it looks the same everywhere; each line of text carries its words for screen readers and searches.

use super::face::outline;
use super::pdf::jpeg;
use super::{Colour, Item, Page, Stroke, WriteError};
use kurbo::{BezPath, PathEl};
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Writes a page as SVG 1.1 of its true size.
///
/// # Errors
/// [`WriteError::Format`] where a picture of the page cannot be packed.
pub fn write_svg(page: &Page, title: &str) -> Result<String, WriteError> {
    let mut svg = String::new();
    let (w, h) = (number(page.width_mm), number(page.height_mm));
    let _ = writeln!(
        svg,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\" role=\"document\">"
    );
    let _ = writeln!(svg, "<title>{}</title>", escaped(title));
    let mut used: BTreeSet<(usize, u32)> = BTreeSet::new();
    for item in &page.items {
        if let Item::Text { line, .. } = item {
            used.extend(line.placed().map(|(font, id, _)| (font, id)));
        }
    }
    svg.push_str("<defs>\n");
    for (font, id) in used {
        let path = outline(font, id);
        if !path.is_empty() {
            let _ = writeln!(svg, "<path id=\"g{font}-{id}\" d=\"{}\"/>", data(&path, 4));
        }
    }
    svg.push_str("</defs>\n");
    let _ = writeln!(svg, "<rect width=\"{w}\" height=\"{h}\" fill=\"#ffffff\"/>");
    for item in &page.items {
        draw(&mut svg, item)?;
    }
    svg.push_str("</svg>\n");
    Ok(svg)
}

fn draw(svg: &mut String, item: &Item) -> Result<(), WriteError> {
    match item {
        Item::Path { path, fill, stroke } => {
            if path.is_finite() && !path.is_empty() {
                let fill = fill.map_or_else(|| "none".to_owned(), hex);
                let _ = write!(svg, "<path d=\"{}\" fill=\"{fill}\"", data(path, 3));
                if let Some(stroke) = stroke {
                    line_of(svg, stroke);
                }
                svg.push_str("/>\n");
            }
        }
        Item::Text { at, size_mm, colour, line } => {
            if line.text().trim().is_empty() {
                return Ok(());
            }
            let size = number(*size_mm);
            let _ = write!(
                svg,
                "<g role=\"img\" aria-label=\"{}\" fill=\"{}\" transform=\"translate({} {}) scale({size})\">",
                escaped(line.text()),
                hex(*colour),
                number(at.x),
                number(at.y),
            );
            for (font, id, place) in line.placed() {
                if !outline(font, id).is_empty() {
                    let _ = write!(svg, "<use xlink:href=\"#g{font}-{id}\" x=\"{}\" y=\"{}\"/>", rounded(place.x, 4), rounded(place.y, 4));
                }
            }
            svg.push_str("</g>\n");
        }
        Item::Picture { rect, pixels, alt } => {
            let _ = writeln!(
                svg,
                "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" aria-label=\"{}\" xlink:href=\"data:image/jpeg;base64,{}\"/>",
                number(rect.x0),
                number(rect.y0),
                number(rect.width()),
                number(rect.height()),
                escaped(alt),
                base64(&jpeg(pixels)?),
            );
        }
    }
    Ok(())
}

fn line_of(svg: &mut String, stroke: &Stroke) {
    let _ = write!(svg, " stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"", hex(stroke.colour), number(stroke.width_mm));
    if let Some([dash, gap]) = stroke.dash_mm {
        let _ = write!(svg, " stroke-dasharray=\"{} {}\"", number(dash), number(gap));
    }
}

fn hex(Colour([r, g, b]): Colour) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// Text within an element or attribute. What XML 1.0 does not allow at all has become '\u{fffd}'.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\t' | '\n' => out.push(c),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c if c.is_control() => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

fn number(mm: f64) -> String {
    rounded(mm, 3)
}

/// A number with at most so many places, without noughts at its end.
fn rounded(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn data(path: &BezPath, places: usize) -> String {
    let mut d = String::new();
    let n = |value: f64| rounded(value, places);
    for element in path.elements() {
        let _ = match *element {
            PathEl::MoveTo(p) => write!(d, "M{} {}", n(p.x), n(p.y)),
            PathEl::LineTo(p) => write!(d, "L{} {}", n(p.x), n(p.y)),
            PathEl::QuadTo(a, p) => write!(d, "Q{} {} {} {}", n(a.x), n(a.y), n(p.x), n(p.y)),
            PathEl::CurveTo(a, b, p) => write!(d, "C{} {} {} {} {} {}", n(a.x), n(a.y), n(b.x), n(b.y), n(p.x), n(p.y)),
            PathEl::ClosePath => write!(d, "Z"),
        };
    }
    d
}

/// RFC 4648, section 4.
fn base64(bytes: &[u8]) -> String {
    use base64::Engine as _;
    base64::engine::general_purpose::STANDARD.encode(bytes)
}

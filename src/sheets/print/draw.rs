//! What is drawn on sheets: pieces in millimetres, value drawings, marks, codes, bars to measure by.

use super::flow::{SMALL, Type};
use crate::colour::Lab;
use crate::key::outline::{Glyph, Ink, Silhouette};
use crate::key::shape::Shape;
use crate::key::{Feature, FeatureKind, Key, Layout, Mark, Part, Place, ValueId};
use crate::say;
use crate::sheets::page::{Colour, Face, Item, Stroke, line};
use crate::words::decimal;
use kurbo::{Affine, BezPath, Circle, Ellipse, Point, Rect, RoundedRect, Shape as _, Vec2};

/// How finely circles and the like are drawn, in mm.
const FINE_MM: f64 = 0.005;

/// The colour of paper that a CIELAB colour comes to.
pub(super) fn of_lab(lab: Lab) -> Colour {
    Colour(lab.to_srgb())
}

/// A text whose middle is at a point of its base line.
pub(super) fn centred(set: Type, at: Point, words: &str) -> Item {
    let line = line(set.face, words);
    let x = at.x - line.width_mm(set.size_mm) / 2.0;
    Item::text(Point::new(x, at.y), set.size_mm, set.colour, line)
}

/// A text that begins at a point of its base line.
pub(super) fn words(set: Type, at: Point, words: &str) -> Item {
    Item::text(at, set.size_mm, set.colour, line(set.face, words))
}

/// From the piece's millimetres, upward, to the page's: the axis and the table at `origin`, so many mm of paper to a mm of the piece.
pub(super) fn page_from_piece(origin: Point, scale: f64) -> Affine {
    Affine::new([scale, 0.0, 0.0, -scale, origin.x, origin.y])
}

/// A view of a piece, part over part.
pub(super) fn view(seen: &Silhouette, origin: Point, scale: f64, fill: Colour) -> Vec<Item> {
    let to = page_from_piece(origin, scale);
    let seam = Stroke::new(Colour::INK, 0.22);
    seen.parts
        .iter()
        .filter(|(part, _)| *part != Part::Foot)
        .map(|(_, path)| Item::Path { path: to * path.clone(), fill: Some(fill), stroke: Some(seam.clone()) })
        .collect()
}

/// A piece from the side with what is modelled on it.
pub(super) fn side(shape: &Shape, origin: Point, scale: f64, fill: Colour) -> Vec<Item> {
    let mut items = view(&shape.silhouette(), origin, scale, fill);
    let to = page_from_piece(origin, scale);
    items.extend(shape.surface_lines().into_iter().map(|path| Item::stroke(to * path, Stroke::new(Colour::CUT, 0.12))));
    items
}

/// A silhouette brought into a rectangle, standing on its lower edge: for lists, not to scale.
pub(super) fn small(shape: &Shape, rect: Rect) -> Vec<Item> {
    let seen = shape.silhouette();
    let bounds = seen.bounds;
    if bounds.width() < 1e-6 || bounds.height() < 1e-6 {
        return Vec::new();
    }
    let scale = (rect.width() / bounds.width()).min(rect.height() / bounds.height());
    let origin = Point::new(rect.center().x - bounds.center().x * scale, rect.y1 + bounds.y0 * scale);
    let to = page_from_piece(origin, scale);
    let parts = seen.parts.iter().filter(|(part, _)| *part != Part::Foot);
    parts
        .map(|(_, path)| Item::Path { path: to * path.clone(), fill: Some(Colour::CLAY), stroke: Some(Stroke::new(Colour::PAPER, 0.1)) })
        .collect()
}

/// A value drawing in a square.
pub(super) fn glyph(glyph: &Glyph, rect: Rect) -> Vec<Item> {
    let side = rect.width().min(rect.height());
    let to = Affine::translate((rect.center().x - side / 2.0, rect.center().y - side / 2.0)) * Affine::scale(side);
    let (thick, thin) = (side * 0.055, side * 0.03);
    glyph
        .paths
        .iter()
        .map(|(path, ink)| {
            let path = to * path.clone();
            match ink {
                Ink::Stroke => Item::stroke(path, Stroke::new(Colour::INK, thick)),
                Ink::Fill => Item::fill(path, Colour::INK),
                Ink::Faint => Item::stroke(path, Stroke::new(Colour::FAINT, thin)),
                Ink::Wash => Item::fill(path, Colour::WASH),
            }
        })
        .collect()
}

/// A patch of colour.
pub(super) fn swatch(rect: Rect, colour: Colour) -> Item {
    let path = RoundedRect::from_rect(rect, rect.height().min(rect.width()) * 0.18).to_path(FINE_MM);
    Item::Path { path, fill: Some(colour), stroke: Some(Stroke::new(Colour::SOFT, 0.15)) }
}

/// The picture of a value, where it has one.
pub(super) fn value(key: &Key, feature: &Feature, id: &ValueId, rect: Rect) -> Vec<Item> {
    match &feature.kind {
        FeatureKind::Choice(values) => match values.iter().find(|value| value.id == *id) {
            Some(value) => match value.lab {
                Some(lab) => vec![swatch(rect.inset(-rect.height() * 0.12), of_lab(lab))],
                None => glyph(&value.drawing.glyph(), rect),
            },
            None => Vec::new(),
        },
        FeatureKind::Glaze => match key.glazes.iter().find(|glaze| glaze.id.as_str() == id.as_str()) {
            Some(glaze) => vec![swatch(rect.inset(-rect.height() * 0.12), of_lab(glaze.lab))],
            None => Vec::new(),
        },
        FeatureKind::Decoration => match key.decorations.iter().find(|decoration| decoration.id.as_str() == id.as_str()) {
            Some(decoration) => glyph(&decoration.drawing.glyph(), rect),
            None => Vec::new(),
        },
        FeatureKind::Mark => match key.marks.iter().find(|mark| mark.id.as_str() == id.as_str()) {
            Some(found) => mark(found, rect),
            None => Vec::new(),
        },
        FeatureKind::Measure(_) => Vec::new(),
    }
}

/// The outline of a mark's layout; none for wording alone.
fn mark_outline(layout: Layout, rect: Rect) -> Option<BezPath> {
    let centre = rect.center();
    match layout {
        Layout::Round => Some(Circle::new(centre, rect.width().min(rect.height()) / 2.0).to_path(FINE_MM)),
        Layout::Oval => {
            Some(Ellipse::new(centre, (rect.width() / 2.0, rect.height().min(rect.width() * 0.72) / 2.0), 0.0).to_path(FINE_MM))
        }
        Layout::Square => Some(RoundedRect::from_rect(rect.inset(-rect.height() * 0.06), rect.height() * 0.06).to_path(FINE_MM)),
        Layout::Script | Layout::Words => None,
    }
}

/// A mark as it is laid out, in its ink. Its wording is drawn as outlines, since much of it runs along arcs; it stands beside it in words.
pub(super) fn mark(mark: &Mark, rect: Rect) -> Vec<Item> {
    let ink = mark.ink.as_ref().map_or(Colour::INK, |ink| of_lab(ink.lab));
    let mut items = Vec::new();
    let outline = mark_outline(mark.layout, rect);
    let size = rect.height().min(rect.width());
    if let Some(outline) = &outline {
        items.push(Item::stroke(outline.clone(), Stroke::new(ink, size * 0.02)));
    }
    let (rx, ry) = match &outline {
        Some(outline) => (outline.bounding_box().width() / 2.0, outline.bounding_box().height() / 2.0),
        None => (rect.width() / 2.0, rect.height() / 2.0),
    };
    let face = if mark.layout == Layout::Script { Face::Italic } else { Face::Bold };
    let straight: Vec<&str> = mark.wording.iter().filter(|line| line.place == Place::Straight).map(|line| line.text.as_str()).collect();
    let arcs: Vec<_> = mark.wording.iter().filter(|line| line.place != Place::Straight).collect();
    for wording in &arcs {
        items.extend(arc(face, &wording.text, wording.place, rect.center(), (rx * 0.9, ry * 0.9), size * 0.13, ink));
    }
    let room = if arcs.is_empty() { Vec2::new(rx * 1.7, ry * 1.7) } else { Vec2::new(rx * 1.2, ry * 1.1) };
    items.extend(stack(face, &straight, rect.center(), room, ink));
    items
}

/// Lines of letters one under the other, as large as they may be in a room about a middle.
fn stack(face: Face, lines: &[&str], middle: Point, room: Vec2, ink: Colour) -> Vec<Item> {
    let shaped: Vec<_> = lines.iter().map(|text| line(face, text)).collect();
    let widest = shaped.iter().map(|line| line.width_mm(1.0)).fold(0.0, f64::max);
    if widest < 1e-9 {
        return Vec::new();
    }
    let size = (room.x / widest).min(room.y / (1.15 * shaped.len() as f64)).min(room.y * 0.34);
    let top = middle.y - 1.15 * size * (shaped.len() as f64 - 1.0) / 2.0 + size * 0.35;
    let at = |n: usize, wide: f64| Vec2::new(middle.x - wide / 2.0, top + 1.15 * size * n as f64);
    let letters = shaped.iter().enumerate().map(|(n, line)| Affine::translate(at(n, line.width_mm(size))) * line.outlines(size));
    letters.map(|path| Item::fill(path, ink)).collect()
}

/// Letters along an ellipse: over the top, along the bottom, or all around.
fn arc(face: Face, text: &str, place: Place, centre: Point, radii: (f64, f64), size: f64, ink: Colour) -> Vec<Item> {
    let whole = line(face, text).width_mm(1.0);
    let reach = if place == Place::Ring { 5.6 } else { 2.5 };
    let radius = radii.0.min(radii.1);
    let size = if whole > 0.0 { size.min(reach * radius / whole) } else { return Vec::new() };
    let below = place == Place::ArcBelow;
    // Along the bottom the letters stand on the line, over the top they hang within it.
    let (rx, ry) = if below { (radii.0 - size * 0.15, radii.1 - size * 0.15) } else { (radii.0 - size * 0.75, radii.1 - size * 0.75) };
    let mean = f64::midpoint(rx, ry).max(1e-6);
    let mut along = -whole * size / 2.0;
    let mut items = Vec::new();
    for sign in text.chars() {
        let letter = line(face, sign.encode_utf8(&mut [0; 4]));
        let wide = letter.width_mm(size);
        let angle = (along + wide / 2.0) / mean;
        let (at, turn) = if below {
            (Point::new(centre.x + rx * angle.sin(), centre.y + ry * angle.cos()), -angle)
        } else {
            (Point::new(centre.x + rx * angle.sin(), centre.y - ry * angle.cos()), angle)
        };
        let to = Affine::translate(at.to_vec2()) * Affine::rotate(turn) * Affine::translate((-wide / 2.0, 0.0));
        items.push(Item::fill(to * letter.outlines(size), ink));
        along += wide;
    }
    items
}

/// The squares of a QR code (ISO/IEC 18004) of a text, with the quiet zone of four squares around it. Nothing where the text is too long for one.
pub(super) fn code(text: &str, rect: Rect) -> Vec<Item> {
    let Ok(code) = qrcode::QrCode::with_error_correction_level(text, qrcode::EcLevel::M) else { return Vec::new() };
    let across = code.width();
    let side = rect.width().min(rect.height());
    let square = side / (across + 8) as f64;
    let mut path = BezPath::new();
    for (at, colour) in code.to_colors().into_iter().enumerate() {
        if colour == qrcode::Color::Dark {
            let (x, y) = ((at % across + 4) as f64 * square + rect.x0, (at / across + 4) as f64 * square + rect.y0);
            path.extend(Rect::new(x, y, x + square, y + square).path_elements(FINE_MM));
        }
    }
    let ground = Rect::from_origin_size(rect.origin(), (side, side)).to_path(FINE_MM);
    vec![Item::fill(ground, Colour::PAPER), Item::fill(path, Colour([0, 0, 0]))]
}

/// A bar of 100 mm with its marks, and what it is for.
pub(super) fn check_bar(at: Point, room: f64) -> Vec<Item> {
    let thin = Stroke::new(Colour::INK, 0.2);
    let mut items = vec![Item::straight(at + Vec2::new(0.0, 2.0), at + Vec2::new(100.0, 2.0), thin.clone())];
    for n in 0..=20 {
        let x = f64::from(n) * 5.0;
        let high = if n % 10 == 0 {
            2.4
        } else if n % 2 == 0 {
            1.6
        } else {
            0.9
        };
        items.push(Item::straight(at + Vec2::new(x, 2.0 - high), at + Vec2::new(x, 2.0), thin.clone()));
    }
    for (x, says) in [(0.0_f64, "0"), (50.0, "50"), (100.0, say!("100 mm"))] {
        items.push(centred(SMALL, at + Vec2::new(x.max(0.9), 5.0), says));
    }
    let says = say!("100 mm: if a rule says otherwise, print again at 'actual size'");
    let wide = line(SMALL.face, says).width_mm(SMALL.size_mm);
    if room >= 112.0 + wide {
        items.push(words(SMALL, at + Vec2::new(110.0, 2.6), says));
    }
    items
}

/// A number in a circle.
pub(super) fn bubble(at: Point, radius: f64, number: &str, colour: Colour) -> Vec<Item> {
    let set = Type { face: Face::Bold, size_mm: radius * 1.25, colour: Colour::PAPER };
    vec![Item::fill(Circle::new(at, radius).to_path(FINE_MM), colour), centred(set, at + Vec2::new(0.0, radius * 0.44), number)]
}

/// A measure from one point to another with its number: a dimension line as in a workshop drawing.
pub(super) fn dimension(from: Point, to: Point, says: &str) -> Vec<Item> {
    let along = to - from;
    if along.hypot() < 1e-6 {
        return Vec::new();
    }
    let thin = Stroke::new(Colour::SOFT, 0.13);
    let across = Vec2::new(-along.y, along.x) / along.hypot();
    let mut items = vec![Item::straight(from, to, thin.clone())];
    for end in [from, to] {
        items.push(Item::straight(end - across * 1.0, end + across * 1.0, thin.clone()));
    }
    let set = Type { colour: Colour::SOFT, ..SMALL };
    let middle = from.midpoint(to);
    let wide = line(set.face, says).width_mm(set.size_mm);
    if along.x.abs() > along.y.abs() {
        let ground = Rect::from_center_size(middle, (wide + 1.2, set.size_mm)).to_path(FINE_MM);
        items.push(Item::fill(ground, Colour::PAPER));
        items.push(centred(set, middle + Vec2::new(0.0, set.size_mm * 0.33), says));
    } else {
        let ground = Rect::from_center_size(middle, (wide + 0.6, set.leading())).to_path(FINE_MM);
        items.push(Item::fill(ground, Colour::PAPER));
        items.push(centred(set, middle + Vec2::new(0.0, set.size_mm * 0.33), says));
    }
    items
}

/// A number without noughts at its end: '92', '92.5'.
pub(super) fn trim(value: f64) -> String {
    let text = format!("{value:.1}");
    decimal(text.strip_suffix(".0").map_or_else(|| text.clone(), str::to_owned))
}

/// '1 : 1, true size', '1 : 2', '1 : 2.5'.
pub(super) fn scale_words(scale: f64) -> String {
    if (scale - 1.0).abs() < 1e-9 { say!("1 : 1, true size").to_owned() } else { format!("1 : {}", trim(1.0 / scale)) }
}

/// The largest scale, of those that drawings have, that is not above `most`: 1 : 1, 1 : 2, 1 : 2.5, 1 : 3, 1 : 4, 1 : 5, then 1 : 10 and so on.
pub(super) fn fitting_scale(most: f64) -> f64 {
    let steps = [1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0, 50.0, 100.0];
    steps.into_iter().map(|n| 1.0 / n).find(|scale| *scale <= most + 1e-9).unwrap_or_else(|| most.max(1e-6))
}

/// A row of dots from one place to another, as in a list of contents.
pub(super) fn dots(from: Point, to_x: f64) -> Option<Item> {
    (to_x - from.x > 3.0).then(|| Item::straight(from, (to_x, from.y), Stroke::dashed(Colour::FAINT, 0.25, 0.25, 1.0)))
}

/// Height of the small drawing in a row of text.
pub(super) const ROW_GLYPH: f64 = 8.5;

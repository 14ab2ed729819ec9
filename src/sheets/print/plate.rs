//! The comparison plate: look-alikes side by side at one scale, with the tells between them called out.

use super::draw;
use super::flow::{BODY, CheckBar, Flow, HEADING, SMALL, SOFT, STRONG, Strip, Type, stacked, text};
use super::setup::{Fold, Setup};
use super::table::{self, Cell, Column};
use super::{PrintError, finished};
use crate::identify::{Index, Tell, Tells};
use crate::key::outline::Silhouette;
use crate::key::{Dimension, FeatureKind, Form, FormId, Key, Part, View, capital, percent};
use crate::say;
use crate::sheets::page::{Colour, Document, Item, Paper, Stroke};
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Vec2};

/// Tells that get a number on the drawings.
const NUMBERED: usize = 9;
/// The least room for the drawings on a first page that has as much, in mm.
const TALL_MM: f64 = 140.0;
/// What stands above, between and under the drawings: the scale, the table they stand on, letters, names.
const AROUND_MM: f64 = 30.0;
/// Between one drawing and the next.
const GAP_MM: f64 = 14.0;
/// Radius of a number on a drawing.
const BUBBLE_MM: f64 = 2.1;

/// Lays a plate of two to six forms out.
///
/// # Errors
/// [`PrintError::Count`] for fewer or more; forms the key does not have count for nothing.
pub fn plate(key: &Key, index: &Index, forms: &[FormId], setup: &Setup) -> Result<Document, PrintError> {
    let mut chosen: Vec<&Form> = Vec::new();
    for form in forms.iter().filter_map(|id| key.form(id)) {
        if !chosen.iter().any(|other| other.id == form.id) {
            chosen.push(form);
        }
    }
    if !(2..=6).contains(&chosen.len()) {
        return Err(PrintError::Count(chosen.len()));
    }
    let ids: Vec<FormId> = chosen.iter().map(|form| form.id.clone()).collect();
    let tells = index.tells(&ids, None);
    let title = match chosen.as_slice() {
        [one, other] => key.pair_names(&one.id, &other.id),
        _ => say!("{n} look-alikes", n = chosen.len()),
    };
    let title = say!("Telling apart: {title}", title);
    let figures: Vec<Figure> = chosen.iter().map(|form| Figure::of(form)).collect();
    // Of the scales the longest in words is measured with, so that what is measured is not less than what is used.
    let about = |scale: f64| say!("{title} · drawn {scale}", title = key.about.title, scale = draw::scale_words(scale));
    let heads = [title, about(1.0)];
    let place = best_place(&figures, *setup, &heads);
    let mut flow = place.lies.begun(*setup, &heads[0], &about(place.scale));
    if place.scale < 1.0 - 1e-9 {
        flow.remark(where_true_size_fits(&figures, *setup, &heads, place.scale));
    }
    for (number, views) in place.views.iter().enumerate() {
        if number > 0 {
            flow.next_page();
        }
        flow.place(vec![drawings(key, &chosen, &figures, &tells, (*views, place.scale), flow.width())]);
    }
    flow.space(2.0);
    tell_table(key, &chosen, &tells, &mut flow);
    for (head, features) in [(say!("The same in all"), &tells.same), (say!("Not recorded well enough"), &tells.unknown)] {
        if !features.is_empty() {
            let names: Vec<String> = features.iter().map(|id| key.feature_name(id)).collect();
            flow.space(1.0);
            let mut strips = text(Type { face: crate::sheets::page::Face::Bold, ..SMALL }, head, flow.width());
            strips.extend(text(SMALL, &names.join("; "), flow.width()));
            flow.place(vec![stacked(strips)]);
        }
    }
    Ok(finished(flow.end(), *setup))
}

/// What is drawn of a form.
struct Figure {
    side: Silhouette,
    above: Silhouette,
}

impl Figure {
    fn of(form: &Form) -> Self {
        Self { side: form.shape.silhouette(), above: form.shape.above() }
    }

    fn width(&self) -> f64 {
        // Both stand on one axis, so the wider reach to either side counts.
        self.right() - self.left()
    }

    fn left(&self) -> f64 {
        self.side.bounds.x0.min(self.above.bounds.x0)
    }

    fn right(&self) -> f64 {
        self.side.bounds.x1.max(self.above.bounds.x1)
    }
}

fn heights(figures: &[Figure]) -> (f64, f64) {
    let most = |of: fn(&Figure) -> f64| figures.iter().map(of).fold(1.0, f64::max);
    (most(|figure| figure.side.bounds.height()), most(|figure| figure.above.bounds.height()))
}

/// How the paper lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lies {
    /// On its long edge.
    Along,
    /// On its short edge, as a phone and a booklet are held.
    Upright,
}

impl Lies {
    fn begun(self, setup: Setup, title: &str, about: &str) -> Flow {
        match self {
            Self::Upright => Flow::new(setup, title, about, 1, CheckBar::Yes),
            Self::Along => Flow::landscape(setup, title, about, CheckBar::Yes),
        }
    }
}

/// Which of its views a strip shows of each form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Views {
    Both,
    Side,
    Above,
}

impl Views {
    const fn side(self) -> bool {
        matches!(self, Self::Both | Self::Side)
    }

    const fn above(self) -> bool {
        matches!(self, Self::Both | Self::Above)
    }
}

/// How the drawings are placed.
#[derive(Debug, Clone, Copy)]
struct Place {
    lies: Lies,
    /// One strip a page.
    views: &'static [Views],
    scale: f64,
}

/// The best place for the drawings: true size where they find room for it, if need be on a page of their own with what tells them apart behind them, or
/// one page from the side and one from above; else the largest scale that leaves room for what tells them apart.
fn best_place(figures: &[Figure], setup: Setup, heads: &[String; 2]) -> Place {
    const TOGETHER: &[Views] = &[Views::Both];
    const APART: &[Views] = &[Views::Side, Views::Above];
    let ways: &[Lies] = if setup.paper == Paper::Phone || setup.is_booklet() { &[Lies::Upright] } else { &[Lies::Along, Lies::Upright] };
    let rooms: Vec<(Lies, f64, f64)> = ways
        .iter()
        .map(|lies| {
            let flow = lies.begun(setup, &heads[0], &heads[1]);
            (*lies, flow.width(), flow.left())
        })
        .collect();
    let (side, above) = heights(figures);
    for (views, tall, beneath) in [(TOGETHER, side + above, true), (TOGETHER, side + above, false), (APART, side.max(above), false)] {
        let room = |left: f64| if beneath { beside_a_table(left) } else { left };
        if let Some(found) = rooms.iter().find(|(_, width, left)| scale(figures, *width, tall, room(*left)) >= 1.0 - 1e-9) {
            return Place { lies: found.0, views, scale: 1.0 };
        }
    }
    let mut best = Place { lies: Lies::Upright, views: TOGETHER, scale: 0.0 };
    for (lies, width, left) in rooms {
        let fits = scale(figures, width, side + above, beside_a_table(left));
        if fits > best.scale + 1e-9 {
            best = Place { lies, scale: fits, ..best };
        }
    }
    best
}

/// Of the height of a page what drawings may take so that the first tells stand on it too.
fn beside_a_table(left: f64) -> f64 {
    (left * 0.75).max(TALL_MM.min(left))
}

fn scale(figures: &[Figure], width: f64, tall: f64, room: f64) -> f64 {
    let wide: f64 = figures.iter().map(Figure::width).sum::<f64>().max(1.0);
    let across = (width - GAP_MM * figures.len() as f64 - 4.0) / wide;
    let down = (room - AROUND_MM).max(10.0) / tall.max(1.0);
    draw::fitting_scale(across.min(down).max(0.01))
}

/// What to do for true size, where this paper has no room for it.
fn where_true_size_fits(figures: &[Figure], setup: Setup, heads: &[String; 2], scale: f64) -> String {
    let words = draw::scale_words(scale);
    let large = Setup { paper: Paper::A3, fold: Fold::Flat, ..setup };
    if setup.paper != Paper::A3 && best_place(figures, large, heads).scale >= 1.0 - 1e-9 {
        return say!("drawn {scale}: these pieces are too large for true size on this paper; on A3 they are drawn 1 : 1", scale = words);
    }
    say!("drawn {scale}: these pieces are too large for true size on any paper offered", scale = words)
}

/// 'A', 'B' and so on.
fn letter(at: usize) -> String {
    char::from(b'A' + u8::try_from(at.min(25)).unwrap_or(25)).to_string()
}

fn drawings(key: &Key, forms: &[&Form], figures: &[Figure], tells: &Tells, (views, scale): (Views, f64), width: f64) -> Strip {
    let (tall, deep) = heights(figures);
    // Seen from the side they stand on a table; their letters are below it. From above alone the letters come first.
    let table = if views.side() { tall * scale + 4.0 } else { 0.0 };
    let wide: f64 = figures.iter().map(|figure| figure.width() * scale).sum();
    let gap = (width - wide) / (figures.len() as f64 + 1.0);
    let mut items = Vec::new();
    if views.side() {
        items.push(Item::straight((0.0, table), (width, table), Stroke::new(Colour::CUT, 0.5)));
    }
    let mut names = Vec::new();
    let mut x = gap;
    let middle = table + 11.0 + deep * scale / 2.0;
    for (at, (form, figure)) in forms.iter().zip(figures).enumerate() {
        let axis = x - figure.left() * scale;
        let (stands, lies) = (Point::new(axis, table), Point::new(axis, middle));
        if views.side() {
            items.extend(draw::side(&form.shape, stands, scale, Colour::CLAY));
        }
        if views.above() {
            items.extend(draw::view(&figure.above, lies, scale, Colour::WASH));
        }
        items.extend(draw::bubble(Point::new(axis, table + 4.6), 2.6, &letter(at), Colour::INK));
        let room = (gap + figure.width() * scale - 3.0).max(20.0);
        names.push((axis, room, format!("{} {}", letter(at), key.full_name(form))));
        items.extend(numbers(key, tells, at, figure, (views, stands, lies), scale));
        x += figure.width() * scale + gap;
    }
    let below = if views.above() { middle + deep * scale / 2.0 + 3.0 } else { table + 10.0 };
    let mut high: f64 = 0.0;
    for (axis, room, name) in names {
        let strip = stacked(text(Type { size_mm: BODY.size_mm, ..STRONG }, &name, room));
        high = high.max(strip.height);
        let left = (axis - room / 2.0).clamp(0.0, (width - room).max(0.0));
        items.extend(strip.items.into_iter().map(|item| {
            // Each line about the axis.
            let by = match &item {
                Item::Text { size_mm, line, .. } => (room - line.width_mm(*size_mm)) / 2.0,
                Item::Path { .. } | Item::Picture { .. } => 0.0,
            };
            item.shifted(Vec2::new(left + by.max(0.0), below))
        }));
    }
    let told = scale_told(scale, views, width);
    let under = below + high + 1.0;
    items.extend(told.items.into_iter().map(|item| item.shifted(Vec2::new(0.0, under))));
    Strip { height: under + told.height, items, keep: false }
}

/// The scale under the drawings, in letters that are not overlooked.
fn scale_told(scale: f64, views: Views, width: f64) -> Strip {
    let drawn = draw::scale_words(scale);
    let says = match views {
        Views::Side => say!("Drawn {scale}: from the side", scale = drawn),
        Views::Above => say!("Drawn {scale}: from above", scale = drawn),
        Views::Both if scale >= 1.0 - 1e-9 => say!("Drawn {scale}", scale = drawn),
        Views::Both => say!("Drawn {scale}: smaller than the pieces are", scale = drawn),
    };
    stacked(text(STRONG, &says, width))
}

/// The numbers of the tells at the parts they are about.
fn numbers(key: &Key, tells: &Tells, at: usize, figure: &Figure, (views, stands, lies): (Views, Point, Point), scale: f64) -> Vec<Item> {
    let mut items = Vec::new();
    let mut taken: Vec<Point> = Vec::new();
    for (number, tell) in tells.tells.iter().take(NUMBERED).enumerate() {
        // A form of which it is not recorded, or which has no such part, gets no number there.
        if tell.groups.get(at).is_none_or(Option::is_none) {
            continue;
        }
        let (seen, origin) = match (tell.view, measured(key, tell)) {
            (_, Some(Dimension::RimLong | Dimension::RimShort | Dimension::LidLong | Dimension::LidShort)) | (View::Above, _) => {
                (&figure.above, lies)
            }
            (View::Side, _) | (View::Hand, Some(_)) => (&figure.side, stands),
            (View::Underneath, _) if tell.part == Part::Foot => (&figure.side, stands),
            // What is felt, weighed or seen underneath has no place on these drawings.
            (View::Underneath | View::Hand, _) => continue,
        };
        let there = if std::ptr::eq(seen, &raw const figure.above) { views.above() } else { views.side() };
        if !there {
            continue;
        }
        let Some(edge) = edge_of(seen, tell.part, draw::page_from_piece(origin, scale)) else { continue };
        let mut place = edge + Vec2::new(BUBBLE_MM + 1.4, 0.0);
        while taken.iter().any(|other| (*other - place).hypot() < 2.0 * BUBBLE_MM + 0.4) {
            place.y += 2.0 * BUBBLE_MM + 0.5;
        }
        taken.push(place);
        items.push(Item::straight(edge - Vec2::new(1.5, 0.0), place, Stroke::new(Colour::GLOW, 0.25)));
        items.extend(draw::bubble(place, BUBBLE_MM, &(number + 1).to_string(), Colour::GLOW));
    }
    items
}

/// The dimension of the drawing that a tell measures.
fn measured(key: &Key, tell: &Tell) -> Option<Dimension> {
    match key.feature(&tell.feature).map(|feature| &feature.kind) {
        Some(FeatureKind::Measure(kind)) => kind.of,
        _ => None,
    }
}

/// Where a part reaches furthest to the right; in the middle of a wall that stands upright.
fn edge_of(seen: &Silhouette, part: Part, to: Affine) -> Option<Point> {
    let ends = |path: &BezPath| (to * path.clone()).elements().iter().filter_map(PathEl::end_point).collect::<Vec<Point>>();
    let points: Vec<Point> = seen.outlines_of(part).flat_map(ends).collect();
    let right = points.iter().map(|point| point.x).reduce(f64::max)?;
    let there: Vec<f64> = points.iter().filter(|point| point.x > right - 0.1).map(|point| point.y).collect();
    Some(Point::new(right, there.iter().sum::<f64>() / there.len().max(1) as f64))
}

fn tell_table(key: &Key, forms: &[&Form], tells: &Tells, flow: &mut Flow) {
    if tells.tells.is_empty() {
        flow.place(text(HEADING, say!("Nothing that is recorded tells these forms apart"), flow.width()));
        return;
    }
    let columns: Vec<Column> = std::iter::once(Column::new(say!("look at"), 1.5))
        .chain(forms.iter().enumerate().map(|(at, form)| Column::new(format!("{} {}", letter(at), key.full_name(form)), 1.0)))
        .collect();
    let rows = tells.tells.iter().enumerate().map(|(number, tell)| {
        let mut cells = vec![head(number, tell)];
        cells.extend((0..forms.len()).map(|at| value(key, tell, at)));
        cells
    });
    table::place(flow, &columns, rows.collect::<Vec<_>>());
}

fn head(number: usize, tell: &Tell) -> Cell {
    let (view, share) = (tell.view.words(), percent(tell.surely));
    let sure = if tell.lid_on_only {
        say!("{view}, lid on · right {share} of the time", view, share)
    } else {
        say!("{view} · right {share} of the time", view, share)
    };
    let drawing = (number < NUMBERED).then(|| {
        let at = Point::new(2.6, 2.9);
        (5.4, 5.8, draw::bubble(at, BUBBLE_MM, &(number + 1).to_string(), Colour::GLOW))
    });
    Cell { drawing, words: vec![(STRONG, capital(&tell.name)), (SMALL, sure)] }
}

fn value(key: &Key, tell: &Tell, at: usize) -> Cell {
    let words = tell.values.get(at).cloned().unwrap_or_default();
    let square = Rect::new(0.0, 0.0, 8.0, 8.0);
    let drawn = match (key.feature(&tell.feature), tell.value_ids.get(at).and_then(|ids| ids.first())) {
        (Some(feature), Some(id)) => draw::value(key, feature, id, square),
        _ => Vec::new(),
    };
    let set = if tell.groups.get(at).is_none_or(Option::is_none) { SOFT } else { BODY };
    Cell { drawing: (!drawn.is_empty()).then_some((8.0, 8.0, drawn)), words: vec![(set, words)] }
}

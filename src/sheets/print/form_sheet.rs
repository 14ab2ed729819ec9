//! The sheet of a form: profile, plan, measures, features by part, glazes, marks, and the papers it is claimed from.

use super::draw;
use super::flow::{BODY, CheckBar, Flow, HEADING, SMALL, SOFT, STRONG, Strip, stacked, text};
use super::setup::Setup;
use super::table::{self, Cell, Column};
use super::{PrintError, finished};
use crate::key::shape::Shape;
use crate::key::{Form, FormId, Held, How, Key, Mark, Often, Paper, Part, Record, Used, When, Years, capital};
use crate::sheets::page::{Colour, Document, Item, Stroke};
use crate::{say, say_count};
use kurbo::{BezPath, Point, Rect};

/// Room for the drawing of a form, in mm of height.
const TALL_MM: f64 = 108.0;
/// Left and right of the drawing for its measures.
const RULE_MM: f64 = 13.0;

/// Lays out a sheet for each form, each beginning on a page of its own.
///
/// # Errors
/// [`PrintError::NothingChosen`] where no form is named that the key has.
pub fn form_sheets(key: &Key, forms: &[FormId], setup: &Setup) -> Result<Document, PrintError> {
    let forms: Vec<&Form> = forms.iter().filter_map(|id| key.form(id)).collect();
    let Some(first) = forms.first() else { return Err(PrintError::NothingChosen) };
    let title = if forms.len() == 1 { capital(&key.full_name(first)) } else { say_count!(n = forms.len(), "{n} form", "{n} forms") };
    let mut flow = Flow::new(*setup, &title, &key.about.title, 1, CheckBar::Yes);
    for (at, form) in forms.iter().enumerate() {
        if at > 0 {
            flow.next_page();
        }
        if forms.len() > 1 {
            flow.place(text(HEADING, &capital(&key.full_name(form)), flow.width()));
        }
        sheet(key, form, &mut flow);
    }
    Ok(finished(flow.end(), *setup))
}

fn sheet(key: &Key, form: &Form, flow: &mut Flow) {
    let width = flow.width();
    let mut about: Vec<String> = Vec::new();
    if !form.also.is_empty() {
        about.push(say!("also {names}", names = form.also.join(", ")));
    }
    if !form.made.is_open() {
        about.push(say!("made {years}", years = form.made.words()));
    }
    for held in &form.borrowed_by {
        let line = key.line(&held.id).map_or_else(|| held.id.to_string(), |line| line.name.clone());
        about.push(say!("borrowed by {line} ({how})", line, how = held.how.words()));
    }
    if !about.is_empty() {
        flow.place(text(BODY, &capital(&about.join(" · ")), width));
    }
    flow.space(1.5);
    flow.place(vec![drawing(&form.shape, width)]);
    flow.space(1.5);
    heading(flow, say!("Features"));
    features(key, form, flow);
    held(
        flow,
        say!("Glazes"),
        &form.glazes,
        |id| {
            key.glaze(id).map(|glaze| {
                let swatch = draw::swatch(Rect::new(0.0, 0.0, 8.0, 6.0), draw::of_lab(glaze.lab));
                Entry { drawing: vec![swatch], wide: 8.0, high: 6.0, name: glaze.name.clone(), made: glaze.made }
            })
        },
        key,
    );
    held(
        flow,
        say!("Decorations"),
        &form.decorations,
        |id| {
            key.decoration(id).map(|decoration| {
                let drawing = draw::glyph(&decoration.drawing.glyph(), Rect::new(0.0, 0.0, 7.0, 7.0));
                Entry { drawing, wide: 8.0, high: 7.0, name: decoration.name.clone(), made: decoration.made }
            })
        },
        key,
    );
    held(
        flow,
        say!("Marks"),
        &form.marks,
        |id| {
            key.mark(id).map(|mark| {
                let drawing = draw::mark(mark, Rect::new(0.0, 0.0, 13.0, 11.0));
                Entry { drawing, wide: 13.0, high: 11.0, name: mark_name(mark), made: mark.made }
            })
        },
        key,
    );
    claims(key, form, flow);
    papers(key, form, flow);
    if !form.note.is_empty() {
        heading(flow, say!("Note"));
        flow.place(text(BODY, &form.note, width));
    }
}

fn mark_name(mark: &Mark) -> String {
    if mark.used == Used::NeverUsed {
        say!("{mark} (drawn, never put on ware as far as is known)", mark = mark.name)
    } else {
        mark.name.clone()
    }
}

fn heading(flow: &mut Flow, words: &str) {
    flow.space(3.0);
    let mut strips = text(HEADING, words, flow.width());
    // A heading is never the last of a page.
    if flow.left() < 22.0 {
        flow.next_column();
    }
    strips.push(Strip::space(0.6));
    flow.place(strips);
}

/// Profile with the cut half at the left, and the plan, at one scale.
fn drawing(shape: &Shape, width: f64) -> Strip {
    let side = shape.silhouette();
    let above = shape.above();
    let (sw, sh) = (side.bounds.width().max(1.0), side.bounds.height().max(1.0));
    let (aw, ah) = (above.bounds.width().max(1.0), above.bounds.height().max(1.0));
    let between = 16.0;
    let beside = ((width - 2.0 * RULE_MM - between) / (sw + aw)).min(TALL_MM / sh.max(ah));
    let under = ((width - 2.0 * RULE_MM) / sw.max(aw)).min((1.4 * TALL_MM - 12.0) / (sh + ah));
    let (beside, under) = (draw::fitting_scale(beside), draw::fitting_scale(under));
    let is_beside = beside >= under;
    let scale = beside.max(under);
    let label = SMALL.leading();
    let top = 3.0;
    let (axis, table, plan, high) = if is_beside {
        let tall = (sh.max(ah)) * scale;
        let left = RULE_MM + (width - 2.0 * RULE_MM - between - (sw + aw) * scale).max(0.0) / 2.0;
        let table = top + tall;
        let axis = left - side.bounds.x0 * scale;
        let plan = Point::new(left + sw * scale + between - above.bounds.x0 * scale, top + tall / 2.0);
        (axis, table, plan, table + 8.0 + label)
    } else {
        let table = top + sh * scale;
        let axis = width / 2.0 - side.bounds.center().x * scale;
        let plan = Point::new(width / 2.0 - above.bounds.center().x * scale, table + 10.0 + ah * scale / 2.0);
        (axis, table, plan, plan.y + ah * scale / 2.0 + 3.0 + label)
    };
    let stands = Point::new(axis, table);
    let mut items = draw::side(shape, stands, scale, Colour::CLAY);
    items.extend(cut(shape, stands, scale));
    items.extend(draw::view(&above, plan, scale, Colour::WASH));
    if shape.lid_top_mm().is_none() {
        let mouth = draw::page_from_piece(plan, scale) * shape.mouth();
        items.push(Item::stroke(mouth, Stroke::new(Colour::SOFT, 0.15)));
    }
    let (x0, x1) = (axis + side.bounds.x0 * scale, axis + side.bounds.x1 * scale);
    items.push(Item::straight((x0 - 3.0, table), (x1 + 3.0, table), Stroke::new(Colour::SOFT, 0.25)));
    let top_of = table - side.bounds.y1 * scale;
    items.push(Item::straight((axis, top_of - 2.5), (axis, table + 2.5), Stroke::dashed(Colour::SOFT, 0.15, 2.2, 0.9)));
    let mm = |value: f64| draw::trim(value);
    let rim = table - shape.rim_height_mm() * scale;
    items.extend(draw::dimension(Point::new(x0 - 6.0, table), Point::new(x0 - 6.0, rim), &mm(shape.rim_height_mm())));
    if shape.lid_top_mm().is_some() {
        let whole = table - shape.height_mm() * scale;
        items.extend(draw::dimension(Point::new(x1 + 6.0, table), Point::new(x1 + 6.0, whole), &mm(shape.height_mm())));
    }
    let radius = shape.max_radius_mm() * scale;
    items.extend(draw::dimension(
        Point::new(axis - radius, table + 4.5),
        Point::new(axis + radius, table + 4.5),
        &mm(2.0 * shape.max_radius_mm()),
    ));
    let says = say!("drawn {scale}; measures in mm, left the body cut open", scale = draw::scale_words(scale));
    items.push(draw::centred(SMALL, Point::new(width / 2.0, high - 0.8), &says));
    Strip { height: high, items, keep: false }
}

/// The left half cut open: the hollow white, the wall dark.
fn cut(shape: &Shape, stands: Point, scale: f64) -> Vec<Item> {
    let to = draw::page_from_piece(stands, scale) * kurbo::Affine::FLIP_X;
    let mut items = Vec::new();
    for (outside, wall) in [(shape.lid_profile(0.05), shape.lid_section()), (shape.body_profile(0.05), shape.section())] {
        let (Some(&(_, low)), Some(&(_, high))) = (outside.first(), outside.last()) else { continue };
        if wall.is_empty() {
            continue;
        }
        let mut half = BezPath::new();
        half.move_to((0.0, low));
        for point in &outside {
            half.line_to(*point);
        }
        half.line_to((0.0, high));
        half.close_path();
        items.push(Item::Path { path: to * half, fill: Some(Colour::PAPER), stroke: Some(Stroke::new(Colour::PAPER, 0.3)) });
        items.push(Item::Path { path: to * wall, fill: Some(Colour::CUT), stroke: Some(Stroke::new(Colour::INK, 0.18)) });
    }
    items
}

fn features(key: &Key, form: &Form, flow: &mut Flow) {
    let mut rows = Vec::new();
    for part in Part::ALL {
        if part != Part::Body && !form.parts.contains(&part) {
            continue;
        }
        let own = key.features.iter().filter(|feature| feature.part == part);
        for feature in own {
            let Some(record) = form.features.get(&feature.id) else { continue };
            if matches!(record, Record::NotRecorded) {
                continue;
            }
            let first = match record {
                Record::Always(id) => Some(id.clone()),
                Record::Values(values) => values.keys().next().cloned(),
                Record::Between(..) | Record::NotRecorded | Record::DoesNotApply => None,
            };
            let drawn = first.map_or_else(Vec::new, |id| draw::value(key, feature, &id, Rect::new(0.0, 0.0, 6.5, 6.5)));
            let words = key.record_words(&feature.id, record);
            let words = words.strip_prefix(format!("{} ", say!("always")).as_str()).unwrap_or(&words).to_owned();
            rows.push(vec![
                Cell::words(SOFT, part.word()),
                Cell { drawing: None, words: vec![(STRONG, capital(&feature.shown_name())), (SMALL, feature.view.words().to_owned())] },
                Cell { drawing: (!drawn.is_empty()).then_some((6.5, 6.5, drawn)), words: vec![(BODY, words)] },
            ]);
        }
    }
    if rows.is_empty() {
        flow.place(text(SOFT, say!("nothing is recorded"), flow.width()));
        return;
    }
    table::place(flow, &[Column::new(say!("part"), 0.35), Column::new(say!("feature"), 1.0), Column::new(say!("recorded"), 1.6)], rows);
}

struct Entry {
    drawing: Vec<Item>,
    wide: f64,
    high: f64,
    name: String,
    made: Years,
}

fn held<Id: std::fmt::Display>(flow: &mut Flow, head: &str, list: &[Held<Id>], entry: impl Fn(&Id) -> Option<Entry>, key: &Key) {
    if list.is_empty() {
        return;
    }
    heading(flow, head);
    let rows = list.iter().map(|held| {
        let known = entry(&held.id);
        let (name, made) =
            known.as_ref().map_or_else(|| (say!("{id} (not in this key)", id = held.id), Years::default()), |e| (e.name.clone(), e.made));
        let mut says = vec![held.how.words().to_owned()];
        if held.often != Often::Always && held.how != How::Refuted {
            says.insert(0, held.often.words());
        }
        let papers: Vec<String> = held.papers.iter().map(|id| key.paper(id).map_or_else(|| id.to_string(), paper_name)).collect();
        says.extend(papers);
        let mut about = vec![(BODY, says.join(" · "))];
        if !held.note.is_empty() {
            about.push((SMALL, held.note.clone()));
        }
        vec![
            Cell { drawing: known.filter(|e| !e.drawing.is_empty()).map(|e| (e.wide, e.high, e.drawing)), words: vec![(STRONG, name)] },
            Cell::words(BODY, made.words()),
            Cell { drawing: None, words: about },
        ]
    });
    let rows: Vec<Vec<Cell>> = rows.collect();
    table::place(
        flow,
        &[Column::new("", 1.0), Column::new(say!(in "a table", "used"), 0.6), Column::new(say!("how it is known"), 1.4)],
        rows,
    );
}

fn claims(key: &Key, form: &Form, flow: &mut Flow) {
    if form.claims.is_empty() {
        return;
    }
    heading(flow, say!("Claims"));
    for claim in &form.claims {
        let papers: Vec<String> = claim.papers.iter().map(|id| key.paper(id).map_or_else(|| id.to_string(), paper_name)).collect();
        let how = std::iter::once(claim.how.words().to_owned()).chain(papers).collect::<Vec<_>>().join(" · ");
        let mut strips = text(BODY, &claim.says, flow.width());
        strips.extend(text(SMALL, &how, flow.width()));
        strips.push(Strip::space(1.2));
        flow.place(vec![stacked(strips)]);
    }
}

fn papers(key: &Key, form: &Form, flow: &mut Flow) {
    let cites = |paper: &Paper| {
        let in_held = form.glazes.iter().flat_map(|held| &held.papers).chain(form.decorations.iter().flat_map(|held| &held.papers));
        let more = form.marks.iter().flat_map(|held| &held.papers).chain(form.borrowed_by.iter().flat_map(|held| &held.papers));
        in_held.chain(more).chain(form.claims.iter().flat_map(|claim| &claim.papers)).any(|id| *id == paper.id)
    };
    let mut rows = Vec::new();
    for paper in &key.papers {
        let entries: Vec<String> = paper
            .lists
            .iter()
            .filter(|listed| listed.form.as_ref() == Some(&form.id))
            .map(|listed| {
                if listed.price.is_empty() {
                    format!("‘{}’", listed.written)
                } else {
                    format!("‘{}’, {}", listed.written, listed.price)
                }
            })
            .collect();
        if entries.is_empty() && !cites(paper) {
            continue;
        }
        let says = if entries.is_empty() { say!("cited").to_owned() } else { entries.join("; ") };
        rows.push(vec![Cell::words(STRONG, paper.title.clone()), Cell::words(BODY, when(paper.date)), Cell::words(BODY, says)]);
    }
    if !rows.is_empty() {
        heading(flow, say!("Papers"));
        table::place(flow, &[Column::new(say!("paper"), 1.2), Column::new(say!("date"), 0.5), Column::new(say!("says of it"), 1.4)], rows);
    }
}

fn paper_name(paper: &Paper) -> String {
    format!("{}, {}", paper.title, when(paper.date))
}

/// '7 April 1957', 'April 1957', '1957', 'about 1957', '1955 to 1957'.
pub(super) fn when(date: When) -> String {
    date.words()
}

//! Lists: what lies in a box, and what is still wanted.

use super::draw;
use super::flow::{BODY, CheckBar, Flow, HEADING, SMALL, SOFT, STRONG, Strip, stacked, text};
use super::setup::Setup;
use super::table::{self, Cell, Column};
use super::{PrintError, finished};
use crate::daybook::census::{Census, State};
use crate::daybook::{Find, Photograph};
use crate::key::shape::Shape;
use crate::key::{Form, Key, capital};
use crate::sheets::page::{Colour, Document, Item, Paper, Stroke};
use crate::{say, say_count};
use image::RgbImage;
use kurbo::{Rect, RoundedRect, Shape as _, Vec2};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Whose finds are listed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LotOf {
    /// All of a daybook.
    Daybook,
    /// Those of the box with this label; empty for finds without one.
    Box(String),
    /// Those that were chosen.
    Chosen,
}

/// A box or lot and what lies in it.
#[derive(Debug, Clone)]
pub struct Lot {
    /// Whose finds.
    pub of: LotOf,
    /// Its finds, in the order they are listed.
    pub lines: Vec<LotLine>,
}

/// A find on a list.
#[derive(Debug, Clone)]
pub struct LotLine {
    /// What it is.
    pub title: String,
    /// How sure that is, and the day.
    pub about: String,
    /// The note.
    pub note: String,
    /// The end of its id, which is enough to find it by.
    pub id: String,
    /// Its drawing, where the key has the form.
    pub shape: Option<Shape>,
    /// Its first photograph, small.
    pub photograph: Option<Arc<RgbImage>>,
}

impl Lot {
    /// The finds of a box as they are listed: by form, then as they were found. `small` gives a photograph's pixels, few of them, where it can.
    pub fn of(key: &Key, of: LotOf, finds: &[Find], small: &dyn Fn(&Photograph) -> Option<Arc<RgbImage>>) -> Self {
        let mut finds: Vec<&Find> = finds.iter().collect();
        let name = |find: &Find| find.named.as_ref().map(|named| (named.line_name.clone(), named.form_name.clone()));
        // Those without a name come last.
        finds.sort_by_cached_key(|find| (name(find).is_none(), name(find), find.id));
        let lines = finds.into_iter().map(|find| LotLine {
            title: title(find),
            about: about(find),
            note: find.note.clone(),
            id: id_end(find),
            shape: find.named.as_ref().and_then(|named| key.form(&named.form)).map(|form| form.shape.clone()),
            photograph: find.photographs.first().and_then(small),
        });
        Self { of, lines: lines.collect() }
    }
}

/// 'Covered sugar, Quoin', or how far the naming came.
pub(super) fn title(find: &Find) -> String {
    match &find.named {
        Some(named) if named.line_name.is_empty() => capital(&named.form_name),
        Some(named) => capital(&format!("{}, {}", named.form_name, named.line_name)),
        None => capital(find.standing.words()),
    }
}

fn about(find: &Find) -> String {
    let mut about = vec![find.standing.words().to_owned()];
    if let Some(probability) = find.probability.filter(|_| find.named.is_some()) {
        about.push(crate::key::percent(probability));
    }
    about.push(find.found_at.date().to_string());
    about.join(" · ")
}

/// The last eight signs of an id: the part that chance made.
fn id_end(find: &Find) -> String {
    let id = find.id.to_string();
    id.get(id.len().saturating_sub(8)..).unwrap_or_default().to_owned()
}

/// Lays out what lies in a box.
///
/// # Errors
/// [`PrintError::NoFinds`] where nothing does.
pub fn lot_list(lot: &Lot, setup: &Setup) -> Result<Document, PrintError> {
    let (title, place) = match &lot.of {
        LotOf::Daybook => (say!("All finds").to_owned(), say!("in the daybook").to_owned()),
        LotOf::Chosen => (say!("Finds").to_owned(), say!("among those chosen").to_owned()),
        LotOf::Box(label) if label.is_empty() => (say!("Finds without a box").to_owned(), say!("without a box").to_owned()),
        LotOf::Box(label) => (say!("Box {label}", label), say!("in box '{label}'", label)),
    };
    if lot.lines.is_empty() {
        return Err(PrintError::NoFinds(place));
    }
    let mut flow = Flow::new(*setup, &title, &say_count!(n = lot.lines.len(), "{n} find", "{n} finds"), 1, CheckBar::No);
    let with_photographs = lot.lines.iter().any(|line| line.photograph.is_some());
    let narrow = flow.width() < 110.0;
    let side = if narrow { 13.0 } else { 17.0 };
    let rows = lot.lines.iter().enumerate().map(|(at, line)| {
        let rect = Rect::new(0.0, 0.0, side, side * 0.8);
        let drawn = line.shape.as_ref().map_or_else(Vec::new, |shape| draw::small(shape, rect));
        let mut words = vec![(STRONG, line.title.clone()), (SMALL, format!("{} · …{}", line.about, line.id))];
        if !line.note.is_empty() {
            words.push((BODY, line.note.clone()));
        }
        let mut cells = vec![Cell::words(SOFT, (at + 1).to_string()), Cell::drawn(side, side * 0.8, drawn), Cell { drawing: None, words }];
        if with_photographs {
            cells.push(line.photograph.as_ref().map_or_else(Cell::default, |pixels| photograph(pixels, side * 1.4, &line.title)));
        }
        cells
    });
    let mut columns = vec![Column::new("", 7.0), Column::new("", side + 1.0), Column::new("", flow.width() - side - 8.0)];
    if with_photographs {
        let wide = side * 1.4 + 1.0;
        if let Some(words) = columns.last_mut() {
            words.share -= wide;
        }
        columns.push(Column::new("", wide));
    }
    table::place(&mut flow, &columns, rows.collect::<Vec<_>>());
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for line in &lot.lines {
        *kinds.entry(&line.title).or_default() += 1;
    }
    let tally: Vec<String> = kinds.iter().map(|(kind, n)| format!("{n} × {kind}")).collect();
    flow.space(2.0);
    let mut strips = text(HEADING, say!("In all"), flow.width());
    strips.extend(text(BODY, &tally.join("; "), flow.width()));
    flow.place(strips);
    Ok(finished(flow.end(), *setup))
}

fn photograph(pixels: &Arc<RgbImage>, side: f64, title: &str) -> Cell {
    let (w, h) = (f64::from(pixels.width().max(1)), f64::from(pixels.height().max(1)));
    let scale = side / w.max(h);
    let (w, h) = (w * scale, h * scale);
    let rect = Rect::new(0.0, 0.0, w, h);
    Cell::drawn(w, h, vec![Item::Picture { rect, pixels: Arc::clone(pixels), alt: say!("photograph: {title}", title) }])
}

/// A glaze or decoration that is wanted: its name, its colour, and how it is known.
type Wish = (String, Option<Colour>, &'static str);

/// Lays out what is still wanted: what papers list or the key claims was seen, and the daybook has none of.
///
/// # Errors
/// [`PrintError::NoFinds`] where nothing is wanted.
pub fn wants_list(key: &Key, census: &Census, setup: &Setup) -> Result<Document, PrintError> {
    let mut wanted: Vec<(&Form, Vec<Wish>)> = Vec::new();
    for form in &key.forms {
        let cells =
            census.cells.iter().filter(|cell| cell.form == form.id && matches!(cell.state, State::ListedNeverSeen | State::OnlyClaimed));
        let lines: Vec<_> = cells
            .map(|cell| {
                let glaze = key.glazes.iter().find(|glaze| glaze.id.as_str() == cell.column);
                let decoration = key.decorations.iter().find(|decoration| decoration.id.as_str() == cell.column);
                let name = glaze
                    .map(|glaze| glaze.name.clone())
                    .or_else(|| decoration.map(|d| d.name.clone()))
                    .unwrap_or_else(|| cell.column.clone());
                let how = if cell.state == State::ListedNeverSeen { say!("listed in a paper") } else { say!("said to have been seen") };
                (name, glaze.map(|glaze| draw::of_lab(glaze.lab)), how)
            })
            .collect();
        if !lines.is_empty() {
            wanted.push((form, lines));
        }
    }
    if wanted.is_empty() {
        return Err(PrintError::NoFinds(say!("wanted: everything that is listed or claimed is in the daybook").to_owned()));
    }
    let pieces: usize = wanted.iter().map(|(_, lines)| lines.len()).sum();
    let about = say!(
        "{title}: {pieces} of {forms} not in the daybook yet",
        title = key.about.title,
        pieces = say_count!(n = pieces, "{n} piece", "{n} pieces"),
        forms = say_count!(n = wanted.len(), "{n} form", "{n} forms")
    );
    let columns = if setup.paper == Paper::Phone || setup.is_booklet() { 1 } else { 2 };
    let mut flow = Flow::new(*setup, say!("Wanted"), &about, columns, CheckBar::No);
    for (form, lines) in wanted {
        let width = flow.width();
        let mut strips = vec![form_head(key, form, lines.len(), width)];
        for (name, colour, how) in lines {
            strips.push(want(&name, colour, how, width));
        }
        strips.push(Strip::space(3.5));
        flow.place(strips);
    }
    Ok(finished(flow.end(), *setup))
}

/// A form that is wanted: drawn, named, with its size. So many lines follow.
pub(super) fn form_head(key: &Key, form: &Form, lines: usize, width: f64) -> Strip {
    let drawn = draw::small(&form.shape, Rect::new(0.0, 0.5, 14.0, 12.0));
    let mut head = text(STRONG, &capital(&key.full_name(form)), width - 17.0);
    let (wide, high) = (form.shape.width_mm(), form.shape.height_mm());
    head.extend(text(
        SMALL,
        &say!("{wide} wide, {high} high, in mm", wide = draw::trim(wide.round()), high = draw::trim(high.round())),
        width - 17.0,
    ));
    let mut head = stacked(head);
    head.items = head.items.into_iter().map(|item| item.shifted(Vec2::new(17.0, 0.0))).collect();
    head.items.extend(drawn);
    head.height = head.height.max(if lines == 1 { 8.0 } else { 7.0 });
    head.keep = true;
    head
}

/// A line with a box to tick: what is wanted and why.
pub(super) fn want(name: &str, colour: Option<Colour>, how: &str, width: f64) -> Strip {
    let left = 17.0;
    let box_ = RoundedRect::new(left, 0.9, left + 3.4, 4.3, 0.5).to_path(0.01);
    let mut items = vec![Item::stroke(box_, Stroke::new(Colour::INK, 0.25))];
    items.extend(colour.map(|colour| draw::swatch(Rect::new(left + 5.0, 0.9, left + 9.6, 4.3), colour)));
    let mut words = text(BODY, name, width - left - 11.0);
    words.extend(text(SMALL, how, width - left - 11.0));
    let words = stacked(words);
    items.extend(words.items.into_iter().map(|item| item.shifted(Vec2::new(left + 11.0, 0.2))));
    Strip { height: words.height.max(5.0) + 0.8, items, keep: false }
}

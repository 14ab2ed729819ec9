//! The census: which form exists in which glaze, by what was seen, what papers list and what the key claims.

use super::DaybookView;
use crate::daybook::census::{By, Cell, Census, State, share};
use crate::desk::board::paint::{self, Placing};
use crate::desk::board::vessel::Drawings;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, Colours};
use crate::desk::widgets::{self, button, chip, heading, remark, strong};
use crate::key::{FormId, Key, capital, percent};
use crate::{say, say_count};
use egui::{Align2, Color32, FontId, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use std::collections::{BTreeSet, HashMap};

/// Height of a row, width of its head and least width of a cell, in points.
const ROW: f32 = 50.0;
const HEAD: f32 = 248.0;
const CELL: f32 = 74.0;
/// Room for the silhouette at the head of a row.
const FIGURE: egui::Vec2 = vec2(72.0, ROW - 8.0);
/// Height of the names of the columns, and of what is known of one cell.
const NAMES: f32 = 46.0;
const DETAIL: f32 = 118.0;

/// The census, while it is looked at.
#[derive(Debug, Default)]
pub enum CensusPage {
    /// It is not asked for.
    #[default]
    Closed,
    /// The finds are being counted.
    Reading,
    /// It can't be worked out, with the reason.
    Problem(String),
    /// It is there.
    Ready(Box<Shown>),
}

/// A census laid out.
#[derive(Debug)]
pub struct Shown {
    /// By glaze, by decoration.
    of: [Table; 2],
    by: By,
    /// Only cells in this state are shown, where one was chosen.
    only: Option<State>,
    /// The cell that is looked at: row and column.
    chosen: Option<(usize, usize)>,
}

/// A census as rows and columns. The rows are forms, the columns glazes or decorations.
#[derive(Debug)]
struct Table {
    census: Census,
    rows: Vec<FormId>,
    columns: Vec<String>,
    /// The number of the cell, for each row and column.
    at: HashMap<(usize, usize), usize>,
    /// Points a millimetre of the silhouettes at the heads: all of them to one scale, so that the largest fits.
    scale: f32,
}

impl Table {
    fn new(doc: &Document, census: Census, by: By) -> Self {
        let key = &doc.key;
        let mut columns: Vec<String> = match by {
            By::Glaze => key.glazes.iter().map(|glaze| glaze.id.to_string()).collect(),
            By::Decoration => key.decorations.iter().map(|decoration| decoration.id.to_string()).collect(),
        };
        let mut rows: Vec<FormId> = Vec::new();
        let mut at = HashMap::new();
        let mut row_of: HashMap<FormId, usize> = HashMap::new();
        for (number, cell) in census.cells.iter().enumerate() {
            let row = *row_of.entry(cell.form.clone()).or_insert_with(|| {
                rows.push(cell.form.clone());
                rows.len() - 1
            });
            let column = columns.iter().position(|known| *known == cell.column).unwrap_or_else(|| {
                columns.push(cell.column.clone());
                columns.len() - 1
            });
            at.insert((row, column), number);
        }
        let shown = key.forms.iter().zip(doc.sizes_mm()).filter(|(form, _)| row_of.contains_key(&form.id)).map(|(_, size)| size);
        let largest = shown.fold((1.0f32, 1.0f32), |most, size| (most.0.max(size.0), most.1.max(size.1)));
        let scale = (FIGURE.x / largest.0).min(FIGURE.y / largest.1);
        Self { census, rows, columns, at, scale }
    }

    fn cell(&self, row: usize, column: usize) -> Option<&Cell> {
        self.census.cells.get(*self.at.get(&(row, column))?)
    }

    /// The rows that hold a cell in one of the states.
    fn rows_with(&self, only: Option<State>) -> Vec<usize> {
        let Some(state) = only else { return (0..self.rows.len()).collect() };
        let with: BTreeSet<usize> = self
            .at
            .iter()
            .filter(|(_, number)| self.census.cells.get(**number).is_some_and(|cell| cell.state == state))
            .map(|(at, _)| at.0)
            .collect();
        with.into_iter().collect()
    }
}

impl CensusPage {
    /// Takes in what the job found, unless the person has turned away meanwhile.
    pub fn take_in(&mut self, doc: &Document, made: Result<Box<[Census; 2]>, String>) {
        if matches!(self, Self::Closed) {
            return;
        }
        *self = match made {
            Ok(both) => {
                let [glazes, decorations] = *both;
                let of = [Table::new(doc, glazes, By::Glaze), Table::new(doc, decorations, By::Decoration)];
                Self::Ready(Box::new(Shown { of, by: By::Glaze, only: None, chosen: None }))
            }
            Err(why) => Self::Problem(why),
        };
    }
}

/// Draws the census.
pub(super) fn census_ui(ui: &mut Ui, doc: &Document, view: &mut DaybookView) {
    let mut close = false;
    let c = theme::colours(ui);
    ui.horizontal(|ui| {
        heading(ui, say!("Census"));
        close = button(ui, Icon::Close, say!("Back to the finds")).clicked();
    });
    match &mut view.census {
        CensusPage::Closed => {}
        CensusPage::Reading => {
            remark(ui, say!("Counting the finds …"));
        }
        CensusPage::Problem(why) => {
            ui.colored_label(c.alarm, say!("The finds could not be counted: {why}", why));
        }
        CensusPage::Ready(shown) => shown_ui(ui, doc, shown, &mut view.drawn),
    }
    if close {
        view.census = CensusPage::Closed;
    }
}

fn shown_ui(ui: &mut Ui, doc: &Document, shown: &mut Shown, drawn: &mut Drawings) {
    let number = usize::from(shown.by == By::Decoration);
    ui.horizontal_wrapped(|ui| {
        for (by, words) in [(By::Glaze, say!("Glazes")), (By::Decoration, say!("Decorations"))] {
            if chip(ui, words, shown.by == by).clicked() {
                shown.by = by;
                shown.chosen = None;
            }
        }
        ui.separator();
        let states = shown.of.get(number).map(|table| table.census.states()).unwrap_or_default();
        for (state, cells) in states.into_iter().filter(|(_, cells)| *cells > 0) {
            if chip(ui, &format!("{} {cells}", capital(state.words())), shown.only == Some(state)).clicked() {
                shown.only = if shown.only == Some(state) { None } else { Some(state) };
                shown.chosen = None;
            }
        }
    });
    let Some(table) = shown.of.get(number) else { return };
    richness_ui(ui, table, shown.by);
    if table.rows.is_empty() {
        remark(
            ui,
            say!("Nothing is known of any form in any of them yet: claims in the key, lists in its papers and finds make the census."),
        );
        return;
    }
    let all = ui.available_rect_before_wrap();
    let detail = if shown.chosen.is_some() { DETAIL } else { 0.0 };
    let grid = Rect::from_min_max(all.min, pos2(all.right(), all.bottom() - detail));
    let rows = table.rows_with(shown.only);
    let mut chosen = shown.chosen;
    widgets::in_rect(ui, "grid", grid, |ui| {
        ScrollArea::horizontal().id_salt("columns of the census").auto_shrink(false).show(ui, |ui| {
            let wide = ((grid.width() - HEAD - 24.0) / table.columns.len().max(1) as f32).clamp(CELL, 120.0);
            names_ui(ui, doc, table, shown.by, wide);
            ScrollArea::vertical().id_salt("rows of the census").auto_shrink([true, false]).show_rows(ui, ROW, rows.len(), |ui, range| {
                ui.spacing_mut().item_spacing.y = 0.0;
                for row in rows.iter().skip(range.start).take(range.len()) {
                    if let Some(column) = row_ui(ui, doc, drawn, table, *row, wide, table.scale, (shown.by, shown.only, chosen)) {
                        chosen = if chosen == Some((*row, column)) { None } else { Some((*row, column)) };
                    }
                }
            });
        });
    });
    if let Some(cell) = chosen.and_then(|(row, column)| table.cell(row, column)) {
        let below = Rect::from_min_max(pos2(all.left(), grid.bottom() + 6.0), all.max);
        widgets::in_rect(ui, "one cell", below, |ui| detail_ui(ui, doc, table, cell, shown.by));
    }
    shown.chosen = chosen;
}

fn richness_ui(ui: &mut Ui, table: &Table, by: By) {
    let richness = &table.census.richness;
    if richness.finds == 0 {
        remark(ui, say!("No settled find counts here yet."));
        return;
    }
    let (unseen, (low, high)) = richness.unseen();
    let whole = |n: u64| usize::try_from(n).unwrap_or(usize::MAX);
    let finds = say_count!(n = whole(richness.finds), "{n} settled find", "{n} settled finds");
    let kinds = say_count!(n = whole(richness.kinds), "{n} pair", "{n} pairs");
    let more = if unseen < 0.5 {
        say!("nothing in them speaks yet for pairs that you have not seen").to_owned()
    } else {
        say!("at least {unseen:.0} more are out there that you have not seen (95 in 100: {low:.0} to {high:.0})", unseen, low, high)
    };
    let words = say!(
        "{finds} of {kinds}; {more}, and {coverage} of all pieces are of pairs you have seen",
        finds,
        kinds,
        more,
        coverage = percent(richness.coverage)
    );
    remark(ui, words).on_hover_text(say!("Pairs of form and {by}, by Chao 1984 and by Good and Turing. It holds where finds come as chance brings them, not where only what is wanted is bought", by = by.word()));
}

fn name_of(key: &Key, by: By, column: &str) -> (String, Option<Color32>) {
    match by {
        By::Glaze => key
            .glazes
            .iter()
            .find(|glaze| glaze.id.as_str() == column)
            .map_or_else(|| (column.to_owned(), None), |glaze| (glaze.name.clone(), Some(theme::of_lab(glaze.lab)))),
        By::Decoration => key
            .decorations
            .iter()
            .find(|decoration| decoration.id.as_str() == column)
            .map_or_else(|| (column.to_owned(), None), |decoration| (decoration.name.clone(), None)),
    }
}

fn names_ui(ui: &mut Ui, doc: &Document, table: &Table, by: By, wide: f32) {
    let c = theme::colours(ui);
    let width = HEAD + wide * table.columns.len() as f32;
    let (rect, _) = ui.allocate_exact_size(vec2(width, NAMES), Sense::hover());
    for (number, column) in table.columns.iter().enumerate() {
        let (name, colour) = name_of(&doc.key, by, column);
        let left = rect.left() + HEAD + wide * number as f32;
        let cell = Rect::from_min_size(pos2(left, rect.top()), vec2(wide, NAMES));
        let painter = ui.painter().with_clip_rect(cell.intersect(ui.clip_rect()));
        if let Some(colour) = colour {
            let swatch = Rect::from_center_size(pos2(cell.center().x, cell.top() + 11.0), vec2(wide - 14.0, 18.0));
            painter.rect(swatch, 4.0, colour, Stroke::new(1.0, c.edge), StrokeKind::Inside);
        }
        painter.text(pos2(cell.center().x, cell.bottom() - 4.0), Align2::CENTER_BOTTOM, name, FontId::proportional(13.0), c.ink);
    }
}

/// A row; the column that was clicked.
#[expect(clippy::too_many_arguments, reason = "one row: what, how wide, to which scale, and what is chosen")]
fn row_ui(
    ui: &mut Ui,
    doc: &Document,
    drawn: &mut Drawings,
    table: &Table,
    row: usize,
    wide: f32,
    scale: f32,
    (by, only, chosen): (By, Option<State>, Option<(usize, usize)>),
) -> Option<usize> {
    let c = theme::colours(ui);
    let width = HEAD + wide * table.columns.len() as f32;
    let (rect, _) = ui.allocate_exact_size(vec2(width, ROW), Sense::hover());
    let id = table.rows.get(row)?;
    let form = doc.form(id);
    let name = form.map_or_else(|| id.to_string(), |form| doc.key.full_name(form));
    let figure = Rect::from_min_size(rect.min + vec2(2.0, 3.0), FIGURE);
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    if let Some(form) = form {
        let drawing = drawn.of(form);
        // All heads to one scale, each standing on the foot of its row.
        let scale = scale.min(figure.height() / drawing.bounds.height().max(1.0) as f32);
        let placing = Placing {
            origin: pos2(figure.center().x - drawing.bounds.center().x as f32 * scale, figure.bottom() + drawing.bounds.y0 as f32 * scale),
            scale,
        };
        for path in &drawing.paths {
            paint::fill(&painter, path, placing, c.clay);
        }
    }
    let galley = painter.layout(capital(&name), FontId::proportional(14.0), c.ink, HEAD - 90.0);
    painter.galley(pos2(figure.right() + 8.0, rect.center().y - galley.size().y / 2.0), galley, c.ink);
    painter.hline(rect.x_range(), rect.bottom() - 0.5, Stroke::new(1.0, c.edge));
    let mut clicked = None;
    for (column, id) in table.columns.iter().enumerate() {
        let Some(cell) = table.cell(row, column) else { continue };
        if only.is_some_and(|state| state != cell.state) {
            continue;
        }
        let left = rect.left() + HEAD + wide * column as f32;
        let place = Rect::from_min_size(pos2(left, rect.top()), vec2(wide, ROW)).shrink2(vec2(4.0, 5.0));
        let response = ui.interact(place, widgets::id(("census", row, column, by.word())), Sense::click());
        let (glaze, _) = name_of(&doc.key, by, id);
        let finds = say_count!(n = usize::try_from(cell.finds).unwrap_or(usize::MAX), "{n} find", "{n} finds");
        let words = format!("{name}, {glaze}: {finds}, {}", cell.state.words());
        response.widget_info(|| WidgetInfo::selected(Role::Button, true, chosen == Some((row, column)), &words));
        paint_cell(ui, place, cell, c);
        if chosen == Some((row, column)) || response.hovered() || response.has_focus() {
            ui.painter().rect_stroke(place, 6.0, Stroke::new(2.0, c.glow), StrokeKind::Outside);
        }
        if response.on_hover_text(&words).clicked() {
            clicked = Some(column);
        }
    }
    clicked
}

fn paint_cell(ui: &Ui, place: Rect, cell: &Cell, c: &Colours) {
    let painter = ui.painter().with_clip_rect(place.expand(2.0).intersect(ui.clip_rect()));
    let (fill, edge, ink) = match cell.state {
        State::SeenAndListed => (c.moss, c.moss, c.on_moss),
        State::SeenNeverListed => (c.clay, c.clay_dark, c.ink),
        State::RefutedYetSeen => (c.alarm_wash, c.alarm, c.alarm),
        State::ListedNeverSeen | State::OnlyClaimed => (c.paper, c.ink_soft, c.ink_soft),
        State::Doubtful | State::Refuted => (Color32::TRANSPARENT, c.edge, c.ink_soft),
    };
    painter.rect(place, 6.0, fill, Stroke::new(1.5, edge), StrokeKind::Inside);
    let sign = match cell.state {
        State::SeenAndListed | State::SeenNeverListed | State::RefutedYetSeen => cell.finds.to_string(),
        State::ListedNeverSeen => say!("listed").to_owned(),
        State::OnlyClaimed => say!("claimed").to_owned(),
        State::Doubtful => "?".to_owned(),
        State::Refuted => "×".to_owned(),
    };
    let size = if sign.len() > 3 { 13.0 } else { 18.0 };
    painter.text(place.center(), Align2::CENTER_CENTER, sign, FontId::proportional(size), ink);
}

fn detail_ui(ui: &mut Ui, doc: &Document, table: &Table, cell: &Cell, by: By) {
    let form = doc.form(&cell.form).map_or_else(|| cell.form.to_string(), |form| doc.key.full_name(form));
    let (glaze, _) = name_of(&doc.key, by, &cell.column);
    strong(ui, capital(&format!("{form}, {glaze}: {}", cell.state.words())));
    let (of_form, _) = table.census.settled_of(&cell.form);
    if of_form > 0 {
        let share = share(cell.settled, of_form);
        ui.label(say!(
            "{settled} of {of_form} settled finds of this form; of all pieces of it 95 in 100 times {low} to {high}",
            settled = cell.settled,
            of_form,
            low = percent(share.low),
            high = percent(share.high)
        ));
    }
    if let (Some(first), Some(last)) = (cell.first, cell.last) {
        let day = |at: jiff::Timestamp| super::list::day_words(&at.to_zoned_datetime(jiff::tz::TimeZone::UTC));
        remark(ui, say!("First recorded {first}, last {last}", first = day(first), last = day(last)));
    }
    if !cell.papers.is_empty() {
        let titles: Vec<String> =
            cell.papers.iter().map(|id| doc.key.paper(id).map_or_else(|| id.to_string(), |paper| paper.title.clone())).collect();
        remark(ui, say!("Papers: {titles}", titles = titles.join("; ")));
    }
    if let Some(claimed) = &cell.claimed {
        remark(ui, say!("The key: {often}, {how}", often = claimed.often.words(), how = claimed.how.words()));
    }
}

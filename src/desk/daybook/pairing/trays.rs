//! The two shelves, seen from above: lids over bases, at one scale, those that belong together one under the other with a line between.

use super::detail::{half_words, reason_words};
use super::work::{Sorted, index};
use super::{PairingPage, change};
use crate::daybook::lids::{Half, Paired, Reason, Shelves, Side};
use crate::desk::board::{Placing, paint};
use crate::desk::command::Command;
use crate::desk::theme::{self, Colours};
use crate::desk::widgets;
use crate::key::shape::Plan;
use crate::key::words::fold;
use crate::key::{capital, percent};
use crate::say;
use egui::{Align2, Color32, CornerRadius, FontId, Pos2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use kurbo::BezPath;

/// Height of a number under or over its half, and of the room for the lines, in points.
const NUMBER: f32 = 22.0;
const LINES: f32 = 62.0;
/// Width of the names of the shelves and of the rule, in points.
const MARGIN: f32 = 76.0;
/// The least width of a column, and the gap beside what is drawn.
const LEAST: f32 = 70.0;
const BESIDE: f32 = 18.0;
/// Points a millimetre at the most.
const LARGEST: f32 = 1.1;
/// A pair that is not chosen is drawn from this probability on.
const FAINT: f64 = 0.1;
/// What was not measured is drawn so large, in mm.
const UNKNOWN: f64 = 90.0;

/// Where everything stands.
struct Layout {
    /// Points a millimetre.
    scale: f32,
    /// Height of what is drawn on one shelf.
    tall: f32,
    /// The left edge of each column, and the right edge of the last.
    edges: Vec<f32>,
}

impl Layout {
    fn new(shelves: &Shelves, sorted: &Sorted, height: f32) -> Self {
        let tall = ((height - LINES - 2.0 * NUMBER - 20.0) / 2.0).max(40.0);
        let across = |half: &Half| half.minor.or(half.major).map_or(UNKNOWN, |measured| measured.value);
        let tallest = shelves.lids.iter().chain(&shelves.bases).map(across).fold(40.0, f64::max) as f32;
        let scale = ((tall - 8.0) / tallest).clamp(0.05, LARGEST);
        let wide = |side: Side, at: Option<usize>| {
            let half = at.and_then(|at| shelves.of(side).get(at));
            half.map_or(0.0, |half| half.major.map_or(UNKNOWN, |measured| measured.value) as f32 * scale)
        };
        let mut edges = vec![0.0];
        let mut x = 0.0;
        for (lid, base) in &sorted.columns {
            x += (wide(Side::Lid, *lid).max(wide(Side::Base, *base)) + BESIDE).max(LEAST);
            edges.push(x);
        }
        Self { scale, tall, edges }
    }

    fn width(&self) -> f32 {
        self.edges.last().copied().unwrap_or(0.0)
    }

    /// The middle of a column.
    fn middle(&self, column: usize) -> f32 {
        let edge = |at: usize| self.edges.get(at).copied().unwrap_or(0.0);
        f32::midpoint(edge(column), edge(column + 1))
    }

    fn column_at(&self, x: f32) -> Option<usize> {
        let at = self.edges.partition_point(|edge| *edge <= x);
        at.checked_sub(1).filter(|column| column + 1 < self.edges.len())
    }

    /// Where the middle of a half is drawn, below the top of the area.
    fn row(&self, side: Side) -> f32 {
        match side {
            Side::Lid => NUMBER + self.tall / 2.0,
            Side::Base => NUMBER + self.tall + LINES + 20.0 + self.tall / 2.0,
        }
    }
}

/// Draws the two shelves.
pub(super) fn trays_ui(ui: &mut Ui, shelves: &Shelves, sorted: &Sorted, page: &mut PairingPage, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    let room = ui.available_rect_before_wrap();
    ui.painter().rect(room, CornerRadius::same(theme::ROUND), c.shelf, Stroke::new(1.0, c.edge), StrokeKind::Inside);
    let layout = Layout::new(shelves, sorted, room.height() - 12.0);
    margin_ui(ui, room, &layout, c);
    let inner = Rect::from_min_max(pos2(room.left() + MARGIN, room.top() + 4.0), room.max - vec2(6.0, 2.0));
    widgets::in_rect(ui, "both shelves", inner, |ui| {
        ScrollArea::horizontal().id_salt("lids and bases").auto_shrink(false).show_viewport(ui, |ui, viewport| {
            let (_, area) = ui.allocate_space(vec2(layout.width().max(viewport.width()), ui.available_height()));
            // One screen more on both sides, so that the keyboard can go on.
            let (from, to) = (viewport.left() - viewport.width(), viewport.right() + viewport.width());
            let first = layout.column_at(from.max(0.0)).unwrap_or(0);
            let last = layout.column_at(to).unwrap_or(sorted.columns.len().saturating_sub(1));
            boards(ui, area, &layout, c);
            lines_ui(ui, shelves, sorted, page, area, &layout, (first, last));
            for column in first..=last {
                let Some((lid, base)) = sorted.columns.get(column) else { continue };
                for (side, at) in [(Side::Lid, lid), (Side::Base, base)] {
                    if let Some(at) = at {
                        half_ui(ui, shelves, sorted, page, area, &layout, (side, *at, column), commands);
                    }
                }
            }
            drag_ui(ui, sorted, shelves, page, area, &layout, commands);
        });
    });
}

/// The names of the shelves and a rule.
fn margin_ui(ui: &Ui, room: Rect, layout: &Layout, c: &Colours) {
    let painter = ui.painter();
    for (side, words) in [(Side::Lid, say!("Lids")), (Side::Base, say!("Bases"))] {
        let at = pos2(room.left() + 14.0, room.top() + 4.0 + layout.row(side));
        painter.text(at, Align2::LEFT_CENTER, words, FontId::new(16.0, theme::bold()), c.ink);
    }
    let mm = if 50.0 * layout.scale < MARGIN - 20.0 { 50.0 } else { 20.0 };
    let y = room.top() + 4.0 + NUMBER + layout.tall + 10.0 + LINES / 2.0;
    let (x0, x1) = (room.left() + 14.0, room.left() + 14.0 + mm * layout.scale);
    painter.hline(x0..=x1, y, Stroke::new(1.5, c.ink_soft));
    for x in [x0, x1] {
        painter.vline(x, y - 4.0..=y + 4.0, Stroke::new(1.5, c.ink_soft));
    }
    painter.text(pos2(x0, y + 6.0), Align2::LEFT_TOP, format!("{mm:.0} mm"), FontId::proportional(12.0), c.ink_soft);
}

/// The boards that the halves lie on.
fn boards(ui: &Ui, area: Rect, layout: &Layout, c: &Colours) {
    for side in [Side::Lid, Side::Base] {
        let y = area.top() + layout.row(side) + layout.tall / 2.0 + 2.0;
        ui.painter().rect_filled(Rect::from_min_max(pos2(area.left(), y), pos2(area.right(), y + 5.0)), 2.0, c.wood);
    }
}

/// The ends of a line between two halves: under the lid's board, over the base.
fn ends(area: Rect, layout: &Layout, lid_column: usize, base_column: usize) -> [Pos2; 2] {
    let from = pos2(area.left() + layout.middle(lid_column), area.top() + layout.row(Side::Lid) + layout.tall / 2.0 + 8.0);
    let to = pos2(area.left() + layout.middle(base_column), area.top() + layout.row(Side::Base) - layout.tall / 2.0 - 4.0);
    [from, to]
}

fn lines_ui(ui: &Ui, shelves: &Shelves, sorted: &Sorted, page: &PairingPage, area: Rect, layout: &Layout, (first, last): (usize, usize)) {
    let c = theme::colours(ui);
    let painter = ui.painter();
    for column in first..=last {
        let Some((Some(lid), base)) = sorted.columns.get(column) else { continue };
        for other in sorted.others_of(Side::Lid, *lid).iter().filter(|other| other.probability >= FAINT && Some(other.at) != *base) {
            if let Some(to) = sorted.column_of.get(index(Side::Base)).and_then(|all| all.get(&other.at)) {
                let line = ends(area, layout, column, *to);
                painter.extend(egui::Shape::dashed_line(&line, Stroke::new(1.0 + 1.5 * other.probability as f32, c.ink_faint), 5.0, 4.0));
            }
        }
    }
    if let Some((side, id)) = &page.chosen
        && let Some(at) = shelves.of(*side).iter().position(|half| half.id == *id)
        && let Some(own) = sorted.column_of.get(index(*side)).and_then(|all| all.get(&at))
    {
        let other_side = if *side == Side::Lid { Side::Base } else { Side::Lid };
        for other in sorted.others_of(*side, at).iter().filter(|other| other.probability >= 0.005) {
            if let Some(to) = sorted.column_of.get(index(other_side)).and_then(|all| all.get(&other.at)) {
                let (lid, base) = if *side == Side::Lid { (*own, *to) } else { (*to, *own) };
                painter.line_segment(ends(area, layout, lid, base), Stroke::new(1.0 + 2.0 * other.probability as f32, c.glow));
            }
        }
    }
    for (column, pair) in sorted.pairing.pairs.iter().enumerate().take(last + 1).skip(first) {
        let [from, to] = ends(area, layout, column, column);
        let (ink, words) = pair_look(pair, c);
        painter.line_segment([from, to], Stroke::new(1.5 + 3.0 * pair.probability as f32, ink));
        let galley = painter.layout_no_wrap(words, FontId::new(13.0, theme::bold()), ink);
        let label = Rect::from_center_size(pos2(from.x, f32::midpoint(from.y, to.y)), galley.size() + vec2(12.0, 6.0));
        painter.rect(label, 9.0, c.paper, Stroke::new(1.0, ink), StrokeKind::Inside);
        painter.galley(label.center() - galley.size() / 2.0, galley, ink);
    }
}

/// The ink of a pair's line, and what stands on it.
fn pair_look(pair: &Paired, c: &Colours) -> (Color32, String) {
    let married = pair.reasons.iter().any(Reason::is_marriage);
    let pinned = pair.reasons.contains(&Reason::Pinned);
    let ink = if married { c.alarm } else { c.moss };
    let words = match (pinned, married) {
        (true, true) => say!("pinned, marriage").to_owned(),
        (true, false) => say!("pinned").to_owned(),
        (false, true) => say!("marriage {probability}", probability = percent(pair.probability)),
        (false, false) => percent(pair.probability),
    };
    (ink, words)
}

/// The outline of a half from above, half as long as it is measured along x.
fn outline(half: &Half) -> BezPath {
    let long = half.major.map_or(UNKNOWN, |measured| measured.value) / 2.0;
    let aspect = match (half.major, half.minor) {
        (Some(major), Some(minor)) if minor.value > 0.0 => (major.value / minor.value).max(1.0),
        _ => 1.0,
    };
    let word = half.noted("outline").map(fold).unwrap_or_default();
    let plan = if word.contains("oblong") || word.contains("rectang") {
        Plan::Oblong(aspect)
    } else if word.contains("square") && aspect < 1.1 {
        Plan::RoundedSquare
    } else {
        Plan::Oval(aspect)
    };
    plan.path(long)
}

#[expect(clippy::too_many_arguments, reason = "one half: what, where, how large and what is asked of it")]
fn half_ui(
    ui: &mut Ui,
    shelves: &Shelves,
    sorted: &Sorted,
    page: &mut PairingPage,
    area: Rect,
    layout: &Layout,
    (side, at, column): (Side, usize, usize),
    commands: &mut Vec<Command>,
) {
    let c = theme::colours(ui);
    let Some(half) = shelves.of(side).get(at) else { return };
    let middle = pos2(area.left() + layout.middle(column), area.top() + layout.row(side));
    let edge = |at: usize| layout.edges.get(at).copied().unwrap_or(0.0);
    let wide = edge(column + 1) - edge(column);
    let up = if side == Side::Lid { NUMBER } else { 0.0 };
    let down = if side == Side::Base { NUMBER } else { 0.0 };
    let place = Rect::from_min_max(
        pos2(middle.x - wide / 2.0 + 2.0, middle.y - layout.tall / 2.0 - up),
        pos2(middle.x + wide / 2.0 - 2.0, middle.y + layout.tall / 2.0 + down + 7.0),
    );
    let response = ui.interact(place, widgets::id(("half", side.word(), half.id.as_str())), Sense::click_and_drag());
    let is_chosen = page.chosen.as_ref().is_some_and(|(known, id)| *known == side && *id == half.id);
    let label = format!("{} {}: {}; {}", capital(side.word()), half.id, half_words(half), partner_words(shelves, sorted, side, at));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_chosen, &label));
    if response.hovered() || response.has_focus() || is_chosen {
        let stroke = if is_chosen || response.has_focus() { Stroke::new(2.0, c.glow) } else { Stroke::NONE };
        ui.painter().rect(place, 8.0, c.glow_wash, stroke, StrokeKind::Inside);
    }
    paint_half(ui, half, side, sorted.colours.get(index(side)).and_then(|all| all.get(at)).copied().flatten(), middle, layout.scale, c);
    let (number_at, align) = match side {
        Side::Lid => (pos2(middle.x, place.top() + 2.0), Align2::CENTER_TOP),
        Side::Base => (pos2(middle.x, place.bottom() - 2.0), Align2::CENTER_BOTTOM),
    };
    let clipped = ui.painter().with_clip_rect(place.intersect(ui.clip_rect()));
    clipped.text(number_at, align, &half.id, FontId::new(14.0, theme::bold()), c.ink);
    if response.gained_focus() || is_chosen && std::mem::take(&mut page.show_chosen) {
        ui.scroll_to_rect(place.expand2(vec2(40.0, 0.0)), None);
    }
    if response.drag_started() {
        page.dragged = Some((side, half.id.clone()));
    }
    if response.clicked() {
        let shift = ui.input(|input| input.modifiers.shift);
        match page.chosen.clone() {
            Some((known, id)) if shift && known != side => {
                let (lid, base) = if side == Side::Lid { (half.id.clone(), id) } else { (id, half.id.clone()) };
                commands.push(change(say!("pin {lid} on {base}", lid, base), shelves, |after| after.pin(&lid, &base)));
            }
            Some((known, id)) if known == side && id == half.id => page.chosen = None,
            _ => {
                page.chosen = Some((side, half.id.clone()));
                page.draft = None;
            }
        }
    }
    response.on_hover_text(label);
}

/// 'with base B3, 93 %: 2.0 mm of play', or that it is alone.
fn partner_words(shelves: &Shelves, sorted: &Sorted, side: Side, at: usize) -> String {
    let own = |pair: &&Paired| if side == Side::Lid { pair.lid == at } else { pair.base == at };
    match sorted.pairing.pairs.iter().find(own) {
        Some(pair) => {
            let other = if side == Side::Lid { shelves.bases.get(pair.base) } else { shelves.lids.get(pair.lid) };
            let id = other.map_or("", |half| half.id.as_str());
            let (probability, reasons) = (percent(pair.probability), reason_words(&pair.reasons));
            match side {
                Side::Lid => say!("with base {id}, {probability}: {reasons}", id, probability, reasons),
                Side::Base => say!("with lid {id}, {probability}: {reasons}", id, probability, reasons),
            }
        }
        None => say!("alone").to_owned(),
    }
}

fn paint_half(ui: &Ui, half: &Half, side: Side, lab: Option<crate::colour::Lab>, middle: Pos2, scale: f32, c: &Colours) {
    let placing = Placing { origin: middle, scale };
    let path = outline(half);
    let painter = ui.painter();
    if half.major.is_none() {
        paint::dashed(painter, &path, placing, Stroke::new(1.5, c.ink_soft));
        painter.text(middle, Align2::CENTER_CENTER, "?", FontId::new(20.0, theme::bold()), c.ink_soft);
        return;
    }
    paint::fill(painter, &path, placing, lab.map_or(c.clay, theme::of_lab));
    paint::stroke(painter, &path, placing, Stroke::new(1.2, c.ink));
    match side {
        Side::Lid => {
            let knob = (9.0 * scale).max(3.0);
            painter.circle(middle, knob, c.paper_warm, Stroke::new(1.2, c.ink));
        }
        Side::Base => {
            let inside = kurbo::Affine::scale(0.84) * path;
            paint::fill(painter, &inside, placing, c.paper_warm);
            paint::stroke(painter, &inside, placing, Stroke::new(0.8, c.ink_soft));
        }
    }
}

/// A half dragged onto one of the other shelf is put together with it.
fn drag_ui(ui: &Ui, sorted: &Sorted, shelves: &Shelves, page: &mut PairingPage, area: Rect, layout: &Layout, commands: &mut Vec<Command>) {
    let Some((side, id)) = page.dragged.clone() else { return };
    let c = theme::colours(ui);
    let Some(pointer) = ui.input(|input| input.pointer.latest_pos()) else { return };
    let from = shelves.of(side).iter().position(|half| half.id == id).and_then(|at| sorted.column_of.get(index(side))?.get(&at));
    if let Some(column) = from {
        let start = pos2(area.left() + layout.middle(*column), area.top() + layout.row(side));
        ui.painter().line_segment([start, pointer], Stroke::new(3.0, c.glow));
    }
    if ui.input(|input| input.pointer.any_down()) {
        return;
    }
    page.dragged = None;
    let other_side = if side == Side::Lid { Side::Base } else { Side::Lid };
    let row = area.top() + layout.row(other_side);
    if (pointer.y - row).abs() > layout.tall / 2.0 + NUMBER {
        return;
    }
    let column = layout.column_at(pointer.x - area.left()).and_then(|column| sorted.columns.get(column));
    let other = column.and_then(|(lid, base)| if side == Side::Lid { *base } else { *lid }).and_then(|at| shelves.of(other_side).get(at));
    if let Some(other) = other {
        let (lid, base) = if side == Side::Lid { (id, other.id.clone()) } else { (other.id.clone(), id) };
        commands.push(change(say!("pin {lid} on {base}", lid, base), shelves, |after| after.pin(&lid, &base)));
    }
}

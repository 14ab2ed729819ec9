//! Evidence as bars over the years.

use crate::desk::theme::{self, Colours};
use crate::desk::widgets::remark;
use crate::key::capital;
use crate::marks::dates::{Dating, Evidence, Firmness, Role, Span, Thing};
use crate::say;
use egui::{Align2, Color32, FontId, Pos2, Rect, Role as Access, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

/// Years shown where nothing says otherwise, and how many beside the outermost end.
const USUAL: (i16, i16) = (1850, 2000);
const BESIDE: i16 = 12;
/// The fewest years across.
const FEWEST: i16 = 40;
/// Height of a bar, in points.
const BAR: f32 = 12.0;

/// Which years lie where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::desk) struct Scale {
    first: i16,
    last: i16,
    width: f32,
}

impl Scale {
    /// Wide enough for every end of the evidence.
    pub(super) fn of(dating: &Dating, width: f32) -> Self {
        Self::covering(dating.evidence.iter().map(|evidence| evidence.when.hull()), width)
    }

    /// Wide enough for every end of those spans.
    pub(in crate::desk) fn covering(spans: impl Iterator<Item = Span>, width: f32) -> Self {
        let ends: Vec<i16> = spans.flat_map(|span| [span.from, span.to]).flatten().map(|edge| edge.in_year().clamp(1500, 2200)).collect();
        let (mut first, mut last) = match (ends.iter().min(), ends.iter().max()) {
            (Some(first), Some(last)) => (first - BESIDE, last + BESIDE),
            _ => USUAL,
        };
        if last - first < FEWEST {
            let more = (FEWEST - (last - first)) / 2;
            (first, last) = (first - more, last + more);
        }
        Self { first, last, width: width.max(120.0) }
    }

    /// The whole width in points.
    pub(in crate::desk) const fn width(self) -> f32 {
        self.width
    }

    fn x(self, left: f32, year: f32) -> f32 {
        let share = (year - f32::from(self.first)) / f32::from(self.last - self.first).max(1.0);
        left + share.clamp(0.0, 1.0) * self.width
    }

    /// From the first day of a span to its last; an open end reaches the edge.
    pub(in crate::desk) fn ends(self, left: f32, span: Span) -> (f32, f32) {
        let from = span.from.map_or(left, |from| self.x(left, f32::from(from.in_year())));
        let to = span.to.map_or(left + self.width, |to| self.x(left, f32::from(to.in_year()) + 1.0));
        (from, to.max(from + 2.0))
    }

    fn step(self) -> i16 {
        let across = f32::from(self.last - self.first);
        [5, 10, 20, 50, 100].into_iter().find(|step| across / f32::from(*step) * 56.0 <= self.width).unwrap_or(200)
    }

    /// Years that are written out.
    fn ticks(self) -> impl Iterator<Item = i16> {
        let (step, last) = (self.step(), self.last);
        let first = self.first + (step - self.first.rem_euclid(step)) % step;
        std::iter::successors(Some(first), move |year| year.checked_add(step)).take_while(move |year| *year <= last)
    }
}

/// How probable each year is, as a hill.
pub(super) fn likely_ui(ui: &mut Ui, dating: &Dating, scale: Scale) {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(scale.width, 56.0), Sense::hover());
    let years = dating.years(Thing::Making, scale.first..=scale.last);
    let most = years.iter().map(|year| year.1).fold(0.0, f64::max);
    let likeliest = years.iter().filter(|year| year.1 >= 0.5 * most).map(|year| year.0);
    let (from, to) = (likeliest.clone().min(), likeliest.max());
    let words = match (from, to) {
        (Some(from), Some(to)) if most > 0.0 => say!("How likely each year of making is; likeliest from {from} to {to}", from, to),
        _ => say!("How likely each year of making is").to_owned(),
    };
    response.widget_info(|| WidgetInfo::labeled(Access::Image, true, &words));
    band(ui, dating, scale, rect, c);
    if most > 0.0 {
        let top = |p: f64| rect.bottom() - (p / most) as f32 * (rect.height() - 6.0);
        for (year, p) in &years {
            let (x0, x1) = (scale.x(rect.left(), f32::from(*year)), scale.x(rect.left(), f32::from(*year) + 1.0));
            ui.painter().rect_filled(Rect::from_min_max(pos2(x0, top(*p)), pos2(x1, rect.bottom())), 0.0, c.clay);
        }
    }
    response.on_hover_text(words);
}

/// The years of making, behind a row.
fn band(ui: &Ui, dating: &Dating, scale: Scale, rect: Rect, c: &Colours) {
    for span in dating.made.when.list().iter().filter(|span| !span.is_open()) {
        let (x0, x1) = scale.ends(rect.left(), *span);
        ui.painter().rect_filled(Rect::from_min_max(pos2(x0, rect.top()), pos2(x1, rect.bottom())), 0.0, c.moss_faint);
    }
}

/// The years below.
pub(in crate::desk) fn axis_ui(ui: &mut Ui, scale: Scale) {
    let c = theme::colours(ui);
    let (rect, _) = ui.allocate_exact_size(vec2(scale.width, 24.0), Sense::hover());
    let painter = ui.painter();
    painter.hline(rect.x_range(), rect.top(), Stroke::new(1.5, c.ink));
    for year in scale.ticks() {
        let x = scale.x(rect.left(), f32::from(year));
        painter.vline(x, rect.top()..=rect.top() + 5.0, Stroke::new(1.5, c.ink));
        painter.text(pos2(x, rect.top() + 6.0), Align2::CENTER_TOP, year.to_string(), FontId::proportional(13.0), c.ink_soft);
    }
}

/// The ink of a bar, by how firm it is.
fn ink(firmness: Firmness, c: &Colours) -> Color32 {
    match firmness {
        Firmness::Law => c.ink,
        Firmness::Paper => c.moss,
        Firmness::Custom => c.clay_dark,
        Firmness::Weak => c.ink_faint,
    }
}

/// One piece of evidence: what it says, its bar, why.
pub(super) fn bar_ui(ui: &mut Ui, dating: &Dating, scale: Scale, evidence: &Evidence, role: Role) {
    let c = theme::colours(ui);
    ui.add_space(4.0);
    let told = match role {
        Role::Fixes => say!(", fixes an end"),
        Role::Agrees => "",
        Role::Shifts => say!(", only shifts what is likely"),
        Role::SetAside => say!(", set aside"),
        Role::Silent => say!(", says nothing of the making"),
    };
    ui.label(capital(&evidence.says));
    let (rect, response) = ui.allocate_exact_size(vec2(scale.width, BAR + 8.0), Sense::hover());
    let words = format!("{}: {}{told}", evidence.says, evidence.firmness_words());
    response.widget_info(|| WidgetInfo::labeled(Access::Image, true, &words));
    band(ui, dating, scale, rect, c);
    let colour = ink(evidence.firmness, c);
    for span in evidence.when.list() {
        let (x0, x1) = scale.ends(rect.left(), *span);
        let bar = Rect::from_min_max(pos2(x0, rect.top() + 4.0), pos2(x1, rect.bottom() - 4.0));
        if evidence.bounds() && role != Role::SetAside {
            ui.painter().rect_filled(bar, 2.0, colour);
        } else {
            ui.painter().rect_stroke(bar, 2.0, Stroke::new(1.5, colour), egui::StrokeKind::Inside);
        }
        // An open end is an arrow.
        let y = bar.center().y;
        if !evidence.bounds() || role == Role::SetAside {
            continue;
        }
        if span.from.is_none() {
            arrow(ui, pos2(bar.left(), y), -1.0, c.paper);
        }
        if span.to.is_none() {
            arrow(ui, pos2(bar.right(), y), 1.0, c.paper);
        }
    }
    let source = if evidence.source.is_empty() { String::new() } else { format!("; {}", evidence.source) };
    remark(ui, format!("{}{told}: {}{source}", capital(&evidence.firmness_words()), evidence.because));
}

/// Two notches cut from the end of a bar.
fn arrow(ui: &Ui, tip: Pos2, way: f32, paper: Color32) {
    let half = BAR / 2.0 + 0.5;
    for side in [-1.0, 1.0] {
        let notch = vec![tip, tip + vec2(0.0, side * half), tip + vec2(-way * half, side * half)];
        ui.painter().add(Shape::convex_polygon(notch, paper, Stroke::NONE));
    }
}

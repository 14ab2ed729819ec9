//! How a find is shown in a list: its figure, its title, its time.

use crate::daybook::{Find, Standing};
use crate::desk::board::paint::{self, Placing};
use crate::desk::board::vessel::Drawings;
use crate::desk::document::Document;
use crate::desk::photographs::Thumbs;
use crate::desk::theme::{self, Colours};
use crate::key::{When, capital};
use crate::say;
use egui::text::LayoutJob;
use egui::{FontFamily, FontId, Rect, Role, Sense, Stroke, StrokeKind, TextFormat, Ui, WidgetInfo, vec2};
use jiff::ZonedDateTime;

/// The place of a find that cannot be read, with the reason.
pub(super) fn unreadable_ui(ui: &Ui, rect: Rect, why: &str) {
    let c = theme::colours(ui);
    let response = ui.interact(rect, crate::desk::widgets::id(("unreadable", why)), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, why));
    ui.painter().rect(rect, 8.0, c.alarm_wash, Stroke::new(1.0, c.edge), StrokeKind::Inside);
    line(ui, rect.min + vec2(14.0, 14.0), why.to_owned(), FontFamily::Proportional, 14.0, c.alarm, rect.width() - 28.0);
    response.on_hover_text(why);
}

/// A photograph of the piece, else the drawing of its form, else a question mark.
pub(super) fn figure_ui(ui: &Ui, doc: &Document, drawn: &mut Drawings, thumbs: &mut Thumbs, find: &Find, rect: Rect, c: &Colours) {
    // The whole piece says most at this size, a mark least.
    if let Some(photograph) = find.photographs.iter().max_by_key(|photograph| match photograph.kind {
        crate::daybook::PhotoKind::WholePiece => 2,
        crate::daybook::PhotoKind::Damage => 1,
        crate::daybook::PhotoKind::Mark => 0,
    }) {
        thumbs.paint(ui, rect, photograph);
        return;
    }
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    match find.named.as_ref().and_then(|named| doc.form(&named.form)) {
        Some(form) => {
            let drawing = drawn.of(form);
            let placing = Placing::fit(drawing.bounds, rect.shrink(3.0), 2.0);
            for path in &drawing.paths {
                paint::fill(&painter, path, placing, c.moss);
            }
        }
        None => {
            painter.text(rect.center(), egui::Align2::CENTER_CENTER, "?", FontId::new(26.0, theme::bold()), c.ink_soft);
        }
    }
}

/// What the find is called: the form it was taken for, else how the naming stood.
pub(super) fn title(find: &Find) -> String {
    match &find.named {
        Some(named) if named.line_name.is_empty() => capital(&named.form_name),
        Some(named) => capital(&format!("{}, {}", named.form_name, named.line_name)),
        None => match find.standing {
            Standing::NotInKey => say!("Not in the key").to_owned(),
            _ => say!("Not named yet").to_owned(),
        },
    }
}

/// Day and time as at the table where the find was recorded: '2 March 2026, 10:15'.
pub(super) fn time_words(at: &ZonedDateTime) -> String {
    format!("{}, {}", day_words(at), at.strftime("%H:%M"))
}

/// The day alone: '2 March 2026'.
pub(super) fn day_words(at: &ZonedDateTime) -> String {
    let part = |number: i8| u8::try_from(number).unwrap_or_default();
    When::Day(i32::from(at.year()), part(at.month()), part(at.day())).words()
}

pub(super) fn line(ui: &Ui, at: egui::Pos2, text: String, family: FontFamily, size: f32, ink: egui::Color32, width: f32) {
    let mut job = LayoutJob::single_section(text, TextFormat { font_id: FontId::new(size, family), color: ink, ..TextFormat::default() });
    job.wrap.max_width = width;
    job.wrap.max_rows = 1;
    job.wrap.break_anywhere = true;
    let galley = ui.painter().layout_job(job);
    ui.painter().galley(at, galley, ink);
}

//! Which forms are compared: the legend with a way to take each out, a field to add one by name, and its probable rivals.

use super::{Compared, MOST, TellApartView, line};
use crate::desk::bench::shelf::{first_two, percent};
use crate::desk::board::vessel::Drawings;
use crate::desk::board::{Placing, paint};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::offered::Offered;
use crate::desk::printing::Order as Sheets;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, heading, icon_button, main_button, remark};
use crate::key::capital;
use crate::say;

use crate::key::FormId;
use egui::{
    Align, Area, Button, CornerRadius, FontId, Frame, Key, Layout, Margin, Modifiers, Order, Rect, Response, RichText, Role, ScrollArea,
    Sense, Stroke, StrokeKind, TextEdit, Ui, WidgetInfo, pos2, vec2,
};

/// Forms listed under the field at most.
const HITS: usize = 8;

/// The field in which a form is looked up.
#[derive(Debug, Default)]
pub struct Add {
    typed: String,
    offered: Offered,
    at: usize,
    focus: bool,
    drawn: Drawings,
}

impl Add {
    /// Puts the cursor into the field with this typed on.
    pub(super) fn type_on(&mut self, text: &str) {
        self.typed.push_str(text);
        (self.at, self.focus) = (0, true);
    }
}

/// Draws the legend, the field and the rivals.
pub fn chooser_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, compared: &Compared, commands: &mut Vec<Command>) {
    let mut out: Option<FormId> = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(8.0, 6.0);
        for (at, id) in compared.tells.forms.iter().enumerate() {
            legend_ui(ui, doc, view, at, id, &mut out, commands);
        }
        if view.forms.len() < MOST {
            add_ui(ui, doc, view);
        }
        if view.forms.len() < MOST && compared.tells.forms.len() >= 2 {
            for id in &compared.rivals {
                let Some(form) = doc.form(id) else { continue };
                if rival_ui(ui, &doc.key.full_name(form)).clicked() {
                    view.include(id.clone());
                }
            }
        }
        if compared.tells.forms.len() >= 2
            && widgets::button(ui, Icon::Print, say!("Print …")).on_hover_text(say!("A plate of these, with the tells")).clicked()
        {
            commands.push(Command::Print(Sheets::Plate(compared.tells.forms.clone())));
        }
    });
    if let Some(id) = out {
        view.forms.retain(|form| *form != id);
    }
}

fn rival_ui(ui: &mut Ui, name: &str) -> Response {
    let c = theme::colours(ui);
    let response = ui.add(
        Button::image_and_text(Icon::Add.image(16.0, c.ink_soft), RichText::new(capital(name)).color(c.ink_soft))
            .fill(egui::Color32::TRANSPARENT)
            .stroke(Stroke::new(1.0, c.edge))
            .corner_radius(CornerRadius::same(17))
            .min_size(vec2(TARGET, TARGET)),
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Compare with {name} too", name)));
    response.on_hover_text(say!("Compare with this one too"))
}

/// One form of the legend: its line, its name (a click opens its sheet), and a cross.
fn legend_ui(
    ui: &mut Ui,
    doc: &Document,
    view: &mut TellApartView,
    at: usize,
    id: &FormId,
    out: &mut Option<FormId>,
    commands: &mut Vec<Command>,
) {
    let Some(form) = doc.form(id) else { return };
    let c = theme::colours(ui);
    let name = doc.key.full_name(form);
    let said = !doc.hand.piece.is_blank();
    let likely = doc.standing.candidates.probability(id).filter(|_| said);
    let mut job = egui::text::LayoutJob::default();
    job.append(&capital(&name), 0.0, egui::TextFormat::simple(FontId::new(15.5, theme::bold()), c.ink));
    if let Some(likely) = likely {
        job.append(&percent(likely), 8.0, egui::TextFormat::simple(FontId::proportional(14.5), c.ink_soft));
    }
    job.wrap = egui::text::TextWrapping {
        max_width: (ui.max_rect().width() - line::SAMPLE - TARGET - 40.0).max(80.0),
        max_rows: 1,
        ..Default::default()
    };
    let galley = ui.painter().layout_job(job);
    let size = vec2(line::SAMPLE + galley.size().x + TARGET + 34.0, TARGET + 4.0);
    let (rect, whole) = ui.allocate_exact_size(size, Sense::hover());
    let open = ui.interact(
        Rect::from_min_max(rect.min, pos2(rect.right() - TARGET - 4.0, rect.bottom())),
        widgets::id(("legend", id.as_str())),
        Sense::click(),
    );
    open.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Sheet of {name}", name)));
    let lit = whole.contains_pointer() || open.has_focus();
    if lit {
        view.lit = Some(at);
    }
    let edge = if lit { Stroke::new(2.0, c.glow) } else { Stroke::new(1.0, c.edge) };
    ui.painter().rect(rect, CornerRadius::same(8), c.paper, edge, StrokeKind::Inside);
    let left = rect.left() + 12.0;
    line::sample(ui.painter(), Rect::from_min_max(pos2(left, rect.top()), pos2(left + line::SAMPLE, rect.bottom())), at, c);
    let text = pos2(left + line::SAMPLE + 9.0, rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(text, galley, c.ink);
    if open.on_hover_text(say!("Open its sheet in the Key Book")).clicked() {
        commands.push(Command::OpenForm(id.clone()));
    }
    let cross = Rect::from_min_max(pos2(rect.right() - TARGET - 2.0, rect.top()), pos2(rect.right() - 2.0, rect.bottom()));
    ui.scope_builder(
        egui::UiBuilder::new().id_salt(("out", id.as_str())).max_rect(cross).layout(Layout::left_to_right(Align::Center)),
        |ui| {
            if icon_button(ui, Icon::Close, &say!("Compare {name} no more", name)).clicked() {
                *out = Some(id.clone());
            }
        },
    );
}

/// The field with the list of what it finds under it.
fn add_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView) {
    let width = ui.available_size_before_wrap().x.min(250.0);
    let width = if width < 170.0 { ui.max_rect().width().min(250.0) } else { width };
    let hits: Vec<FormId> = if view.add.typed.trim().is_empty() {
        Vec::new()
    } else {
        let found = view.add.offered.forms(doc, &view.add.typed, HITS + MOST);
        found.iter().filter(|form| !view.forms.contains(form)).take(HITS).cloned().collect()
    };
    let id = widgets::id("add a form to tell apart");
    let focused = ui.memory(|memory| memory.has_focus(id));
    let mut chosen: Option<FormId> = None;
    if focused {
        ui.input_mut(|input| {
            if input.consume_key(Modifiers::NONE, Key::ArrowDown) {
                view.add.at = (view.add.at + 1).min(hits.len().saturating_sub(1));
            }
            if input.consume_key(Modifiers::NONE, Key::ArrowUp) {
                view.add.at = view.add.at.saturating_sub(1);
            }
            if input.consume_key(Modifiers::NONE, Key::Enter) {
                chosen = hits.get(view.add.at).cloned();
            }
            if input.consume_key(Modifiers::NONE, Key::Escape) {
                view.add.typed.clear();
            }
        });
    }
    let field = TextEdit::singleline(&mut view.add.typed)
        .id(id)
        .hint_text(say!("Add a form by name"))
        .desired_width(width - 18.0)
        .margin(Margin::symmetric(9, 9))
        .min_size(vec2(0.0, TARGET + 4.0));
    let response = ui.add(field);
    response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, say!("Add")));
    if response.changed() {
        view.add.at = 0;
    }
    if std::mem::take(&mut view.add.focus) {
        response.request_focus();
        let mut state = egui::text_edit::TextEditState::load(ui.ctx(), id).unwrap_or_default();
        let end = egui::text::CCursor::new(view.add.typed.chars().count());
        state.cursor.set_char_range(Some(egui::text::CCursorRange::one(end)));
        state.store(ui.ctx(), id);
    }
    if !view.add.typed.trim().is_empty() {
        let at = view.add.at;
        let drawn = &mut view.add.drawn;
        Area::new(widgets::id("forms to add"))
            .order(Order::Foreground)
            .fixed_pos(pos2(response.rect.left(), response.rect.bottom() + 4.0))
            .constrain_to(ui.ctx().content_rect().shrink(6.0))
            .show(ui.ctx(), |ui| {
                Frame::popup(ui.style()).show(ui, |ui| {
                    ui.set_width((ui.ctx().content_rect().width() - 40.0).min(380.0));
                    if hits.is_empty() {
                        remark(ui, say!("No other form of this key is called anything like that."));
                    }
                    let most = ui.ctx().content_rect().bottom() - response.rect.bottom() - 40.0;
                    ScrollArea::vertical().max_height(most.max(100.0)).show(ui, |ui| {
                        ui.spacing_mut().item_spacing.y = 2.0;
                        for (i, form) in hits.iter().enumerate() {
                            if hit_ui(ui, doc, drawn, form, i == at).clicked() {
                                chosen = Some(form.clone());
                            }
                        }
                    });
                });
            });
    }
    if let Some(form) = chosen {
        view.include(form);
        view.add.typed.clear();
        view.add.at = 0;
        // The keys go back to the tells.
        ui.memory_mut(|memory| memory.surrender_focus(id));
    }
}

fn hit_ui(ui: &mut Ui, doc: &Document, drawn: &mut Drawings, id: &FormId, on: bool) -> Response {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 42.0), Sense::click());
    let Some(form) = doc.form(id) else { return response };
    let name = doc.key.full_name(form);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, say!("Add {name}", name)));
    if on || response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 6.0, c.glow_wash);
    }
    let figure = Rect::from_min_size(rect.min + vec2(6.0, 4.0), vec2(60.0, 34.0));
    let drawing = drawn.of(form);
    let placing = Placing::fit(drawing.bounds, figure, 2.0);
    for path in &drawing.paths {
        paint::fill(ui.painter(), path, placing, c.moss);
    }
    let mut job = egui::text::LayoutJob::simple(capital(&name), FontId::proportional(15.5), c.ink, rect.width() - 84.0);
    job.wrap.max_rows = 2;
    let galley = ui.painter().layout_job(job);
    ui.painter().galley(pos2(rect.left() + 76.0, rect.center().y - galley.size().y / 2.0), galley, c.ink);
    response
}

/// What to do while there are not two forms.
pub fn empty_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView) {
    let one = view.forms.iter().find_map(|id| doc.form(id)).map(|form| (form.id.clone(), doc.key.full_name(form)));
    heading(ui, if one.is_some() { say!("One more form") } else { say!("Choose two to six forms that are easily mixed up") });
    ui.label(say!("Their outlines are laid over each other here, and each difference is listed, the surest to see first."));
    remark(ui, say!("Type a name above, or on the Bench pick forms on the shelf with Shift and a click."));
    ui.add_space(6.0);
    let offered: Vec<FormId> = match &one {
        None => first_two(doc),
        Some((id, _)) => {
            let alike = doc.index.look_alikes(id, super::RIVAL_DIFFERENCES).into_iter().map(|alike| alike.form).next();
            let leader = first_two(doc).into_iter().find(|form| form != id);
            [Some(id.clone()), alike.or(leader)].into_iter().flatten().collect()
        }
    };
    let names: Vec<String> = offered.iter().filter_map(|id| doc.form(id)).map(|form| doc.key.full_name(form)).collect();
    let [first, second] = names.as_slice() else {
        remark(ui, say!("This key has no two forms yet."));
        return;
    };
    let words = match &one {
        None => say!("The first two on the shelf").to_owned(),
        Some((_, name)) => say!("Tell {name} from {second}", name, second),
    };
    if main_button(ui, Icon::TellApart, &words).clicked() {
        view.choose(offered);
    }
    if one.is_none() {
        remark(ui, say!("{first}, and {second}", first = capital(first), second));
    }
}

//! Jump to a form by name: words in any order, typing mistakes forgiven, either word of a pair of synonyms.

use super::board::vessel::Drawings;
use super::board::{Placing, paint};
use super::command::Command;
use super::document::Document;
use super::icons::Icon;
use super::offered::Offered;
use super::theme::{self, TARGET};
use super::widgets::{self, icon_button, remark};
use crate::key::FormId;
use crate::say;
use egui::{FontId, Key, Margin, Rect, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo, pos2, vec2};

/// The jump box.
#[derive(Debug, Default)]
pub struct Jump {
    open: bool,
    text: String,
    offered: Offered,
    at: usize,
    drawn: Drawings,
}

impl Jump {
    /// Opens the box, empty.
    pub fn open(&mut self) {
        self.open = true;
        self.text.clear();
        self.at = 0;
    }

    /// Closes it.
    pub fn close(&mut self) {
        self.open = false;
    }

    /// True while it is open.
    pub fn is_open(&self) -> bool {
        self.open
    }
}

/// Forms listed at most.
const MOST: usize = 12;

/// Draws the box while it is open.
pub fn jump_ui(ui: &mut Ui, doc: &Document, jump: &mut Jump, commands: &mut Vec<Command>) {
    if !jump.open {
        return;
    }
    let mut chosen: Option<FormId> = None;
    let response = widgets::dialog(ui, "jump").show(ui.ctx(), |ui| {
        ui.set_width((ui.ctx().content_rect().width() - 60.0).min(520.0));
        ui.horizontal(|ui| {
            let close_width = TARGET + 8.0;
            let label = remark(ui, say!("Form"));
            let field = TextEdit::singleline(&mut jump.text)
                .hint_text(say!("its name, in any order"))
                .desired_width(ui.available_width() - close_width)
                .margin(Margin::symmetric(8, 7))
                .min_size(vec2(0.0, TARGET));
            let response = ui.add(field).labelled_by(label.id);
            response.request_focus();
            if response.changed() {
                jump.at = 0;
            }
            if icon_button(ui, Icon::Close, say!("Close the search")).clicked() {
                ui.close();
            }
        });
        let hits: Vec<FormId> = if jump.text.trim().is_empty() {
            doc.standing.candidates.iter().take(MOST).map(|candidate| candidate.form.clone()).collect()
        } else {
            jump.offered.forms(doc, &jump.text, MOST).to_vec()
        };
        ui.input_mut(|input| {
            if input.consume_key(egui::Modifiers::NONE, Key::ArrowDown) {
                jump.at = (jump.at + 1).min(hits.len().saturating_sub(1));
            }
            if input.consume_key(egui::Modifiers::NONE, Key::ArrowUp) {
                jump.at = jump.at.saturating_sub(1);
            }
            if input.key_pressed(Key::Enter) {
                chosen = hits.get(jump.at).cloned();
            }
        });
        if hits.is_empty() {
            remark(ui, say!("No form of this key is called anything like that."));
        }
        ScrollArea::vertical().max_height(ui.ctx().content_rect().height() * 0.6).auto_shrink([false, true]).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            for (i, id) in hits.iter().enumerate() {
                if hit_ui(ui, doc, &mut jump.drawn, id, i == jump.at) {
                    chosen = Some(id.clone());
                }
            }
        });
        remark(ui, say!("Enter opens its sheet in the Key Book"));
    });
    if response.should_close() || chosen.is_some() {
        jump.open = false;
    }
    if let Some(form) = chosen {
        commands.push(Command::OpenForm(form));
    }
}

fn hit_ui(ui: &mut Ui, doc: &Document, drawn: &mut Drawings, id: &FormId, on: bool) -> bool {
    let Some(form) = doc.form(id) else { return false };
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), 44.0), Sense::click());
    let name = doc.key.full_name(form);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, name.clone()));
    if on || response.hovered() {
        ui.painter().rect_filled(rect, 6.0, c.glow_wash);
    }
    let figure = Rect::from_min_size(rect.min + vec2(6.0, 4.0), vec2(64.0, 36.0));
    let drawing = drawn.of(form);
    let placing = Placing::fit(drawing.bounds, figure, 2.0);
    for path in &drawing.paths {
        paint::fill(ui.painter(), path, placing, c.moss);
    }
    ui.painter().text(pos2(rect.left() + 82.0, rect.center().y), egui::Align2::LEFT_CENTER, name, FontId::proportional(16.0), c.ink);
    let made = match (form.made.from, form.made.to) {
        (Some(from), Some(to)) => format!("{from}–{to}"),
        (Some(from), None) => say!("from {from}", from),
        (None, Some(to)) => say!("to {to}", to),
        (None, None) => String::new(),
    };
    ui.painter().text(pos2(rect.right() - 8.0, rect.center().y), egui::Align2::RIGHT_CENTER, made, FontId::proportional(14.0), c.ink_soft);
    response.clicked()
}

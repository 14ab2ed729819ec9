//! The few widgets of our own: cards, buttons of a thumb's size, chips.

use super::icons::Icon;
use super::theme::{self, Colours, GAP, ROUND, TARGET};
use crate::say;
use egui::{
    Button, Color32, CornerRadius, Frame, Id, InnerResponse, Margin, Modal, Response, RichText, Role, Stroke, Ui, Vec2, WidgetInfo,
};

/// A sheet of paper on the table.
pub fn paper(c: &Colours) -> Frame {
    Frame::new()
        .fill(c.paper)
        .stroke(Stroke::new(1.0, c.edge))
        .corner_radius(CornerRadius::same(ROUND))
        .inner_margin(Margin::same(GAP as i8))
}

/// Room between the edge of a dialog and what stands in it, in points.
const DIALOG_MARGIN: i8 = 14;
/// What the content of a dialog that fills the window leaves free of the room it has: both margins, and a strip of the table that shows it lies upon it.
pub const DIALOG_ROOM: Vec2 = Vec2::splat(2.0 * DIALOG_MARGIN as f32 + 12.0);

/// A dialog over everything else.
pub fn dialog(ui: &Ui, name: &str) -> Modal {
    Modal::new(id(name)).frame(Frame::popup(ui.style()).inner_margin(Margin::same(DIALOG_MARGIN)))
}

/// The main button of a place: filled, with an icon.
pub fn main_button(ui: &mut Ui, icon: Icon, words: &str) -> Response {
    let c = theme::colours(ui);
    ui.add(
        Button::image_and_text(icon.image(20.0, c.on_moss), RichText::new(words).color(c.on_moss).family(theme::bold()))
            .fill(c.moss)
            .stroke(Stroke::NONE)
            .min_size(Vec2::new(0.0, TARGET + 4.0)),
    )
}

/// A button with an icon and words.
pub fn button(ui: &mut Ui, icon: Icon, words: &str) -> Response {
    let c = theme::colours(ui);
    ui.add(Button::image_and_text(icon.image(18.0, c.ink), RichText::new(words).color(c.ink)).min_size(Vec2::new(0.0, TARGET)))
}

/// A square button with an icon alone; its name is what a screen reader and the pointer's hint say.
pub fn icon_button(ui: &mut Ui, icon: Icon, name: &str) -> Response {
    icon_button_if(ui, icon, name, Ability::Can)
}

/// Whether a button can be pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ability {
    /// It can.
    Can,
    /// It is there, but has nothing to do now.
    Cannot,
}

impl From<bool> for Ability {
    fn from(can: bool) -> Self {
        if can { Self::Can } else { Self::Cannot }
    }
}

/// A square button with an icon that may have nothing to do.
pub fn icon_button_if(ui: &mut Ui, icon: Icon, name: &str, ability: Ability) -> Response {
    let c = theme::colours(ui);
    let can = ability == Ability::Can;
    let ink = if can { c.ink } else { c.ink_faint };
    let button = Button::image(icon.image(20.0, ink)).min_size(Vec2::splat(TARGET)).fill(Color32::TRANSPARENT).stroke(Stroke::NONE);
    let response = ui.add_enabled(can, button);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, can, name));
    response.on_hover_text(name).on_disabled_hover_text(name)
}

/// A small rounded switch: on or off.
pub fn chip(ui: &mut Ui, words: &str, on: bool) -> Response {
    let c = theme::colours(ui);
    let (fill, ink, edge) = if on { (c.ink, c.on_ink, c.ink) } else { (c.paper_warm, c.ink, c.edge) };
    ui.add(
        Button::new(RichText::new(words).color(ink))
            .fill(fill)
            .stroke(Stroke::new(1.0, edge))
            .corner_radius(CornerRadius::same(17))
            .min_size(Vec2::new(TARGET, TARGET)),
    )
}

/// A label in the soft ink of remarks.
pub fn remark(ui: &mut Ui, words: impl Into<String>) -> Response {
    let c = theme::colours(ui);
    ui.label(RichText::new(words).color(c.ink_soft))
}

/// A heading.
pub fn heading(ui: &mut Ui, words: impl Into<String>) -> Response {
    ui.label(RichText::new(words).heading())
}

/// A heading one size down, in bold.
pub fn strong(ui: &mut Ui, words: impl Into<String>) -> Response {
    ui.label(RichText::new(words).family(theme::bold()))
}

/// Lays out `contents` in a rectangle, as a child of `ui` that takes no space of its own.
pub fn in_rect<R>(ui: &mut Ui, salt: &str, rect: egui::Rect, contents: impl FnOnce(&mut Ui) -> R) -> InnerResponse<R> {
    ui.scope_builder(egui::UiBuilder::new().id_salt(salt).max_rect(rect), contents)
}

/// A row as high as a target, laid out from its right end; what is left over is for the words at the left.
pub fn row_from_right<R>(ui: &mut Ui, contents: impl FnOnce(&mut Ui) -> R) -> R {
    let size = Vec2::new(ui.available_width(), TARGET);
    ui.allocate_ui_with_layout(size, egui::Layout::right_to_left(egui::Align::Center), contents).inner
}

/// Leafs through pages, where there is more than one.
pub fn paging(ui: &mut Ui, page: &mut usize, pages: usize) {
    if pages < 2 {
        return;
    }
    ui.horizontal(|ui| {
        if icon_button(ui, Icon::Up, say!("Page back")).clicked() {
            *page = (*page + pages - 1) % pages;
        }
        remark(ui, say!("page {page} of {pages}", page = *page + 1, pages));
        if icon_button(ui, Icon::Down, say!("Page on")).clicked() {
            *page = (*page + 1) % pages;
        }
    });
}

/// An id that is the same in every frame for the same words.
pub fn id(words: impl std::hash::Hash + std::fmt::Debug) -> Id {
    Id::unique(words)
}

/// The arrow keys are this widget's own while it has the focus; else they would take the focus to its neighbours.
pub fn keep_arrows(ui: &Ui, id: Id) {
    let filter = egui::EventFilter { horizontal_arrows: true, vertical_arrows: true, tab: false, escape: false };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
}

//! The strip of photographs on the slip, with the ways to add one.

use super::thumbs::Shown;
use super::view::{Ask, PhotographsView};
use super::viewer::Viewer;
use crate::daybook::{PhotoKind, Photograph};
use crate::desk::action::Action;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme;
use crate::desk::widgets::{button, chip, icon_button, main_button, remark};
use crate::say;
use egui::{Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

/// Side of a photograph on the strip, in points.
const TILE: f32 = 72.0;

/// Draws the strip of photographs on the slip.
pub fn strip_ui(ui: &mut Ui, doc: &Document, view: &mut PhotographsView, _commands: &mut Vec<Command>) {
    ui.horizontal_wrapped(|ui| {
        remark(ui, say!("Photographs"))
            .on_hover_text(say!("Drop pictures on the window, paste them, choose files, or watch the camera's folder"));
        if icon_button(ui, Icon::Paste, say!("Paste a photograph")).clicked() {
            view.ask(ui, Ask::Paste);
        }
        watch_ui(ui, view);
    });
    if let Some(path) = view.offered.clone() {
        let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
        let words = say!("Take {name}  {shortcut_text}", name, shortcut_text = Action::TakeOffered.shortcut_text(ui));
        ui.horizontal_wrapped(|ui| {
            if main_button(ui, Icon::WatchFolder, &words).on_hover_text(say!("The newest picture of the watched folder")).clicked() {
                view.ask(ui, Ask::TakeOffered);
            }
            if button(ui, Icon::Close, say!("Leave it")).clicked() {
                view.offered = None;
            }
        });
    }
    if doc.hand.photographs.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = vec2(6.0, 6.0);
        for (index, photograph) in doc.hand.photographs.iter().enumerate() {
            if tile_ui(ui, view, photograph, index) {
                view.viewer = Some(Viewer::at(index));
            }
        }
    });
}

/// The watched folder: a switch that is on while one is watched.
fn watch_ui(ui: &mut Ui, view: &mut PhotographsView) {
    let Some(watch) = &view.watch else {
        let hint = say!("The phone or camera puts its pictures there; the newest is offered at once");
        if icon_button(ui, Icon::WatchFolder, say!("Watch a folder")).on_hover_text(hint).clicked() {
            view.ask(ui, Ask::ChooseFolder);
        }
        return;
    };
    let folder = watch.folder();
    let name = folder.file_name().unwrap_or(folder.as_os_str()).to_string_lossy().into_owned();
    let path = folder.display().to_string();
    if chip(ui, &say!("Watching {name}", name), true).on_hover_text(say!("{path}\nClick to stop", path)).clicked() {
        view.ask(ui, Ask::StopWatching);
    }
}

/// Draws one photograph and says whether it was clicked.
fn tile_ui(ui: &mut Ui, view: &mut PhotographsView, photograph: &Photograph, index: usize) -> bool {
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(TILE, TILE), Sense::click());
    let name =
        say!("Photograph {index}, {kind}: {photograph}", index = index + 1, kind = photograph.kind.words(), photograph = photograph.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name.clone()));
    if !ui.is_rect_visible(rect) {
        return response.clicked();
    }
    let shown = view.thumbs.paint(ui, rect, photograph);
    let badge = Rect::from_min_size(pos2(rect.left() + 2.0, rect.bottom() - 24.0), vec2(22.0, 22.0));
    ui.painter().rect_filled(badge, 5.0, c.paper);
    kind_icon(photograph.kind).image(18.0, c.ink).paint_at(ui, badge.shrink(2.0));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_stroke(rect, 6.0, Stroke::new(2.0, c.glow), StrokeKind::Inside);
    }
    let hint = match shown {
        Shown::Nothing(why) => format!("{name}\n{why}"),
        _ if photograph.caption.is_empty() => name,
        _ => format!("{name}\n{}", photograph.caption),
    };
    response.on_hover_text(hint).clicked()
}

/// The drawn sign of what a photograph shows.
pub(super) const fn kind_icon(kind: PhotoKind) -> Icon {
    match kind {
        PhotoKind::Mark => Icon::Mark,
        PhotoKind::WholePiece => Icon::WholePiece,
        PhotoKind::Damage => Icon::Damage,
    }
}

//! The viewer by keyboard.

use super::{Asked, Pressed, Viewer, ZOOM_STEP, begin_crop, keep_crop};
use crate::daybook::{PhotoKind, Photograph};
use crate::say;
use egui::{Key, Ui, Vec2};

/// Does what a key asks for. Enter and Escape come by way of the window's own actions.
pub(super) fn keys(ui: &Ui, viewer: &mut Viewer, photograph: &Photograph, asked: &mut Asked) {
    match viewer.pressed.take() {
        Some(Pressed::Enter) if viewer.framing.is_some() => keep_crop(viewer, photograph, asked),
        Some(Pressed::Escape) if viewer.framing.is_some() => viewer.framing = None,
        Some(Pressed::Escape) => asked.close = true,
        _ => {}
    }
    if ui.text_edit_focused() || ui.current_pass_index() != 0 {
        return;
    }
    let framing = viewer.framing.is_some();
    ui.input(|input| {
        let plain = |key| input.key_pressed(key) && !input.modifiers.command && !input.modifiers.alt;
        for (key, kind) in [(Key::M, PhotoKind::Mark), (Key::W, PhotoKind::WholePiece), (Key::D, PhotoKind::Damage)] {
            if plain(key) {
                asked.kind = Some(kind);
            }
        }
        if plain(Key::Plus) || plain(Key::Equals) {
            viewer.zoom_about(ZOOM_STEP, Vec2::ZERO);
        }
        if plain(Key::Minus) {
            viewer.zoom_about(1.0 / ZOOM_STEP, Vec2::ZERO);
        }
        if plain(Key::F) {
            viewer.fit();
        }
        if framing {
            return;
        }
        if plain(Key::R) {
            let turns = if input.modifiers.shift { -1 } else { 1 };
            asked.edit = Some((say!("turn a photograph"), photograph.edit.turned(turns)));
            viewer.fit();
        }
        if plain(Key::C) {
            begin_crop(viewer, photograph);
        }
        asked.measure |= plain(Key::L);
        asked.read |= plain(Key::T);
        if plain(Key::PageDown) {
            asked.go = Some(viewer.index + 1);
        }
        if plain(Key::PageUp) {
            asked.go = viewer.index.checked_sub(1);
        }
        if plain(Key::Delete) {
            asked.remove = Some(viewer.index);
        }
    });
}

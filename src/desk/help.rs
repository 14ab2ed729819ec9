//! The help sheet: what to do, every key, and the cautions.

use super::action::{Action, Group};
use super::cautions;
use super::icons::Icon;
use super::theme;
use super::widgets::{self, icon_button, remark, strong};
use egui::{Align, Grid, Layout, Modal, RichText, ScrollArea, Ui};

/// Draws the help sheet while it is open.
pub fn help_ui(ui: &mut Ui, open: &mut bool) {
    if !*open {
        return;
    }
    let response = Modal::new(widgets::id("help")).show(ui.ctx(), |ui| {
        let room = ui.ctx().content_rect();
        ui.set_width((room.width() - 80.0).min(760.0));
        ui.horizontal(|ui| {
            widgets::heading(ui, "How to name a piece");
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if icon_button(ui, Icon::Close, "Close the help sheet").clicked() {
                    ui.close();
                }
            });
        });
        ScrollArea::vertical().max_height(room.height() * 0.75).min_scrolled_height(room.height() * 0.75).auto_shrink([false, true]).show(ui, |ui| {
            for line in [
                "The part that glows is worth looking at next. Press Enter, or point at any part of the drawing.",
                "Choose what you see: its digit or a click. 0 where it can't be told. Hold Shift for 'either', then Enter. ~ for 'probably'.",
                "Type a measure as 92 ± 2. Type what can be read of a mark: ? for one letter, … (or three dots) for any number.",
                "A part that is broken off or lost: say so on the slip, and its features count for nothing.",
                "The shelf shows what fits, to one scale. A form that disagrees in one answer stays at the far end.",
            ] {
                ui.label(line);
            }
            ui.add_space(8.0);
            ui.columns(2, |columns| {
                for (i, group) in Group::ALL.into_iter().enumerate() {
                    if let Some(ui) = columns.get_mut(i % 2) {
                        group_ui(ui, group);
                    }
                }
            });
            ui.add_space(8.0);
            strong(ui, "Cautions");
            for caution in cautions::GENERAL {
                remark(ui, caution);
            }
        });
    });
    if response.should_close() {
        *open = false;
    }
}

fn group_ui(ui: &mut Ui, group: Group) {
    let c = theme::colours(ui);
    strong(ui, group.heading());
    Grid::new(group.heading()).num_columns(2).spacing([14.0, 2.0]).show(ui, |ui| {
        for action in Action::ALL.into_iter().filter(|action| action.group() == group) {
            let keys: Vec<String> = action.shortcuts().iter().map(|shortcut| ui.format_shortcut(shortcut)).collect();
            ui.label(RichText::new(keys.join("  ")).color(c.glow_text));
            ui.label(action.words());
            ui.end_row();
        }
    });
    ui.add_space(6.0);
}

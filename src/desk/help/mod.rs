//! The help sheet: what to do with every key and the cautions, a guide to each screen, and the words of the trade.

mod guide;
mod words;

use super::action::{Action, Group};
use super::cautions;
use super::command::Screen;
use super::icons::Icon;
use super::theme;
use super::widgets::{self, chip, icon_button, remark, strong};
use crate::say;
use egui::{Align, Grid, Layout, RichText, ScrollArea, Ui};

/// A leaf of the help sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Leaf {
    /// How to name a piece, every key, and the cautions.
    #[default]
    Keys,
    /// The screens.
    Guide,
    /// The words of the trade.
    Words,
}

/// What the help sheet shows.
#[derive(Debug, Default)]
pub struct HelpView {
    /// Whether it is open.
    pub open: bool,
    leaf: Leaf,
    words: words::WordsView,
}

/// Draws the help sheet while it is open.
pub fn help_ui(ui: &mut Ui, view: &mut HelpView, screen: Screen) {
    if !view.open {
        return;
    }
    let response = widgets::dialog(ui, "help").show(ui.ctx(), |ui| {
        let room = ui.ctx().content_rect();
        ui.set_width((room.width() - 60.0).min(840.0));
        ui.horizontal(|ui| {
            let title = match view.leaf {
                Leaf::Keys => say!("How to name a piece"),
                Leaf::Guide => say!("The screens"),
                Leaf::Words => say!("Words of the trade"),
            };
            widgets::heading(ui, title);
            for (leaf, words) in [(Leaf::Keys, say!("Keys")), (Leaf::Guide, say!("Screens")), (Leaf::Words, say!("Words"))] {
                if chip(ui, words, view.leaf == leaf).clicked() {
                    view.leaf = leaf;
                }
            }
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if icon_button(ui, Icon::Close, say!("Close the help sheet")).clicked() {
                    ui.close();
                }
            });
        });
        if view.leaf == Leaf::Words {
            ui.allocate_ui(egui::vec2(ui.available_width(), room.height() * 0.75), |ui| words::words_ui(ui, &mut view.words));
            return;
        }
        ScrollArea::vertical().max_height(room.height() * 0.75).min_scrolled_height(room.height() * 0.75).auto_shrink([false, true]).show(ui, |ui| {
            if view.leaf == Leaf::Guide {
                guide::guide_ui(ui, screen);
                return;
            }
            for line in [
                say!("The part that glows is worth looking at next. Press Enter, or point at any part of the drawing."),
                say!("Choose what you see: its digit or a click. 0 where it can't be told. Hold Shift for 'either', then Enter. ~ for 'probably'."),
                say!("Type a measure as 92 ± 2. Type what can be read of a mark: ? for one letter, … (or three dots) for any number."),
                say!("A part that is broken off or lost: say so on the slip, and its features count for nothing."),
                say!("The shelf shows what fits, to one scale. A form that disagrees in one answer stays at the far end."),
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
            strong(ui, say!("Cautions"));
            for caution in cautions::general() {
                remark(ui, caution);
            }
        });
    });
    if response.should_close() {
        view.open = false;
    }
}

fn group_ui(ui: &mut Ui, group: Group) {
    let c = theme::colours(ui);
    strong(ui, group.heading());
    Grid::new(group.heading()).num_columns(2).spacing([14.0, 2.0]).show(ui, |ui| {
        for action in Action::ALL.into_iter().filter(|action| action.group() == group) {
            ui.label(RichText::new(action.shortcut_text(ui)).color(c.glow_text));
            ui.label(action.words());
            ui.end_row();
        }
    });
    ui.add_space(6.0);
}

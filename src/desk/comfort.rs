//! How the window suits the person: size of the text, light or dark, on which side the tools lie, and whether anything moves by itself.

use super::command::Command;
use super::document::Document;
use super::icons::Icon;
use super::settings::Shade;
use super::widgets::{self, chip, icon_button, remark, strong};
use crate::say;
use crate::words::{self, Language};
use egui::{Align, Context, Layout, ThemePreference, Ui};
use serde::{Deserialize, Serialize};

/// The sizes of text offered, in percent.
pub const SIZES: [u16; 7] = [100, 115, 130, 150, 175, 200, 250];

/// What is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Comfort {
    /// Size of everything, in percent of the usual: 100 to 250.
    pub percent: u16,
    /// The hand that is free for the tools.
    pub hand: FreeHand,
    /// Whether things may move by themselves.
    pub motion: Motion,
    /// The language that was chosen; none where that of the system is spoken.
    pub language: Option<Language>,
}

impl Default for Comfort {
    fn default() -> Self {
        Self { percent: 100, hand: FreeHand::Right, motion: Motion::Moves, language: None }
    }
}

/// The hand that is free: the other one holds the piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum FreeHand {
    /// Tools and slip at the right.
    #[default]
    Right,
    /// Tools and slip at the left.
    Left,
}

/// Whether things may move by themselves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Motion {
    /// Lists glide and panels open.
    #[default]
    Moves,
    /// Everything is where it belongs at once.
    Still,
}

impl Comfort {
    /// The next size up, or down.
    #[must_use]
    pub fn resized(self, up: bool) -> Self {
        let percent = if up {
            SIZES.into_iter().find(|size| *size > self.percent).unwrap_or(self.percent)
        } else {
            SIZES.into_iter().rev().find(|size| *size < self.percent).unwrap_or(self.percent)
        };
        Self { percent, ..self }
    }

    /// From now on the window speaks what is set; what the document says is said anew.
    pub fn speak(self, of_the_system: Language, doc: &mut Document) {
        let before = words::spoken();
        words::speak(self.language.unwrap_or(of_the_system));
        if words::spoken() != before {
            doc.say_again();
        }
    }

    /// Gives the window what is set.
    pub fn apply(self, ctx: &Context) {
        let percent = self.percent.clamp(100, 250);
        ctx.set_zoom_factor(f32::from(percent) / 100.0);
        // The keys for it are in the list of actions, and what they set is remembered.
        ctx.options_mut(|options| options.zoom_with_keyboard = false);
        let seconds = if self.motion == Motion::Still { 0.0 } else { egui::Style::default().animation_time };
        ctx.all_styles_mut(|style| {
            // A window that was made still, as under test, stays so.
            if self.motion == Motion::Still || style.animation_time > 0.0 {
                style.animation_time = seconds;
            }
            if self.motion == Motion::Still {
                style.scroll_animation = egui::style::ScrollAnimation::none();
            }
        });
    }
}

/// Draws the sheet of what can be set while it is open.
pub fn comfort_ui(ui: &mut Ui, open: &mut bool, now: Comfort, shade: Shade, commands: &mut Vec<Command>) {
    if !*open {
        return;
    }
    let response = widgets::dialog(ui, "comfort").show(ui.ctx(), |ui| {
        ui.set_width((ui.ctx().content_rect().width() - 40.0).min(560.0));
        ui.horizontal(|ui| {
            widgets::heading(ui, say!("Comfort"));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if icon_button(ui, Icon::Close, say!("Close comfort")).clicked() {
                    ui.close();
                }
            });
        });
        let mut new = now;
        strong(ui, say!("Size of text and drawings"));
        ui.horizontal_wrapped(|ui| {
            for size in SIZES {
                if chip(ui, &format!("{size} %"), now.percent == size).clicked() {
                    new.percent = size;
                }
            }
        });
        strong(ui, say!("Language"));
        ui.horizontal_wrapped(|ui| {
            if chip(ui, say!("that of the system"), now.language.is_none()).clicked() {
                new.language = None;
            }
            // Each in itself, for whoever reads no other.
            for language in Language::ALL {
                if chip(ui, language.name(), now.language == Some(language)).clicked() {
                    new.language = Some(language);
                }
            }
        });
        strong(ui, say!("Colours"));
        ui.horizontal_wrapped(|ui| {
            for (one, words) in [(Shade::System, say!("as the system")), (Shade::Light, say!("light")), (Shade::Dark, say!("dark"))] {
                if chip(ui, words, shade == one).clicked() {
                    commands.push(Command::Shade(one));
                }
            }
        });
        strong(ui, say!("Free hand"));
        ui.horizontal_wrapped(|ui| {
            for (one, words) in [(FreeHand::Right, say!("right: tools at the right")), (FreeHand::Left, say!("left: tools at the left"))] {
                if chip(ui, words, now.hand == one).clicked() {
                    new.hand = one;
                }
            }
        });
        strong(ui, say!("Motion"));
        ui.horizontal_wrapped(|ui| {
            for (one, words) in [(Motion::Moves, say!("lists glide")), (Motion::Still, say!("nothing moves by itself"))] {
                if chip(ui, words, now.motion == one).clicked() {
                    new.motion = one;
                }
            }
        });
        remark(ui, say!("Everything here is remembered for the next start."));
        if new != now {
            commands.push(Command::Comfort(new));
        }
    });
    if response.should_close() {
        *open = false;
    }
}

/// The theme for a shade.
pub const fn theme_of(shade: Shade) -> ThemePreference {
    match shade {
        Shade::System => ThemePreference::System,
        Shade::Light => ThemePreference::Light,
        Shade::Dark => ThemePreference::Dark,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_go_up_and_down_and_stop_at_the_ends() {
        let mut comfort = Comfort::default();
        assert_eq!(comfort.resized(false).percent, 100);
        for size in SIZES.into_iter().skip(1) {
            comfort = comfort.resized(true);
            assert_eq!(comfort.percent, size);
        }
        assert_eq!(comfort.resized(true).percent, 250);
        assert_eq!(Comfort { percent: 120, ..comfort }.resized(false).percent, 115);
    }
}

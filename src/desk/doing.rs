//! Everything that can be done, to be found by some of its words and done with Enter.

use super::action::Action;
use super::app::Footring;
use super::command::{Command, Screen};
use super::daybook::pages::Wish;
use super::icons::Icon;
use super::key_book::Page;
use super::theme::{self, TARGET};
use super::widgets::{self, icon_button, remark};
use crate::key::words::fold;
use crate::say;
use egui::{Atom, Button, Key, Margin, Role, ScrollArea, TextEdit, Ui, WidgetInfo, vec2};

/// The list while it is open.
#[derive(Debug, Default)]
pub struct Doing {
    open: bool,
    text: String,
    at: usize,
}

/// What was chosen.
#[derive(Debug, Clone)]
pub enum Chosen {
    /// An action with a key.
    Action(Action),
    /// Something without one.
    Command(Command),
}

impl Doing {
    /// Opens the list, with all that can be done.
    pub fn open(&mut self) {
        *self = Self { open: true, ..Self::default() };
    }

    /// True while it is open.
    pub const fn is_open(&self) -> bool {
        self.open
    }
}

/// One thing that can be done.
struct Entry {
    words: &'static str,
    keys: String,
    can: bool,
    chosen: Chosen,
}

/// The pages that no key leads to.
fn pages() -> [(&'static str, Page); 6] {
    [
        (say!("Value table of the whole key"), Page::Table),
        (say!("Lists of the key: lines, features, glazes, decorations, papers"), Page::Lists),
        (say!("Health of the key"), Page::Health),
        (say!("Trial of the key"), Page::Trial),
        (say!("Bring in a list"), Page::BringIn),
        (say!("Another key: copy forms from it"), Page::OtherKey),
    ]
}

/// Draws the list while it is open. What was chosen is to be done by the caller.
pub fn doing_ui(ui: &mut Ui, doing: &mut Doing, can: &dyn Fn(Action) -> bool) -> Option<Chosen> {
    if !doing.open {
        return None;
    }
    let mut chosen = None;
    let response = widgets::dialog(ui, "what to do").show(ui.ctx(), |ui| {
        ui.set_width((ui.ctx().content_rect().width() - 40.0).min(620.0));
        ui.horizontal(|ui| {
            let label = remark(ui, say!("Do"));
            let field = TextEdit::singleline(&mut doing.text)
                .hint_text(say!("some words of it"))
                .desired_width(ui.available_width() - TARGET - 12.0)
                .margin(Margin::symmetric(8, 7))
                .min_size(vec2(0.0, TARGET));
            let response = ui.add(field).labelled_by(label.id);
            response.request_focus();
            if response.changed() {
                doing.at = 0;
            }
            if icon_button(ui, Icon::Close, say!("Close the list")).clicked() {
                ui.close();
            }
        });
        let all = entries(ui, &doing.text, can);
        let last = all.len().saturating_sub(1);
        let mut moved = false;
        ui.input_mut(|input| {
            if input.consume_key(egui::Modifiers::NONE, Key::ArrowDown) {
                (doing.at, moved) = ((doing.at + 1).min(last), true);
            }
            if input.consume_key(egui::Modifiers::NONE, Key::ArrowUp) {
                (doing.at, moved) = (doing.at.saturating_sub(1), true);
            }
            if input.key_pressed(Key::Enter) {
                chosen = all.get(doing.at).filter(|entry| entry.can).map(|entry| entry.chosen.clone());
            }
        });
        if all.is_empty() {
            remark(ui, say!("Nothing that can be done is called so."));
        }
        ScrollArea::vertical().max_height(ui.ctx().content_rect().height() * 0.6).auto_shrink([false, true]).show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            for (at, entry) in all.iter().enumerate() {
                if entry_ui(ui, entry, at == doing.at, moved) {
                    chosen = Some(entry.chosen.clone());
                }
            }
        });
    });
    if response.should_close() || chosen.is_some() {
        doing.open = false;
    }
    chosen
}

/// What the typed words find, in the order of the help sheet.
fn entries(ui: &Ui, typed: &str, can: &dyn Fn(Action) -> bool) -> Vec<Entry> {
    let actions = Action::ALL.into_iter().filter(|action| !matches!(action, Action::WhatToDo | Action::CloseCard)).map(|action| Entry {
        words: action.words(),
        keys: action.shortcut_text(ui),
        can: can(action),
        chosen: Chosen::Action(action),
    });
    let pages = pages().into_iter().map(|(words, page)| Entry {
        words,
        keys: String::new(),
        can: true,
        chosen: Chosen::Command(Command::OpenPage(page)),
    });
    let of_the_daybook = [
        (say!("Lids and bases: which belong together"), Wish::Pairing),
        (say!("Papers: say what the entries of a list mean"), Wish::Papers),
        (say!("Services and wants"), Wish::Services),
    ];
    let further = of_the_daybook.into_iter().map(|(words, wish)| Entry {
        words,
        keys: String::new(),
        can: true,
        chosen: Chosen::Command(Command::Page(wish)),
    });
    let whole_keys = [(say!("Open a packed key"), Command::ChoosePackedKey), (say!("Pack the key into one file"), Command::PackKey)];
    let whole_keys =
        whole_keys.into_iter().map(|(words, command)| Entry { words, keys: String::new(), can: true, chosen: Chosen::Command(command) });
    actions.chain(pages).chain(further).chain(whole_keys).filter(|entry| finds(typed, entry.words)).collect()
}

/// True where every word that was typed begins a word of it.
fn finds(typed: &str, words: &str) -> bool {
    let (typed, words) = (fold(typed), fold(words));
    typed.split(' ').all(|typed| words.split(' ').any(|word| word.starts_with(typed)))
}

fn entry_ui(ui: &mut Ui, entry: &Entry, on: bool, moved: bool) -> bool {
    let c = theme::colours(ui);
    let keys = egui::RichText::new(&entry.keys).color(c.glow_text);
    let button = Button::selectable(on, (entry.words, Atom::grow(), keys)).min_size(vec2(ui.available_width(), TARGET));
    let response = ui.add_enabled(entry.can, button);
    response.widget_info(|| WidgetInfo::selected(Role::Button, entry.can, on, entry.words));
    if on && moved {
        response.scroll_to_me(None);
    }
    response.clicked()
}

impl Footring {
    /// The list of all that can be done, and what was chosen of it.
    pub(super) fn doing(&mut self, ui: &mut Ui) {
        let mut doing = std::mem::take(&mut self.views.doing);
        let chosen = doing_ui(ui, &mut doing, &|action| self.can(action));
        self.views.doing = doing;
        match chosen {
            Some(Chosen::Action(action)) => self.act(ui, action),
            Some(Chosen::Command(command)) => self.commands.push(command),
            None => {}
        }
    }

    /// True where an action has something to do now.
    pub fn can(&self, action: Action) -> bool {
        match action {
            Action::Undo => self.steps.undo_name().is_some(),
            Action::Redo => self.steps.redo_name().is_some(),
            Action::TakeBack => !self.doc.hand.piece.observations.is_empty(),
            Action::NewPiece | Action::PutInDaybook => !self.doc.hand.is_blank(),
            Action::NextLook => self.screen == Screen::Bench,
            _ => true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn some_words_in_any_order_find_it() {
        assert!(finds("", "Undo") && finds("pie nex", "Next piece: clear the board") && finds("BÖX", "the box"));
        assert!(!finds("piece daybook", "Next piece: clear the board"));
    }
}

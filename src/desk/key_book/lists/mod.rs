//! The lists of the key beside its forms and marks: lines, features, glazes, decorations, papers, what the key is, and the forms that were retired.
//!
//! An entry is edited on a sheet of its own, a draft ([`entry`]) until it is saved; [`sheets`] and [`feature`] draw what is particular to each sort, [`fields`] what they share.

mod drawing;
mod entry;
mod feature;
pub(super) mod fields;
mod sheets;

use super::{KeyBookView, Page};
use crate::desk::board::glyph;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::key_pictures::{Changed, Pictures};
use crate::desk::theme::{self, Colours, TARGET};
use crate::desk::widgets::{self, Ability, button, chip, heading, icon_button_if, main_button, remark, strong};
use crate::key::{Key, KeyFile, capital, edit};
use crate::say;
use egui::{Button, Frame, Margin, Painter, Rect, Role, ScrollArea, Ui, WidgetInfo, vec2};
use entry::{Edit, Entry};

/// Width of the list at the left, in points.
const LIST: f32 = 300.0;

/// What the lists show.
#[derive(Debug)]
pub(super) struct ListsView {
    /// Which list.
    file: KeyFile,
    /// The sheet that is open.
    edit: Option<Box<Edit>>,
}

impl Default for ListsView {
    fn default() -> Self {
        Self { file: KeyFile::Lines, edit: None }
    }
}

/// The lists and what they are called.
fn lists() -> [(KeyFile, &'static str); 7] {
    [
        (KeyFile::Lines, say!("Lines")),
        (KeyFile::Features, say!("Features")),
        (KeyFile::Glazes, say!("Glazes")),
        (KeyFile::Decorations, say!("Decorations")),
        (KeyFile::Papers, say!("Papers")),
        (KeyFile::Retired, say!("Retired forms")),
        (KeyFile::About, say!("The key itself")),
    ]
}

impl ListsView {
    /// True where a sheet has edits that are not saved.
    pub(super) fn is_changed(&self) -> bool {
        self.edit.as_ref().is_some_and(|edit| edit.is_changed())
    }

    /// Takes the last edit back. False where there is none.
    pub(super) fn undo(&mut self) -> bool {
        self.edit.as_mut().is_some_and(|edit| edit.undo())
    }

    /// Makes it again. False where there is none.
    pub(super) fn redo(&mut self) -> bool {
        self.edit.as_mut().is_some_and(|edit| edit.redo())
    }

    /// Saves the sheet that is open.
    pub(super) fn save(&mut self, doc: &Document, pictures: &mut Pictures, commands: &mut Vec<Command>) {
        if let Some(edit) = &mut self.edit {
            edit.save(doc, pictures, commands);
        }
    }

    /// The pictures of the paper that is open, and those that are being added to it.
    pub(super) fn pictures(&mut self) -> Option<Changed<'_>> {
        let edit = self.edit.as_mut()?;
        match &mut edit.draft {
            Entry::Paper(paper) => Some((&mut edit.adding, &mut paper.pictures)),
            _ => None,
        }
    }

    /// Closes the sheet that is open; one with edits asks first. False where none is open.
    pub(super) fn close(&mut self) -> bool {
        match &mut self.edit {
            Some(edit) if edit.is_changed() => edit.asks_to_leave = true,
            Some(_) => self.edit = None,
            None => return false,
        }
        true
    }

    /// The open sheet, as the key stands now: what was undone or changed elsewhere is shown, unless it was edited here.
    fn follow(&mut self, key: &Key) {
        let Some(edit) = &mut self.edit else { return };
        let Some(saved) = &edit.saved else { return };
        let now = Entry::of(key, saved.file(), saved.id());
        if now.as_ref() == Some(saved) {
            return;
        }
        if edit.is_changed() {
            // Its edits are kept; what they are compared with is the key as it stands.
            if now.is_some() {
                edit.saved = now;
            }
        } else {
            self.edit = now.map(|entry| Box::new(Edit::of(entry, false)));
        }
    }
}

/// Draws the lists.
pub(super) fn lists_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    let mut back = false;
    let (lists, pictures) = (&mut view.lists, &mut view.pictures);
    lists.follow(&doc.key);
    Frame::new().inner_margin(Margin::same(theme::GAP as i8)).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            back = button(ui, Icon::Left, say!("All forms")).clicked();
            heading(ui, say!("Lists of the key"));
            for (file, words) in self::lists() {
                let count = count_of(&doc.key, file);
                let words = if file == KeyFile::About { words.to_owned() } else { format!("{words} {count}") };
                if chip(ui, &words, lists.file == file).clicked() && (lists.file != file || lists.edit.is_none()) {
                    if lists.is_changed() {
                        lists.close();
                    } else {
                        lists.file = file;
                        lists.edit = (file == KeyFile::About).then(|| Box::new(Edit::of(Entry::About(doc.key.about.clone()), false)));
                    }
                }
            }
        });
        ui.add_space(6.0);
        if lists.file == KeyFile::Retired {
            retired_ui(ui, doc, commands);
            return;
        }
        let room = ui.available_size();
        ui.horizontal_top(|ui| {
            if lists.file != KeyFile::About {
                ui.allocate_ui_with_layout(vec2(LIST.min(room.x * 0.4), room.y), egui::Layout::top_down(egui::Align::Min), |ui| {
                    list_ui(ui, doc, lists);
                });
            }
            ui.vertical(|ui| sheet_ui(ui, doc, lists, pictures, commands));
        });
    });
    if back {
        view.page = Page::Shelves;
    }
}

fn count_of(key: &Key, file: KeyFile) -> usize {
    match file {
        KeyFile::About => 1,
        KeyFile::Features => key.features.len(),
        KeyFile::Lines => key.lines.len(),
        KeyFile::Forms => key.forms.len(),
        KeyFile::Glazes => key.glazes.len(),
        KeyFile::Decorations => key.decorations.len(),
        KeyFile::Marks => key.marks.len(),
        KeyFile::Papers => key.papers.len(),
        KeyFile::Counted => key.counted.len(),
        KeyFile::Retired => key.retired.len(),
    }
}

/// Id, name and a remark of the entry at a place of a list.
fn row_of(key: &Key, file: KeyFile, at: usize) -> Option<(String, String, String)> {
    let years = |made: crate::key::Years| made.words();
    Some(match file {
        KeyFile::Lines => key.lines.get(at).map(|x| (x.id.to_string(), x.name.clone(), years(x.made)))?,
        KeyFile::Features => key.features.get(at).map(|x| (x.id.to_string(), x.shown_name(), x.view.words().to_owned()))?,
        KeyFile::Glazes => key.glazes.get(at).map(|x| (x.id.to_string(), x.name.clone(), years(x.made)))?,
        KeyFile::Decorations => key.decorations.get(at).map(|x| (x.id.to_string(), x.name.clone(), years(x.made)))?,
        KeyFile::Papers => key.papers.get(at).map(|x| (x.id.to_string(), x.title.clone(), x.date.words()))?,
        KeyFile::About | KeyFile::Forms | KeyFile::Marks | KeyFile::Counted | KeyFile::Retired => return None,
    })
}

fn list_ui(ui: &mut Ui, doc: &Document, lists: &mut ListsView) {
    let c = theme::colours(ui);
    let file = lists.file;
    if main_button(ui, Icon::Add, &say!("New {word}", word = file.said())).clicked() {
        if lists.is_changed() {
            lists.close();
        } else {
            lists.edit = Entry::blank(file).map(|entry| Box::new(Edit::of(entry, true)));
        }
    }
    ui.add_space(4.0);
    let rows = count_of(&doc.key, file);
    if rows == 0 {
        remark(ui, say!("This key has no {plural} yet.", plural = file.several_said()));
    }
    ScrollArea::vertical().id_salt("list").auto_shrink(false).show_rows(ui, TARGET + 2.0, rows, |ui, seen| {
        for at in seen {
            let Some((id, name, says)) = row_of(&doc.key, file, at) else { continue };
            let on = lists.edit.as_ref().and_then(|edit| edit.saved.as_ref()).is_some_and(|saved| saved.id() == id);
            let figure = egui::Atom::paint(vec2(24.0, 24.0), |ui, args| figure(ui.painter(), args.rect, &doc.key, file, at, c));
            let says = egui::RichText::new(says).color(c.ink_soft).small();
            let width = ui.available_width() - 12.0;
            let response =
                ui.add(Button::selectable(on, (figure, name.as_str(), egui::Atom::grow(), says)).min_size(vec2(width, TARGET)).truncate());
            response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, &name));
            if response.clicked() {
                if lists.is_changed() {
                    lists.close();
                } else {
                    lists.edit = Entry::of(&doc.key, file, &id).map(|entry| Box::new(Edit::of(entry, false)));
                }
            }
        }
    });
}

/// The small drawing of an entry.
fn figure(painter: &Painter, rect: Rect, key: &Key, file: KeyFile, at: usize, c: &Colours) {
    match file {
        KeyFile::Glazes => {
            if let Some(glaze) = key.glazes.get(at) {
                glyph::swatch(painter, rect, theme::of_lab(glaze.lab), c);
            }
        }
        KeyFile::Decorations => {
            if let Some(decoration) = key.decorations.get(at) {
                glyph::drawing_glyph(painter, rect, &decoration.drawing, c);
            }
        }
        KeyFile::Features => {
            let first = key.features.get(at).and_then(|feature| Some((feature, key.values_of(feature).into_iter().next()?.0)));
            if let Some((feature, value)) = first {
                glyph::value_glyph(painter, rect, key, feature, &value, c);
            }
        }
        KeyFile::About | KeyFile::Lines | KeyFile::Forms | KeyFile::Marks | KeyFile::Papers | KeyFile::Counted | KeyFile::Retired => {}
    }
}

/// What was asked for on a sheet.
#[derive(PartialEq)]
enum Asked {
    Nothing,
    Close,
    Save,
    Rename,
    Remove,
}

fn sheet_ui(ui: &mut Ui, doc: &Document, lists: &mut ListsView, pictures: &mut Pictures, commands: &mut Vec<Command>) {
    let Some(edit) = &mut lists.edit else {
        remark(ui, say!("Choose an entry at the left, or begin a new one."));
        return;
    };
    let c = theme::colours(ui);
    let mut asked = Asked::Nothing;
    ScrollArea::vertical().id_salt("sheet").auto_shrink(false).show(ui, |ui| {
        widgets::paper(c).show(ui, |ui| {
            ui.set_width(ui.available_width());
            head_ui(ui, edit, &mut asked, c);
            names_ui(ui, edit, &mut asked);
            sheets::entry_ui(ui, doc, edit, pictures);
        });
    });
    let busy = ui.input(|input| input.pointer.any_down()) || ui.ctx().text_edit_focused();
    if !busy {
        edit.settle();
    }
    match asked {
        Asked::Nothing => {}
        Asked::Close => lists.edit = None,
        Asked::Save => {
            edit.save(doc, pictures, commands);
        }
        Asked::Rename => edit.rename(doc, commands),
        Asked::Remove => {
            if edit.remove(doc, commands) {
                lists.edit = None;
            }
        }
    }
}

fn head_ui(ui: &mut Ui, edit: &mut Edit, asked: &mut Asked, c: &Colours) {
    let (is_new, file) = (edit.saved.is_none(), edit.draft.file());
    ui.horizontal_wrapped(|ui| {
        let name = edit.draft.name();
        heading(ui, if name.is_empty() { say!("New {word}", word = file.said()) } else { capital(&name) });
        let can_undo = edit.steps.can_undo() || *edit.steps.now() != edit.draft;
        if icon_button_if(ui, Icon::Undo, say!("Undo this edit"), Ability::from(can_undo)).clicked() {
            edit.undo();
        }
        if icon_button_if(ui, Icon::Redo, say!("Redo this edit"), Ability::from(edit.steps.can_redo())).clicked() {
            edit.redo();
        }
        if edit.is_changed() {
            let words = if is_new { say!("Add the {word}", word = file.said()) } else { say!("Save the {word}", word = file.said()) };
            if main_button(ui, Icon::Tick, &words).clicked() {
                *asked = Asked::Save;
            }
        } else if !is_new {
            remark(ui, say!("Saved as it stands"));
            if file != KeyFile::About && button(ui, Icon::Remove, say!("Take it out of the key")).clicked() {
                *asked = Asked::Remove;
            }
        }
        if button(ui, Icon::Close, say!("Close")).clicked() {
            if edit.is_changed() {
                edit.asks_to_leave = true;
            } else {
                *asked = Asked::Close;
            }
        }
    });
    if let Some(why) = &edit.refused {
        ui.colored_label(c.alarm, capital(why));
    }
    if edit.asks_to_leave && edit.is_changed() {
        ui.horizontal_wrapped(|ui| {
            ui.label(say!("This sheet has edits that were not saved."));
            if button(ui, Icon::Remove, say!("Drop the edits")).clicked() {
                *asked = Asked::Close;
            }
            if button(ui, Icon::Edit, say!("Keep editing")).clicked() {
                edit.asks_to_leave = false;
            }
        });
    }
}

fn names_ui(ui: &mut Ui, edit: &mut Edit, asked: &mut Asked) {
    let label = match edit.draft.file() {
        KeyFile::Papers | KeyFile::About => say!("Title"),
        _ => say!("Name"),
    };
    let mut name = edit.draft.name();
    ui.horizontal_wrapped(|ui| {
        if fields::field(ui, label, &mut name, 280.0).changed() {
            *edit.draft.name_mut() = name;
        }
        if edit.draft.also().is_some() && fields::field(ui, say!("Other names"), &mut edit.also, 240.0).changed() {
            let names = edit.also.split(',').map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).collect();
            if let Some(also) = edit.draft.also_mut() {
                *also = names;
            }
        }
        if let Some(saved) = edit.saved.as_ref().filter(|saved| saved.file() != KeyFile::About) {
            let was = saved.id().to_owned();
            fields::field(ui, say!("Id in the files"), &mut edit.id, 180.0);
            if edit.id.trim() != was
                && button(ui, Icon::Edit, say!("Change the id")).on_hover_text(say!("Everything that refers to it follows")).clicked()
            {
                *asked = Asked::Rename;
            }
        }
    });
}

/// Forms that were taken out of use, each with a way back.
fn retired_ui(ui: &mut Ui, doc: &Document, commands: &mut Vec<Command>) {
    let c = theme::colours(ui);
    if doc.key.retired.is_empty() {
        remark(ui, say!("No form was retired. A form is retired on its sheet; finds and papers that name it stay as they are."));
        return;
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        for retired in &doc.key.retired {
            widgets::paper(c).show(ui, |ui| {
                ui.horizontal_wrapped(|ui| {
                    strong(ui, capital(&doc.key.full_name(&retired.form)));
                    if !retired.why.is_empty() {
                        ui.label(&retired.why);
                    }
                    for heir in &retired.into {
                        let name = doc.key.form_name(heir);
                        if button(ui, Icon::Right, &say!("now {name}", name)).clicked() {
                            commands.push(Command::OpenForm(heir.clone()));
                        }
                    }
                    let back = button(ui, Icon::Undo, say!("Bring it back into use"));
                    back.widget_info(|| {
                        WidgetInfo::labeled(Role::Button, true, say!("Bring {form} back into use", form = retired.form.name))
                    });
                    if back.clicked()
                        && let Ok(new) = edit::unretire(&doc.key, &retired.form.id)
                    {
                        commands.push(Command::ChangeKey(
                            say!("bring {form} back into use", form = doc.key.full_name(&retired.form)),
                            Box::new(new),
                        ));
                    }
                });
            });
        }
    });
}

//! Another key beside this one: its forms, found by name, each of which can be copied across with all that it refers to.

use super::{KeyBookView, Page};
use crate::desk::board::Placing;
use crate::desk::board::vessel::Drawings;
use crate::desk::command::{Command, Notice};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, heading, main_button, remark};
use crate::key::edit::across::{Copied, copy_form};
use crate::key::{Folder, FormId, Key, Words, capital};
use crate::{say, say_count};
use egui::{Context, FontId, Frame, Margin, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo, pos2, vec2};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Height of a form in the list, in points.
const ROW: f32 = 52.0;
/// Things that came along or differ that are told one by one.
const TOLD: usize = 6;

/// The other key while it is open.
#[derive(Debug, Default)]
pub struct OtherKeyView {
    open: Option<Open>,
    is_reading: bool,
    typed: String,
    /// The forms that what was typed finds, for the words as they were.
    found: Option<(String, Vec<FormId>)>,
    drawn: Drawings,
    /// Forms that were copied, with what came along.
    copied: Vec<(FormId, String)>,
}

/// A key that was read.
#[derive(Debug)]
pub struct Open {
    dir: PathBuf,
    key: Arc<Key>,
    words: Words,
}

/// What the work on another key gives.
#[derive(Debug)]
pub enum Done {
    /// It was read; nothing where no folder was chosen.
    Read(Option<Box<Open>>),
    /// A form and its pictures were copied: into which key, the new key, or why not; and the name of the form.
    Copied(Arc<Key>, Result<Box<Copied>, String>, String),
}

/// What is asked of the other key.
#[derive(Debug, Clone)]
pub enum Wish {
    /// Choose its folder with the system's dialog.
    Choose,
    /// Read it.
    Read(PathBuf),
    /// Copy a form of it.
    Copy(FormId),
}

/// Does one step of it, off the frame.
pub fn carry_out(view: &mut KeyBookView, jobs: &mut Jobs, ctx: &Context, doc: &Document, wish: Wish) -> Option<Notice> {
    let other = &mut view.other;
    match wish {
        Wish::Choose | Wish::Read(_) => {
            other.is_reading = true;
            jobs.start(ctx, say!("Reading another key"), move |_progress| {
                let dir = match wish {
                    Wish::Read(dir) => Some(dir),
                    _ => rfd::FileDialog::new().set_title(say!("Another house key: choose its folder")).pick_folder(),
                };
                JobDone::KeyBook(super::Done::Other(Done::Read(dir.map(|dir| {
                    let key = Folder::open(&dir).key().clone();
                    Box::new(Open { words: Words::new(&key), key: Arc::new(key), dir })
                }))))
            });
        }
        Wish::Copy(form) => {
            if let Some(why) = &doc.place.read_only {
                return Some(Notice::problem(why.clone()));
            }
            let open = other.open.as_ref()?;
            let (from, into) = (Arc::clone(&open.key), Arc::clone(&doc.key));
            let (there, here) = (open.dir.clone(), doc.place.dir.clone());
            jobs.start(ctx, say!("Copying a form"), move |_progress| {
                let name = from.form_name(&form);
                JobDone::KeyBook(super::Done::Other({
                    let copied = copy(&from, &form, &into, &there, here.as_deref()).map(Box::new);
                    Done::Copied(into, copied, name)
                }))
            });
        }
    }
    None
}

/// Copies a form, and its pictures first: a key never refers to a picture that is not there.
fn copy(from: &Key, form: &FormId, into: &Key, there: &Path, here: Option<&Path>) -> Result<Copied, String> {
    let pictures = |dir: &Path| dir.join("pictures");
    let taken = |file: &str| here.is_some_and(|here| pictures(here).join(file).exists());
    let mut copied = copy_form(from, form, into, &taken).map_err(|error| error.to_string())?;
    let Some(here) = here else {
        copied.pictures.clear();
        return Ok(copied);
    };
    for (source, target) in &copied.pictures {
        // The loader refuses names that lead out of the folder; what it let in is a name below it.
        let target = pictures(here).join(target);
        let why = |error: std::io::Error| say!("the picture '{source}' can't be copied: {error}", source, error);
        if let Some(folder) = target.parent() {
            fs::create_dir_all(folder).map_err(why)?;
        }
        fs::copy(pictures(there).join(source), &target).map_err(why)?;
    }
    Ok(copied)
}

/// Takes in what was done.
pub(super) fn take_in(view: &mut KeyBookView, doc: &Document, done: Done, commands: &mut Vec<Command>) {
    let other = &mut view.other;
    match done {
        Done::Read(open) => {
            other.is_reading = false;
            if let Some(open) = open {
                other.copied.clear();
                other.typed.clear();
                other.found = None;
                other.open = Some(*open);
            }
        }
        Done::Copied(into, Ok(_), name) if !Arc::ptr_eq(&into, &doc.key) => {
            let says = say!("{name} is not copied, because this key was changed meanwhile; copy it again", name);
            commands.push(Command::Say(Notice::problem(says)));
        }
        Done::Copied(_, Ok(copied), name) => {
            let says = said(&copied);
            commands.push(Command::ChangeKey(say!("copy {name} from another key", name), Box::new(copied.key)));
            other.copied.push((copied.form, say!("{name} is copied. {says}", name = capital(&name), says)));
        }
        Done::Copied(_, Err(why), name) => commands.push(Command::Say(Notice::problem(say!("{name} is not copied: {why}", name, why)))),
    }
}

/// The work ended by a fault of the program.
pub(super) fn broke(view: &mut KeyBookView) {
    view.other.is_reading = false;
}

fn said(copied: &Copied) -> String {
    let list = |what: &[String]| {
        let more = what.len().saturating_sub(TOLD);
        let told = what.iter().take(TOLD).cloned().collect::<Vec<_>>().join(", ");
        if more == 0 { told } else { say!("{told} and {more} more", told, more) }
    };
    let mut out = Vec::new();
    if !copied.came.is_empty() {
        out.push(say!("With it came {what}.", what = list(&copied.came)));
    }
    if !copied.differs.is_empty() {
        out.push(say!("Differs in the two keys, and this key's was used: {what}.", what = list(&copied.differs)));
    }
    if out.is_empty() { say!("Everything it refers to was here already.").to_owned() } else { out.join(" ") }
}

/// Draws the page.
pub(super) fn other_key_ui(ui: &mut Ui, doc: &Document, view: &mut KeyBookView, commands: &mut Vec<Command>) {
    let mut back = false;
    let other = &mut view.other;
    Frame::new().inner_margin(Margin::same(theme::GAP as i8)).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            back = button(ui, Icon::Left, say!("All forms")).clicked();
            let title = other.open.as_ref().map(|open| open.key.about.title.clone());
            heading(ui, title.filter(|title| !title.is_empty()).unwrap_or_else(|| say!("Another key").to_owned()));
            if main_button(ui, Icon::Folder, say!("Choose a key")).clicked() {
                commands.push(Command::OtherKey(Wish::Choose));
            }
            if other.open.is_some() {
                let label = remark(ui, say!("Find"));
                let edit = TextEdit::singleline(&mut other.typed).hint_text(say!("a name or a line")).desired_width(200.0);
                ui.add(edit.min_size(vec2(0.0, TARGET)).margin(Margin::symmetric(8, 7))).labelled_by(label.id);
            }
        });
        for (form, says) in other.copied.iter().rev().take(3) {
            ui.horizontal_wrapped(|ui| {
                ui.label(says);
                if doc.form(form).is_some() && button(ui, Icon::Right, say!("Its sheet")).clicked() {
                    commands.push(Command::OpenForm(form.clone()));
                }
            });
        }
        if other.is_reading {
            remark(ui, say!("Reading it …"));
            return;
        }
        let Some(open) = &other.open else {
            remark(ui, say!("Choose the folder of another house key: a club member's, or an older one of yours. Its forms can be copied into this key with all they refer to; the other key is only read."));
            return;
        };
        let found = other.found.take().filter(|(typed, _)| *typed == other.typed).unwrap_or_else(|| {
            let forms = if other.typed.trim().is_empty() {
                open.key.forms.iter().map(|form| form.id.clone()).collect()
            } else {
                open.words.search_forms(&other.typed, open.key.forms.len()).into_iter().map(|hit| hit.form).collect()
            };
            (other.typed.clone(), forms)
        });
        let forms = &found.1;
        remark(ui, say_count!(n = forms.len(), "{n} form; a click copies one", "{n} forms; a click copies one"));
        ScrollArea::vertical().auto_shrink(false).show_rows(ui, ROW, forms.len(), |ui, seen| {
            for id in seen.filter_map(|at| forms.get(at)) {
                if row_ui(ui, doc, &open.key, &mut other.drawn, id) {
                    commands.push(Command::OtherKey(Wish::Copy(id.clone())));
                }
            }
        });
        other.found = Some(found);
    });
    if back {
        view.page = Page::Shelves;
    }
}

fn row_ui(ui: &mut Ui, doc: &Document, key: &Key, drawn: &mut Drawings, id: &FormId) -> bool {
    let Some(form) = key.form(id) else { return false };
    let c = theme::colours(ui);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW - ui.spacing().item_spacing.y), Sense::click());
    let name = key.full_name(form);
    // By name: the other key may call it by another id.
    let here = doc.key.forms.iter().any(|known| doc.key.full_name(known) == name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, say!("Copy {name}", name)));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 6.0, c.glow_wash);
    }
    let drawing = drawn.of(form);
    let figure = egui::Rect::from_min_size(rect.min + vec2(6.0, 4.0), vec2(70.0, rect.height() - 8.0));
    drawing.paint(ui.painter(), Placing::fit(drawing.bounds, figure, 2.0), c.moss, c.table);
    let painter = ui.painter();
    painter.text(pos2(rect.left() + 90.0, rect.center().y), egui::Align2::LEFT_CENTER, name, FontId::proportional(16.0), c.ink);
    if here {
        let words = say!("this key has one of that name");
        painter.text(pos2(rect.right() - 10.0, rect.center().y), egui::Align2::RIGHT_CENTER, words, FontId::proportional(14.0), c.ink_soft);
    }
    response.clicked()
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;
    use crate::key::builtin;

    #[test]
    fn pictures_are_copied_before_the_key_refers_to_them() {
        let dir = tempfile::tempdir().unwrap();
        let (there, here) = (dir.path().join("there"), dir.path().join("here"));
        builtin::copy_demo(&there).unwrap();
        builtin::copy_demo(&here).unwrap();
        let mut from = Folder::open(&there).key().clone();
        let file = fs::read_dir(there.join("pictures")).unwrap().next().unwrap().unwrap().file_name().into_string().unwrap();
        let form = from.forms.first_mut().unwrap();
        form.pictures.push(crate::key::Picture { file: file.clone(), caption: String::new() });
        let id = form.id.clone();
        let into = Folder::open(&here).key().clone();
        let copied = copy(&from, &id, &into, &there, Some(&here)).unwrap();
        let name = &copied.pictures.first().unwrap().1;
        assert_ne!(*name, file, "the name is taken there");
        assert_eq!(fs::read(here.join("pictures").join(name)).unwrap(), fs::read(there.join("pictures").join(&file)).unwrap());
        fs::remove_file(there.join("pictures").join(&file)).unwrap();
        assert!(copy(&from, &id, &into, &there, Some(&here)).unwrap_err().contains("can't be copied"));
    }
}

//! The pictures of a mark, form or paper that is being changed: taken from a file or a photograph of the piece in hand, turned, cropped, named, taken away.

use super::{Ask, Fresh, NewPicture, Pictures, Shown};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::photographs::{Framing, framing_ui};
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{button, icon_button, remark, strong};
use crate::key::{Picture, capital};
use crate::photo::Crop;
use crate::say;
use egui::{Color32, CornerRadius, Margin, Rect, Sense, Stroke, StrokeKind, TextEdit, TextureHandle, Ui, pos2, vec2};

/// What stands for the file of a new picture until it is saved. No file of a key can be called so: a name within `pictures/` begins with no blank.
const FRESH: &str = " new ";
/// Height of a picture in the editor, in points.
const HEIGHT: f32 = 190.0;

/// The number of a new picture that stands for a file.
fn fresh_number(file: &str) -> Option<usize> {
    file.strip_prefix(FRESH)?.parse().ok()
}

/// What stands for the new picture of that number.
fn fresh_file(number: usize) -> String {
    format!("{FRESH}{number}")
}

/// What was asked for with a picture.
enum Asked {
    Turn(i32),
    Frame,
    Crop(Crop),
    Whole,
    Remove,
}

/// New pictures while what they belong to is being changed.
#[derive(Debug, Default)]
pub struct Adding {
    /// Every one as it ever was: steps go back to them.
    fresh: Vec<Fresh>,
    /// The picture that is being cropped, and the frame.
    framing: Option<(usize, Framing)>,
    /// Why a picture was not taken.
    refused: Option<String>,
}

/// Draws the pictures and what can be done with them.
pub(in crate::desk) fn pictures_ui(ui: &mut Ui, doc: &Document, list: &mut Vec<Picture>, adding: &mut Adding, pictures: &mut Pictures) {
    let c = theme::colours(ui);
    strong(ui, say!("Pictures"));
    if doc.place.dir.is_none() {
        remark(ui, say!("This key is only in memory and can't keep pictures: open a key that is a folder."));
    }
    let mut asked = None;
    for number in 0..list.len() {
        ui.push_id(number, |ui| {
            if let Some(what) = picture_ui(ui, list, adding, pictures, number) {
                asked = Some((number, what));
            }
        });
    }
    if let Some((number, what)) = asked {
        adding.act(ui, list, number, &what);
    }
    if let Some(why) = &adding.refused {
        ui.colored_label(c.alarm, capital(why));
    }
    if doc.place.dir.is_none() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Add, say!("A picture from a file")).on_hover_text(say!("A picture can also be dropped on the window")).clicked()
        {
            pictures.asks.push(Ask::Choose);
        }
        for photograph in &doc.hand.photographs {
            let words = say!("From {file}", file = photograph.name);
            if button(ui, Icon::Add, &words).on_hover_text(say!("A photograph of the piece in hand, as it is turned and cropped")).clicked()
            {
                pictures.asks.push(Ask::From(Box::new(photograph.clone())));
            }
        }
    });
}

fn picture_ui(ui: &mut Ui, list: &mut [Picture], adding: &mut Adding, pictures: &mut Pictures, number: usize) -> Option<Asked> {
    let file = list.get(number)?.file.clone();
    let fresh = fresh_number(&file).and_then(|at| adding.fresh.get(at)).cloned();
    let mut asked = None;
    let (space, _) = ui.allocate_exact_size(vec2(ui.available_width() - 24.0, HEIGHT), Sense::hover());
    let framed = adding.framing.as_mut().filter(|(at, _)| *at == number);
    match (&fresh, framed) {
        (Some(fresh), Some((_, framing))) => {
            let picture = paint(ui, space, &fresh.whole);
            framing_ui(ui, framing, picture);
            let (width, height) = fresh.size();
            let (width, height) = if fresh.edit.turns().is_multiple_of(2) { (width, height) } else { (height, width) };
            ui.horizontal(|ui| {
                if button(ui, Icon::Tick, say!("Crop it")).clicked() {
                    asked = Some(Asked::Crop(framing.crop().turned(4 - fresh.edit.turns(), width, height)));
                }
                if button(ui, Icon::Close, say!("All of it")).clicked() {
                    asked = Some(Asked::Whole);
                }
            });
        }
        (Some(fresh), None) => {
            paint(ui, space, &fresh.kept);
        }
        (None, _) => match pictures.of(ui.ctx(), &file) {
            Shown::Ready(texture) => {
                let texture = texture.clone();
                paint(ui, space, &texture);
            }
            Shown::Waiting => {
                remark(ui, say!("Opening the picture …"));
            }
            Shown::Failed(why) => {
                ui.colored_label(theme::colours(ui).alarm, capital(why));
            }
        },
    }
    let shown = number + 1;
    ui.horizontal(|ui| {
        if fresh.is_some() {
            if icon_button(ui, Icon::Turn, &say!("Turn picture {number} to the right", number = shown)).clicked() {
                asked = Some(Asked::Turn(1));
            }
            if icon_button(ui, Icon::Crop, &say!("Crop picture {number}", number = shown)).clicked() {
                asked = Some(Asked::Frame);
            }
        }
        if icon_button(ui, Icon::Close, &say!("Take picture {number} away", number = shown)).clicked() {
            asked = Some(Asked::Remove);
        }
    });
    if let Some(picture) = list.get_mut(number) {
        let label = remark(ui, say!("Picture {number} shows", number = shown));
        let width = ui.available_width() - 24.0;
        let field = TextEdit::singleline(&mut picture.caption).desired_width(width).min_size(vec2(0.0, TARGET));
        ui.add(field.margin(Margin::symmetric(8, 7))).labelled_by(label.id);
    }
    asked
}

/// Draws a picture into a space, as large as it fits; where it lies.
pub(in crate::desk) fn paint(ui: &Ui, space: Rect, texture: &TextureHandle) -> Rect {
    let size = texture.size_vec2();
    let scale = (space.width() / size.x.max(1.0)).min(space.height() / size.y.max(1.0));
    let inside = Rect::from_center_size(space.center(), size * scale);
    ui.painter().image(texture.id(), inside, Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0)), Color32::WHITE);
    ui.painter().rect_stroke(inside, CornerRadius::ZERO, Stroke::new(1.0, theme::colours(ui).edge), StrokeKind::Outside);
    inside
}

impl Adding {
    fn act(&mut self, ui: &Ui, list: &mut Vec<Picture>, number: usize, asked: &Asked) {
        if let Asked::Remove = asked {
            self.framing = None;
            list.remove(number);
            return;
        }
        let Some(at) = list.get(number).and_then(|picture| fresh_number(&picture.file)) else { return };
        let Some(fresh) = self.fresh.get(at) else { return };
        let (width, height) = fresh.size();
        let now = match asked {
            Asked::Turn(by) => fresh.edit.turned(*by),
            Asked::Crop(crop) => crate::photo::Edit { crop: Some(*crop), ..fresh.edit },
            Asked::Whole => crate::photo::Edit { crop: None, ..fresh.edit },
            Asked::Frame => {
                let turned = fresh.edit.crop_within(width, height).turned(fresh.edit.turns(), width, height);
                let size = if fresh.edit.turns().is_multiple_of(2) { (width, height) } else { (height, width) };
                self.framing = Some((number, Framing::new(turned, size)));
                return;
            }
            Asked::Remove => return,
        };
        // The old one stays, for going back.
        let made = fresh.edited(ui.ctx(), now);
        self.stop_framing();
        self.fresh.push(made);
        if let Some(picture) = list.get_mut(number) {
            picture.file = fresh_file(self.fresh.len() - 1);
        }
    }

    /// Nothing is being cropped any more.
    pub(in crate::desk) fn stop_framing(&mut self) {
        self.framing = None;
    }

    /// Takes a new picture, or says why there is none.
    pub(super) fn take(&mut self, list: &mut Vec<Picture>, made: Result<Fresh, String>) {
        match made {
            Ok(fresh) => {
                self.refused = None;
                self.fresh.push(fresh);
                list.push(Picture { file: fresh_file(self.fresh.len() - 1), caption: String::new() });
            }
            Err(why) => self.refused = Some(why),
        }
    }

    /// Gives new pictures the names under which the key keeps them; they are new in the folder too, for what they are is in the name.
    pub(in crate::desk) fn name(&self, list: &mut [Picture], kind: &str, id: &str, pictures: &mut Pictures) -> Vec<NewPicture> {
        let mut named = Vec::new();
        for picture in list {
            if let Some(fresh) = fresh_number(&picture.file).and_then(|number| self.fresh.get(number)) {
                let new = fresh.of_entry(kind, id);
                picture.file.clone_from(&new.file);
                // It may be looked at before it is in the folder.
                pictures.known.insert(new.file.clone(), Shown::Ready(fresh.kept.clone()));
                named.push(new);
            }
        }
        named
    }
}

/// Pictures of an earlier run that were never saved are gone with it.
pub(in crate::desk) fn without_unsaved(list: &mut Vec<Picture>) {
    list.retain(|picture| fresh_number(&picture.file).is_none());
}

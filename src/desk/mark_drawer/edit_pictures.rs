//! The pictures of a mark that is being changed: taken from a file or a photograph of the piece in hand, turned, cropped, named, taken away.

use super::edit::{Edit, field};
use super::pictures::{Ask, Fresh, Pictures, Shown};
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::photographs::{Framing, framing_ui};
use crate::desk::theme;
use crate::desk::widgets::{button, icon_button, remark, strong};
use crate::key::{Picture, capital};
use crate::photo::Crop;
use egui::{Color32, CornerRadius, Rect, Sense, Stroke, StrokeKind, TextureHandle, Ui, pos2, vec2};

/// What stands for the file of a new picture until the mark is saved. No file of a key can be called so: a name within `pictures/` begins with no blank.
const FRESH: &str = " new ";
/// Height of a picture in the editor, in points.
const HEIGHT: f32 = 190.0;

/// The number of a new picture that stands for a file.
pub(super) fn fresh_number(file: &str) -> Option<usize> {
    file.strip_prefix(FRESH)?.parse().ok()
}

/// What stands for the new picture of that number.
pub(super) fn fresh_file(number: usize) -> String {
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

/// Draws the pictures of the mark and what can be done with them.
pub(super) fn pictures_ui(ui: &mut Ui, doc: &Document, edit: &mut Edit, pictures: &mut Pictures) {
    let c = theme::colours(ui);
    strong(ui, "Pictures");
    if doc.place.dir.is_none() {
        remark(ui, "This key is only in memory and can't keep pictures: open a key that is a folder.");
    }
    let mut asked = None;
    for number in 0..edit.draft.pictures.len() {
        ui.push_id(number, |ui| {
            if let Some(what) = picture_ui(ui, edit, pictures, number) {
                asked = Some((number, what));
            }
        });
    }
    if let Some((number, what)) = asked {
        act(ui, edit, number, &what);
    }
    if let Some(why) = &edit.picture_refused {
        ui.colored_label(c.alarm, capital(why));
    }
    if doc.place.dir.is_none() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        if button(ui, Icon::Add, "A picture from a file").on_hover_text("A picture can also be dropped on the window").clicked() {
            pictures.asks.push(Ask::Choose);
        }
        for photograph in &doc.hand.photographs {
            let words = format!("From {}", photograph.name);
            if button(ui, Icon::Add, &words).on_hover_text("A photograph of the piece in hand, as it is turned and cropped").clicked() {
                pictures.asks.push(Ask::From(Box::new(photograph.clone())));
            }
        }
    });
}

fn picture_ui(ui: &mut Ui, edit: &mut Edit, pictures: &mut Pictures, number: usize) -> Option<Asked> {
    let file = edit.draft.pictures.get(number)?.file.clone();
    let fresh = fresh_number(&file).and_then(|at| edit.fresh.get(at)).cloned();
    let mut asked = None;
    let (space, _) = ui.allocate_exact_size(vec2(ui.available_width() - 24.0, HEIGHT), Sense::hover());
    let framed = edit.framing.as_mut().filter(|(at, _)| *at == number);
    match (&fresh, framed) {
        (Some(fresh), Some((_, framing))) => {
            let picture = paint(ui, space, &fresh.whole);
            framing_ui(ui, framing, picture);
            let (width, height) = fresh.size();
            let (width, height) = if fresh.edit.turns().is_multiple_of(2) { (width, height) } else { (height, width) };
            ui.horizontal(|ui| {
                if button(ui, Icon::Tick, "Crop it").clicked() {
                    asked = Some(Asked::Crop(framing.crop().turned(4 - fresh.edit.turns(), width, height)));
                }
                if button(ui, Icon::Close, "All of it").clicked() {
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
                remark(ui, "Opening the picture …");
            }
            Shown::Failed(why) => {
                ui.colored_label(theme::colours(ui).alarm, capital(why));
            }
        },
    }
    let name = format!("picture {}", number + 1);
    ui.horizontal(|ui| {
        if fresh.is_some() {
            if icon_button(ui, Icon::Turn, &format!("Turn {name} to the right")).clicked() {
                asked = Some(Asked::Turn(1));
            }
            if icon_button(ui, Icon::Crop, &format!("Crop {name}")).clicked() {
                asked = Some(Asked::Frame);
            }
        }
        if icon_button(ui, Icon::Close, &format!("Take {name} away")).clicked() {
            asked = Some(Asked::Remove);
        }
    });
    if let Some(picture) = edit.draft.pictures.get_mut(number) {
        field(ui, &capital(&format!("{name} shows")), &mut picture.caption);
    }
    asked
}

/// Draws a picture into a space, as large as it fits; where it lies.
pub(super) fn paint(ui: &Ui, space: Rect, texture: &TextureHandle) -> Rect {
    let size = texture.size_vec2();
    let scale = (space.width() / size.x.max(1.0)).min(space.height() / size.y.max(1.0));
    let inside = Rect::from_center_size(space.center(), size * scale);
    ui.painter().image(texture.id(), inside, Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0)), Color32::WHITE);
    ui.painter().rect_stroke(inside, CornerRadius::ZERO, Stroke::new(1.0, theme::colours(ui).edge), StrokeKind::Outside);
    inside
}

fn act(ui: &Ui, edit: &mut Edit, number: usize, asked: &Asked) {
    if let Asked::Remove = asked {
        edit.framing = None;
        edit.draft.pictures.remove(number);
        return;
    }
    let Some(at) = edit.draft.pictures.get(number).and_then(|picture| fresh_number(&picture.file)) else { return };
    let Some(fresh) = edit.fresh.get(at) else { return };
    let (width, height) = fresh.size();
    let now = match asked {
        Asked::Turn(by) => fresh.edit.turned(*by),
        Asked::Crop(crop) => crate::photo::Edit { crop: Some(*crop), ..fresh.edit },
        Asked::Whole => crate::photo::Edit { crop: None, ..fresh.edit },
        Asked::Frame => {
            let turned = fresh.edit.crop_within(width, height).turned(fresh.edit.turns(), width, height);
            let size = if fresh.edit.turns().is_multiple_of(2) { (width, height) } else { (height, width) };
            edit.framing = Some((number, Framing::new(turned, size)));
            return;
        }
        Asked::Remove => return,
    };
    edit.framing = None;
    let made = fresh.edited(ui.ctx(), now);
    edit.put_fresh(number, made);
}

impl Edit {
    /// Takes a new picture, or says why there is none.
    pub(super) fn take_picture(&mut self, made: Result<Fresh, String>) {
        match made {
            Ok(fresh) => {
                self.picture_refused = None;
                self.fresh.push(fresh);
                self.draft.pictures.push(Picture { file: fresh_file(self.fresh.len() - 1), caption: String::new() });
            }
            Err(why) => self.picture_refused = Some(why),
        }
    }

    /// Puts a picture in the place of one that was turned or cropped; the old one stays, for going back.
    fn put_fresh(&mut self, number: usize, fresh: Fresh) {
        self.fresh.push(fresh);
        let file = fresh_file(self.fresh.len() - 1);
        if let Some(picture) = self.draft.pictures.get_mut(number) {
            picture.file = file;
        }
    }
}

//! A photograph large: zoomed and moved, turned and cropped, and what it shows.

mod keys;

use super::crop::{Framing, framing_ui};
use super::strip::kind_icon;
use super::view::{Ask, PhotographsView, list_now};
use crate::daybook::{PhotoKind, Photograph};
use crate::desk::canvas::no_picture_ui;
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme::{self, TARGET};
use crate::desk::widgets::{self, Ability, button, icon_button, icon_button_if, main_button, remark};
use crate::photo::{Crop, Edit, PhotoHash};
use crate::say;
use egui::epaint::{Mesh, Vertex};
use egui::{
    Align, Color32, ColorImage, Context, Layout, Margin, Pos2, Rect, Role, Sense, TextEdit, TextureHandle, TextureOptions, Ui, Vec2,
    WidgetInfo, pos2, vec2,
};

/// The photograph that is open, and how it is being looked at.
#[derive(Debug)]
pub(super) struct Viewer {
    index: usize,
    picture: Picture,
    /// 1 shows all of it.
    zoom: f32,
    pan: Vec2,
    framing: Option<Framing>,
    caption: Caption,
    pressed: Option<Pressed>,
}

/// The whole photograph, unturned, as far as the screen can take it.
#[derive(Default)]
enum Picture {
    #[default]
    None,
    Asked(PhotoHash),
    Ready(PhotoHash, TextureHandle, (u32, u32)),
    Failed(PhotoHash, String),
}

impl std::fmt::Debug for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::None => "None",
            Self::Asked(_) => "Asked",
            Self::Ready(..) => "Ready",
            Self::Failed(..) => "Failed",
        })
    }
}

/// The caption while it is typed: it goes to the document when the field is left.
#[derive(Debug, Default)]
struct Caption {
    of: Option<(usize, String)>,
    text: String,
}

/// What a key meant for the window as a whole does here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pressed {
    Enter,
    Escape,
}

/// Zoom of all of it, and the most.
const ZOOM: std::ops::RangeInclusive<f32> = 1.0..=24.0;
/// By how much a press or a click zooms.
const ZOOM_STEP: f32 = 1.5;

impl Viewer {
    /// The viewer on a photograph of the piece in hand.
    pub(super) fn at(index: usize) -> Self {
        Self { index, picture: Picture::None, zoom: 1.0, pan: Vec2::ZERO, framing: None, caption: Caption::default(), pressed: None }
    }

    pub(super) fn enter(&mut self) {
        self.pressed = Some(Pressed::Enter);
    }

    pub(super) fn escape(&mut self) {
        self.pressed = Some(Pressed::Escape);
    }

    /// Takes in the picture that was asked for.
    pub(super) fn put(&mut self, ctx: &Context, hash: PhotoHash, made: Result<(ColorImage, (u32, u32)), String>) {
        if !matches!(self.picture, Picture::Asked(asked) if asked == hash) {
            return;
        }
        self.picture = match made {
            Ok((picture, size)) => Picture::Ready(hash, ctx.load_texture("photograph", picture, TextureOptions::LINEAR), size),
            Err(why) => Picture::Failed(hash, why),
        };
    }

    fn show(&mut self, index: usize) {
        *self = Self { picture: std::mem::take(&mut self.picture), ..Self::at(index) };
    }

    fn fit(&mut self) {
        self.zoom = 1.0;
        self.pan = Vec2::ZERO;
    }

    /// Zooms about a point given from the middle of the canvas, which stays where it is.
    fn zoom_about(&mut self, factor: f32, point: Vec2) {
        let zoom = (self.zoom * factor).clamp(*ZOOM.start(), *ZOOM.end());
        self.pan = point + (self.pan - point) * (zoom / self.zoom);
        self.zoom = zoom;
        if zoom <= *ZOOM.start() {
            self.pan = Vec2::ZERO;
        }
    }
}

/// Draws the large viewer while it is open, and the place for a drop while one hovers.
pub fn viewer_ui(ui: &mut Ui, doc: &Document, view: &mut PhotographsView, commands: &mut Vec<Command>) {
    if ui.input(|input| !input.raw.hovered_files.is_empty()) {
        drop_ui(ui);
    }
    let Some(mut viewer) = view.viewer.take() else { return };
    let list = list_now(doc, commands);
    // One may have been taken away by undo meanwhile.
    let Some(photograph) = list.get(viewer.index).or(list.last()).cloned() else { return };
    viewer.index = viewer.index.min(list.len() - 1);
    ask_for_picture(ui, view, &mut viewer, &photograph);
    let mut asked = Asked::default();
    let room = ui.ctx().content_rect().shrink(20.0);
    let response = widgets::dialog(ui, "photograph").show(ui.ctx(), |ui| {
        ui.set_width(room.width() - widgets::DIALOG_ROOM.x);
        head_ui(ui, &mut viewer, &photograph, list.len(), &mut asked);
        let foot = 2.0 * (TARGET + 10.0);
        let height = (room.bottom() - ui.cursor().top() - foot - 16.0).max(80.0).min(room.height() - foot - TARGET - 40.0);
        let (canvas, _) = ui.allocate_exact_size(vec2(ui.available_width(), height.max(80.0)), Sense::hover());
        canvas_ui(ui, &mut viewer, &photograph, canvas);
        caption_ui(ui, &mut viewer, &photograph, &mut asked);
        foot_ui(ui, &mut viewer, &photograph, list.len(), &mut asked);
        keys::keys(ui, &mut viewer, &photograph, &mut asked);
    });
    asked.close |= response.should_close();
    carry_out(&mut viewer, list, asked, commands);
    if !viewer.is_done() {
        view.viewer = Some(viewer);
    }
}

impl Viewer {
    fn is_done(&self) -> bool {
        self.index == usize::MAX
    }
}

/// What was asked for in this frame.
#[derive(Debug, Default)]
struct Asked {
    edit: Option<(&'static str, Edit)>,
    kind: Option<PhotoKind>,
    caption: Option<String>,
    go: Option<usize>,
    remove: Option<usize>,
    measure: bool,
    read: bool,
    close: bool,
}

fn carry_out(viewer: &mut Viewer, mut list: Vec<Photograph>, asked: Asked, commands: &mut Vec<Command>) {
    // A caption that was being typed is not lost by closing or going on.
    let leaving = asked.close || asked.measure || asked.read || asked.go.is_some();
    if asked.read
        && let Some(photograph) = list.get(viewer.index)
    {
        commands.push(Command::ReadMarkOn(Box::new(photograph.clone())));
    }
    if asked.measure
        && let Some(photograph) = list.get(viewer.index)
    {
        commands.push(Command::MeasureOn(Box::new(photograph.clone())));
    }
    let caption = asked.caption.or_else(|| {
        let typed = leaving.then(|| viewer.caption.text.clone())?;
        let (of, was) = viewer.caption.of.as_ref()?;
        (*of == viewer.index && *was != typed).then_some(typed)
    });
    let mut name = None;
    if let Some(one) = list.get_mut(viewer.index) {
        if let Some((words, edit)) = asked.edit {
            one.edit = edit;
            name = Some(words);
        }
        if let Some(kind) = asked.kind.filter(|kind| *kind != one.kind) {
            one.kind = kind;
            name = Some(say!("what a photograph shows"));
        }
        if let Some(caption) = caption.filter(|caption| *caption != one.caption) {
            one.caption = caption;
            name = Some(say!("caption of a photograph"));
        }
    }
    if let Some(index) = asked.remove.filter(|index| *index < list.len()) {
        list.remove(index);
        name = Some(say!("take a photograph away"));
        viewer.show(index.min(list.len().saturating_sub(1)));
    }
    if let Some(index) = asked.go.filter(|index| *index < list.len()) {
        viewer.show(index);
    }
    if asked.close || asked.measure || asked.read || list.is_empty() {
        viewer.index = usize::MAX;
    }
    if let Some(name) = name {
        commands.push(Command::Photographs(name, list));
    }
}

fn ask_for_picture(ctx: &Context, view: &mut PhotographsView, viewer: &mut Viewer, photograph: &Photograph) {
    let has = match &viewer.picture {
        Picture::None => None,
        Picture::Asked(hash) | Picture::Ready(hash, ..) | Picture::Failed(hash, _) => Some(*hash),
    };
    if has != Some(photograph.hash) {
        viewer.picture = Picture::Asked(photograph.hash);
        view.ask(ctx, Ask::Full(photograph.clone()));
    }
}

fn head_ui(ui: &mut Ui, viewer: &mut Viewer, photograph: &Photograph, count: usize, asked: &mut Asked) {
    ui.horizontal(|ui| {
        let c = theme::colours(ui);
        for kind in PhotoKind::ALL {
            let on = kind == photograph.kind;
            let (fill, ink) = if on { (c.ink, c.on_ink) } else { (c.paper_warm, c.ink) };
            let words = crate::key::capital(kind.words());
            let switch = egui::Button::image_and_text(kind_icon(kind).image(18.0, ink), egui::RichText::new(&words).color(ink));
            let response = ui.add(switch.fill(fill).min_size(vec2(0.0, TARGET)));
            response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, words.clone()));
            if response.clicked() {
                asked.kind = Some(kind);
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if icon_button(ui, Icon::Close, say!("Close the photograph")).clicked() {
                asked.close = true;
            }
            if count > 1 {
                if icon_button_if(ui, Icon::Right, say!("Next photograph"), Ability::from(viewer.index + 1 < count)).clicked() {
                    asked.go = Some(viewer.index + 1);
                }
                if icon_button_if(ui, Icon::Left, say!("Photograph before"), Ability::from(viewer.index > 0)).clicked() {
                    asked.go = viewer.index.checked_sub(1);
                }
            }
            let words = say!("{index} of {count}: {photograph}", index = viewer.index + 1, count, photograph = photograph.name);
            ui.add(egui::Label::new(egui::RichText::new(words).color(c.ink_soft)).truncate());
        });
    });
}

fn canvas_ui(ui: &mut Ui, viewer: &mut Viewer, photograph: &Photograph, canvas: Rect) {
    let c = theme::colours(ui);
    ui.painter().rect_filled(canvas, 6.0, c.table);
    let (texture, size) = match &viewer.picture {
        Picture::Ready(_, texture, size) => (texture.clone(), *size),
        Picture::Failed(_, why) => {
            let why = why.clone();
            no_picture_ui(ui, canvas, Some(&why));
            return;
        }
        Picture::None | Picture::Asked(_) => {
            no_picture_ui(ui, canvas, None);
            return;
        }
    };
    let edit = if viewer.framing.is_some() { Edit { crop: None, ..photograph.edit } } else { photograph.edit };
    let (w, h) = edit.shown_size(size.0, size.1);
    let shown_px = vec2(w.max(1) as f32, h.max(1) as f32);
    let response = ui.interact(canvas, widgets::id("photograph canvas"), Sense::click_and_drag());
    let name = say!("Photograph, {kind}", kind = photograph.kind.words());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name.clone()));
    if let Some(at) = response.hover_pos() {
        let (scroll, pinch) = ui.input(|input| (input.smooth_scroll_delta.y, input.zoom_delta()));
        let factor = pinch * (scroll / 240.0).exp();
        if factor.is_finite() && (factor - 1.0).abs() > 1e-4 {
            viewer.zoom_about(factor, at - canvas.center());
        }
    }
    if response.dragged() {
        viewer.pan += response.drag_delta();
    }
    if response.double_clicked() {
        let point = response.interact_pointer_pos().map_or(Vec2::ZERO, |at| at - canvas.center());
        if viewer.zoom > 1.0 { viewer.fit() } else { viewer.zoom_about(4.0, point) }
    }
    let margin = if viewer.framing.is_some() { TARGET } else { 8.0 };
    let fit = ((canvas.width() - margin) / shown_px.x).min((canvas.height() - margin) / shown_px.y).max(1e-6);
    let on_screen = shown_px * fit * viewer.zoom;
    // The picture is never moved out of sight.
    let most = ((on_screen - canvas.size()) / 2.0).max(Vec2::ZERO) + canvas.size() * 0.25 * f32::from(u8::from(viewer.zoom > 1.0));
    viewer.pan = viewer.pan.clamp(-most, most);
    let picture = Rect::from_center_size(canvas.center() + viewer.pan, on_screen);
    let painter = ui.painter().with_clip_rect(canvas.intersect(ui.clip_rect()));
    painter.add(picture_mesh(&texture, picture, edit, size));
    if let Some(framing) = &mut viewer.framing {
        let mut inner = ui.new_child(egui::UiBuilder::new().id_salt("framing").max_rect(canvas));
        inner.set_clip_rect(canvas.intersect(ui.clip_rect()));
        framing_ui(&mut inner, framing, picture);
    }
}

/// The shown part of the picture as two triangles: cropped and turned by where the corners of the texture go.
fn picture_mesh(texture: &TextureHandle, on_screen: Rect, edit: Edit, (width, height): (u32, u32)) -> Mesh {
    let mut mesh = Mesh::with_texture(texture.id());
    let places = [on_screen.left_top(), on_screen.right_top(), on_screen.right_bottom(), on_screen.left_bottom()];
    for (pos, uv) in places.into_iter().zip(corners_uv(edit, width, height)) {
        mesh.vertices.push(Vertex { pos, uv, color: Color32::WHITE });
    }
    mesh.indices.extend([0, 1, 2, 0, 2, 3]);
    mesh
}

/// Which corner of the unturned photograph shows at the top left, top right, bottom right and bottom left, in shares of its sides.
fn corners_uv(edit: Edit, width: u32, height: u32) -> impl Iterator<Item = Pos2> {
    let crop = edit.crop_within(width, height);
    let (w, h) = (width.max(1) as f32, height.max(1) as f32);
    let (left, top) = (crop.left as f32 / w, crop.top as f32 / h);
    let (right, bottom) = ((crop.left + crop.width) as f32 / w, (crop.top + crop.height) as f32 / h);
    let corners = [pos2(left, top), pos2(right, top), pos2(right, bottom), pos2(left, bottom)];
    corners.into_iter().cycle().skip(usize::from(4 - edit.turns())).take(4)
}

fn caption_ui(ui: &mut Ui, viewer: &mut Viewer, photograph: &Photograph, asked: &mut Asked) {
    let current = (viewer.index, photograph.caption.clone());
    if viewer.caption.of.as_ref() != Some(&current) {
        viewer.caption.text.clone_from(&photograph.caption);
        viewer.caption.of = Some(current);
    }
    ui.horizontal(|ui| {
        let label = remark(ui, say!("Caption"));
        let field = TextEdit::singleline(&mut viewer.caption.text)
            .hint_text(say!("a line under it"))
            .desired_width(ui.available_width())
            .margin(Margin::symmetric(8, 7))
            .min_size(vec2(0.0, TARGET));
        if ui.add(field).labelled_by(label.id).lost_focus() {
            asked.caption = Some(viewer.caption.text.clone());
        }
    });
}

fn foot_ui(ui: &mut Ui, viewer: &mut Viewer, photograph: &Photograph, _count: usize, asked: &mut Asked) {
    ui.horizontal(|ui| {
        if viewer.framing.is_some() {
            if main_button(ui, Icon::Tick, say!("Keep this crop")).clicked() {
                keep_crop(viewer, photograph, asked);
            }
            if button(ui, Icon::WholePiece, say!("All of it")).on_hover_text(say!("Take the crop back")).clicked() {
                viewer.framing = None;
                asked.edit = Some((say!("take a crop back"), Edit { crop: None, ..photograph.edit }));
            }
            if button(ui, Icon::Close, say!("Leave it")).clicked() {
                viewer.framing = None;
            }
            return;
        }
        if icon_button_if(ui, Icon::ZoomOut, say!("Zoom out (-)"), Ability::from(viewer.zoom > *ZOOM.start())).clicked() {
            viewer.zoom_about(1.0 / ZOOM_STEP, Vec2::ZERO);
        }
        if icon_button(ui, Icon::ZoomFit, say!("Show all of it (F)")).clicked() {
            viewer.fit();
        }
        if icon_button_if(ui, Icon::ZoomIn, say!("Zoom in (+)"), Ability::from(viewer.zoom < *ZOOM.end())).clicked() {
            viewer.zoom_about(ZOOM_STEP, Vec2::ZERO);
        }
        remark(ui, format!("{:.0} %", viewer.zoom * 100.0));
        if button(ui, Icon::Turn, say!("Turn")).on_hover_text(say!("A quarter turn to the right (R); Shift+R to the left")).clicked() {
            asked.edit = Some((say!("turn a photograph"), photograph.edit.turned(1)));
            viewer.fit();
        }
        if button(ui, Icon::Crop, say!("Crop")).on_hover_text("C").clicked() {
            begin_crop(viewer, photograph);
        }
        let measure = button(ui, Icon::Rule, say!("Measure"))
            .on_hover_text(say!("Sizes and shape with a bank card or a ruler beside the piece, and colours (L)"));
        asked.measure |= measure.clicked();
        let read = button(ui, Icon::Mark, say!("Read the mark")).on_hover_text(say!("Laid out straight, worn print made plain (T)"));
        asked.read |= read.clicked();
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if button(ui, Icon::Remove, say!("Take it away"))
                .on_hover_text(say!("Undo brings it back; the picture itself stays in the daybook's folder"))
                .clicked()
            {
                asked.remove = Some(viewer.index);
            }
        });
    });
}

fn begin_crop(viewer: &mut Viewer, photograph: &Photograph) {
    if let Picture::Ready(_, _, (width, height)) = viewer.picture {
        let edit = photograph.edit;
        let crop = edit.crop_within(width, height).turned(edit.turns(), width, height);
        let whole = Edit { crop: None, ..edit };
        viewer.framing = Some(Framing::new(crop, whole.shown_size(width, height)));
        viewer.fit();
    }
}

fn keep_crop(viewer: &mut Viewer, photograph: &Photograph, asked: &mut Asked) {
    if let (Some(framing), Picture::Ready(_, _, (width, height))) = (viewer.framing.take(), &viewer.picture) {
        let edit = photograph.edit;
        let (w, h) = Edit { crop: None, ..edit }.shown_size(*width, *height);
        let crop = framing.crop().turned(4 - edit.turns(), w, h);
        let crop = (crop != Crop::all(*width, *height)).then_some(crop);
        asked.edit = Some((say!("crop a photograph"), Edit { crop, ..edit }));
        viewer.fit();
    }
}

/// Says, while files hover over the window, what dropping them does.
fn drop_ui(ui: &Ui) {
    let c = theme::colours(ui);
    let rect = ui.ctx().content_rect();
    let painter = ui.ctx().layer_painter(egui::LayerId::new(egui::Order::Foreground, widgets::id("drop here")));
    painter.rect_filled(rect, 0.0, c.glow_wash.gamma_multiply(0.9));
    painter.rect_stroke(rect.shrink(10.0), 10.0, egui::Stroke::new(3.0, c.glow), egui::StrokeKind::Inside);
    let words = say!("Drop: a photograph of the piece in hand, or a list for the key");
    painter.text(rect.center(), egui::Align2::CENTER_CENTER, words, egui::FontId::new(24.0, theme::bold()), c.ink);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_shows_the_bottom_left_corner_at_the_top_left() {
        let uv = |edit| corners_uv(edit, 200, 100).collect::<Vec<_>>();
        let whole = [pos2(0.0, 0.0), pos2(1.0, 0.0), pos2(1.0, 1.0), pos2(0.0, 1.0)];
        assert_eq!(uv(Edit::default()), whole);
        assert_eq!(uv(Edit { quarter_turns: 1, crop: None }), [pos2(0.0, 1.0), pos2(0.0, 0.0), pos2(1.0, 0.0), pos2(1.0, 1.0)]);
        let crop = Crop { left: 50, top: 50, width: 100, height: 50 };
        assert_eq!(uv(Edit { quarter_turns: 2, crop: Some(crop) }), [pos2(0.75, 1.0), pos2(0.25, 1.0), pos2(0.25, 0.5), pos2(0.75, 0.5)]);
    }

    #[test]
    fn the_point_under_the_pointer_stays_when_zooming() {
        let mut viewer = Viewer::at(0);
        let point = vec2(120.0, -40.0);
        viewer.zoom_about(3.0, point);
        // Before, the point showed the place `point` from the middle of the picture; now it shows (point - pan) / zoom.
        let shows = (point - viewer.pan) / viewer.zoom;
        assert!((shows - point).length() < 1e-3, "{shows:?}");
        viewer.zoom_about(0.01, point);
        assert!((viewer.zoom - 1.0).abs() < 1e-6 && viewer.pan == Vec2::ZERO);
    }
}

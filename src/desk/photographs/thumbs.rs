//! Small pictures of photographs, kept as textures while they are being shown.

use crate::daybook::Photograph;
use crate::desk::theme;
use crate::photo::{Edit, PhotoHash};
use egui::{ColorImage, Context, CornerRadius, Rect, Stroke, StrokeKind, TextureHandle, TextureOptions, Ui, pos2};
use std::collections::BTreeMap;

/// Longest side of a small picture, in pixels.
pub(super) const THUMB_SIDE: u32 = 320;

/// Above this many, those that have not been drawn lately are let go.
const MOST: usize = 240;

/// Small pictures by photograph and edit.
#[derive(Debug, Default)]
pub struct Thumbs {
    kept: BTreeMap<(PhotoHash, Edit), Kept>,
    /// Photographs whose picture is wanted and not asked for yet.
    wanted: Vec<Photograph>,
}

#[derive(Debug)]
struct Kept {
    drawn_in_pass: u64,
    state: State,
}

enum State {
    Waiting,
    Ready(TextureHandle),
    Failed(String),
}

impl std::fmt::Debug for State {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Waiting => "Waiting",
            Self::Ready(_) => "Ready",
            Self::Failed(_) => "Failed",
        })
    }
}

/// What there is to show of a photograph.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Shown {
    /// Its picture.
    Picture,
    /// Nothing yet; it is being made.
    Waiting,
    /// Nothing, and why.
    Nothing(String),
}

impl Thumbs {
    /// Draws a photograph inside `rect`, or the place for it, and says which. Asks for the picture where there is none.
    pub fn paint(&mut self, ui: &Ui, rect: Rect, photograph: &Photograph) -> Shown {
        let c = theme::colours(ui);
        let painter = ui.painter();
        let round = CornerRadius::same(6);
        let pass = ui.ctx().cumulative_pass_nr();
        let key = (photograph.hash, photograph.edit);
        let kept = self.kept.entry(key).or_insert_with(|| {
            self.wanted.push(photograph.clone());
            ui.ctx().request_repaint();
            Kept { drawn_in_pass: pass, state: State::Waiting }
        });
        kept.drawn_in_pass = pass;
        painter.rect_filled(rect, round, c.paper_warm);
        let shown = match &kept.state {
            State::Ready(texture) => {
                let size = texture.size_vec2();
                let scale = (rect.width() / size.x).min(rect.height() / size.y);
                let inside = Rect::from_center_size(rect.center(), size * scale);
                let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
                painter.image(texture.id(), inside, whole, egui::Color32::WHITE);
                Shown::Picture
            }
            State::Waiting => {
                painter.text(rect.center(), egui::Align2::CENTER_CENTER, "…", egui::FontId::proportional(18.0), c.ink_soft);
                Shown::Waiting
            }
            State::Failed(why) => {
                painter.text(rect.center(), egui::Align2::CENTER_CENTER, "×", egui::FontId::proportional(22.0), c.alarm);
                Shown::Nothing(why.clone())
            }
        };
        painter.rect_stroke(rect, round, Stroke::new(1.0, c.edge), StrokeKind::Inside);
        shown
    }

    /// Puts a picture in its place.
    pub(super) fn put(&mut self, ctx: &Context, hash: PhotoHash, edit: Edit, made: Result<ColorImage, String>) {
        let pass = ctx.cumulative_pass_nr();
        let state = match made {
            Ok(picture) => State::Ready(ctx.load_texture(format!("thumb {hash}"), picture, TextureOptions::LINEAR)),
            Err(why) => State::Failed(why),
        };
        self.kept.insert((hash, edit), Kept { drawn_in_pass: pass, state });
        if self.kept.len() > MOST {
            self.kept.retain(|_, kept| kept.drawn_in_pass + 2 >= pass);
        }
    }

    /// The next photograph whose picture should be made.
    pub(super) fn next_wanted(&mut self) -> Option<Photograph> {
        // The one asked for last is the one being looked at.
        self.wanted.pop()
    }

    /// True where pictures are still to be asked for.
    pub(super) fn wants_any(&self) -> bool {
        !self.wanted.is_empty()
    }
}

//! The pictures of the key's marks that are most like the photograph: beside it, laid over it, or in its place by turns.

use super::view::Open;
use crate::desk::canvas::Laid;
use crate::desk::document::Document;
use crate::desk::icons::Icon;
use crate::desk::theme;
use crate::desk::widgets::{button, chip, remark, strong};
use crate::key::{MarkId, capital};
use crate::say;
use egui::{Color32, Mesh, Rect, Role, Sense, Slider, Stroke, StrokeKind, TextureId, Ui, WidgetInfo, pos2, vec2};
use kurbo::{Affine, Point};
use std::time::Duration;

/// Pictures that are shown.
pub(super) const SHOWN: usize = 6;
/// How long each of two is seen while they change, in seconds.
const TURN_S: f64 = 0.6;
/// A picture of the key that is less alike than this is not worth a look. A choice of this program, no source.
const LEAST_SCORE: f64 = 0.15;

/// How a picture of the key is looked at with the photograph.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Beside {
    /// Beside it.
    Side,
    /// Over it, so much of it seen, 0 to 1.
    Over(f32),
    /// By turns.
    Turns,
}

/// Lists them. The mark that the person says it is.
pub(super) fn alike_ui(ui: &mut Ui, doc: &Document, open: &mut Open) -> Option<MarkId> {
    let c = theme::colours(ui);
    strong(ui, say!("Alike in the key"));
    let mut chosen = None;
    match &open.alike {
        None => {
            remark(ui, say!("Comparing …"));
        }
        Some(Err(why)) => {
            remark(ui, capital(why));
        }
        Some(Ok(all)) => {
            let worth = all.iter().filter(|(one, _)| one.likeness.score >= LEAST_SCORE).count();
            if worth == 0 {
                remark(ui, say!("No picture of the key is like it"));
            }
            let mut beside = open.beside;
            ui.horizontal_wrapped(|ui| {
                for (number, (one, texture)) in all.iter().take(worth).enumerate() {
                    let name = doc.key.mark(&one.mark).map_or_else(|| one.mark.to_string(), |mark| mark.name.clone());
                    let (rect, response) = ui.allocate_exact_size(vec2(92.0, 92.0), Sense::click());
                    let on = beside.is_some_and(|(at, _)| at == number);
                    let words =
                        say!("{text}, {clamp:.0} % alike", text = capital(&name), clamp = 100.0 * one.likeness.score.clamp(0.0, 1.0));
                    response.widget_info(|| WidgetInfo::selected(Role::Button, true, on, &words));
                    let size = vec2(one.picture.width() as f32, one.picture.height() as f32);
                    let fit = Rect::from_center_size(rect.center(), size * (rect.width() / size.x.max(size.y).max(1.0)));
                    ui.painter().image(texture.id(), fit, WHOLE, Color32::WHITE);
                    let edge = if on || response.has_focus() { Stroke::new(2.5, c.glow) } else { Stroke::new(1.0, c.edge) };
                    ui.painter().rect_stroke(rect, 4.0, edge, StrokeKind::Inside);
                    if response.on_hover_text(format!("{words}\n{}", one.caption)).clicked() {
                        beside = if on { None } else { Some((number, beside.map_or(Beside::Side, |(_, how)| how))) };
                    }
                }
            });
            if let Some((number, how)) = &mut beside
                && let Some((one, _)) = all.get(*number)
            {
                let name = doc.key.mark(&one.mark).map_or_else(|| one.mark.to_string(), |mark| mark.name.clone());
                ui.label(capital(&name));
                ui.horizontal_wrapped(|ui| {
                    for (to, words) in
                        [(Beside::Side, say!("Beside it")), (Beside::Over(0.5), say!("Over it")), (Beside::Turns, say!("By turns"))]
                    {
                        if chip(ui, words, std::mem::discriminant(&to) == std::mem::discriminant(how)).clicked() {
                            *how = to;
                        }
                    }
                });
                if let Beside::Over(share) = how {
                    ui.spacing_mut().slider_width = 150.0;
                    ui.add(Slider::new(share, 0.0..=1.0).show_value(false).text(say!("of the key's picture")))
                        .on_hover_text(say!("Slide between the two"));
                }
                if button(ui, Icon::Tick, say!("It is this one")).clicked() {
                    chosen = Some(one.mark.clone());
                }
            }
            open.beside = beside;
        }
    }
    chosen
}

const WHOLE: Rect = Rect { min: pos2(0.0, 0.0), max: pos2(1.0, 1.0) };

/// Draws the chosen picture of the key over the photograph, or beside it.
pub(super) fn over_ui(ui: &Ui, open: &Open, laid: Laid, canvas: Rect, whole: Rect) {
    let (Some((number, how)), Some(Ok(all))) = (open.beside, &open.alike) else { return };
    let Some((one, texture)) = all.get(number) else { return };
    let size = vec2(one.picture.width() as f32, one.picture.height() as f32);
    match how {
        Beside::Side => {
            let other = whole.split_left_right_at_fraction(0.5).1.shrink(4.0);
            let scale = (other.width() / size.x.max(1.0)).min(other.height() / size.y.max(1.0));
            ui.painter().with_clip_rect(whole).image(
                texture.id(),
                Rect::from_center_size(other.center(), size * scale),
                WHOLE,
                Color32::WHITE,
            );
        }
        Beside::Over(share) => paint_over(ui, texture.id(), one.likeness.first_from_second, size, laid, canvas, share),
        Beside::Turns => {
            let time = ui.input(|input| input.time);
            if (time / TURN_S) as u64 % 2 == 1 {
                paint_over(ui, texture.id(), one.likeness.first_from_second, size, laid, canvas, 1.0);
            }
            ui.ctx().request_repaint_after(Duration::from_secs_f64(TURN_S));
        }
    }
}

/// The picture of the key where the photograph shows the same, so much of it seen.
fn paint_over(ui: &Ui, texture: TextureId, first_from_second: Affine, size: egui::Vec2, laid: Laid, canvas: Rect, share: f32) {
    let mut mesh = Mesh::with_texture(texture);
    let tint = Color32::WHITE.gamma_multiply(share);
    for (u, v) in [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)] {
        let at = first_from_second * Point::new(f64::from(u * size.x), f64::from(v * size.y));
        mesh.vertices.push(egui::epaint::Vertex { pos: laid.screen(at), uv: pos2(u, v), color: tint });
    }
    mesh.indices.extend([0, 1, 2, 0, 2, 3]);
    ui.painter().with_clip_rect(canvas.intersect(ui.clip_rect())).add(mesh);
}

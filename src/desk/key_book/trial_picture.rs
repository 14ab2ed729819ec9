//! The two pictures of a trial: how far its probabilities can be believed, and which forms are taken for which.

use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::theme;
use crate::desk::widgets::{self, remark};
use crate::identify::trial::{Calibration, Confusion, Report};
use crate::key::FormId;
use crate::key::capital;
use crate::say;
use egui::{Align2, FontId, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};
use std::collections::HashMap;

/// Height of the picture of the probabilities, in points.
const CALIBRATION: f32 = 230.0;
/// Side of the picture of the confusions at most, in points.
const CONFUSION: f32 = 480.0;

/// What was said, left to right, against how often it was right, upwards: on the line where it can be believed. A dot is as large as its pieces
/// are many.
pub(super) fn calibration_ui(ui: &mut Ui, calibration: &Calibration) {
    ui.set_width(ui.available_width());
    let c = theme::colours(ui);
    widgets::strong(ui, say!("How far its probabilities can be believed"));
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), CALIBRATION), Sense::hover());
    let said: Vec<String> = calibration
        .bins
        .iter()
        .filter(|bin| bin.pieces > 0)
        .map(|bin| {
            say!(
                "said {said:.0} %, right {right:.0} % of {pieces} pieces",
                said = bin.said * 100.0,
                right = bin.right * 100.0,
                pieces = bin.pieces
            )
        })
        .collect();
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, said.join("; ")));
    let side = (rect.height() - 44.0).max(60.0);
    let plot = Rect::from_min_size(rect.left_top() + vec2(54.0, 8.0), vec2((rect.width() - 80.0).clamp(60.0, side * 1.8), side));
    let at = |said: f64, right: f64| pos2(egui::lerp(plot.x_range(), said as f32), egui::lerp(plot.bottom()..=plot.top(), right as f32));
    let painter = ui.painter();
    for tenth in 0..=10 {
        let share = f64::from(tenth) / 10.0;
        let stroke = Stroke::new(if tenth % 5 == 0 { 1.0 } else { 0.5 }, c.grid);
        painter.line_segment([at(share, 0.0), at(share, 1.0)], stroke);
        painter.line_segment([at(0.0, share), at(1.0, share)], stroke);
        if tenth % 5 == 0 {
            let words = format!("{:.0} %", share * 100.0);
            painter.text(at(0.0, share) - vec2(6.0, 0.0), Align2::RIGHT_CENTER, &words, FontId::proportional(13.0), c.ink_soft);
            painter.text(at(share, 0.0) + vec2(0.0, 4.0), Align2::CENTER_TOP, &words, FontId::proportional(13.0), c.ink_soft);
        }
    }
    painter.line_segment([at(0.0, 0.0), at(1.0, 1.0)], Stroke::new(1.5, c.ink_faint));
    painter.text(
        pos2(plot.center().x, plot.bottom() + 20.0),
        Align2::CENTER_TOP,
        say!("said of the first form"),
        FontId::proportional(13.0),
        c.ink_soft,
    );
    painter.text(plot.left_top() + vec2(8.0, 6.0), Align2::LEFT_TOP, say!("was right"), FontId::proportional(13.0), c.ink_soft);
    for bin in calibration.bins.iter().filter(|bin| bin.pieces > 0) {
        let centre = at(bin.said, bin.right);
        painter.circle(centre, 3.0 + 11.0 * (bin.weight as f32).sqrt(), c.moss.gamma_multiply(0.75), Stroke::new(1.5, c.ink));
    }
    let near = response.hover_pos().and_then(|pointer| {
        let bins = calibration.bins.iter().filter(|bin| bin.pieces > 0);
        bins.min_by(|a, b| at(a.said, a.right).distance(pointer).total_cmp(&at(b.said, b.right).distance(pointer)))
    });
    if let Some(bin) = near {
        let words = say!(
            "Said {said:.1} %, right {right:.1} % of {pieces} pieces",
            said = bin.said * 100.0,
            right = bin.right * 100.0,
            pieces = bin.pieces
        );
        response.on_hover_text_at_pointer(words);
    }
    remark(ui, format!("{}.", capital(&said.join("; "))));
    remark(
        ui,
        say!(
            "On average what is said is {expected_error:.1} % off. Brier score {brier:.3} (0 is best; {brier_blank:.3} with nothing looked at).",
            expected_error = calibration.expected_error * 100.0,
            brier = calibration.brier,
            brier_blank = calibration.brier_blank
        ),
    );
}

/// What pieces were, downwards, against what they were taken for, left to right, line by line: a dot for each pair of forms.
pub(super) fn confusion_ui(ui: &mut Ui, doc: &Document, report: &Report, commands: &mut Vec<Command>) {
    ui.set_width(ui.available_width());
    let c = theme::colours(ui);
    widgets::strong(ui, say!("Which forms were taken for which"));
    let order = by_line(doc);
    let n = order.len().max(1);
    let side = (ui.available_width() - 24.0).clamp(120.0, CONFUSION);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), side + 44.0), Sense::click());
    let words = say!("{confusions} pairs of forms taken for each other; they are listed below", confusions = report.confusions.len());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words.as_str()));
    let plot = Rect::from_min_size(rect.left_top() + vec2(20.0, 24.0), vec2(side, side));
    let painter = ui.painter();
    painter.rect(plot, 0.0, c.paper_warm, Stroke::new(1.0, c.edge), StrokeKind::Outside);
    let small = FontId::proportional(13.0);
    painter.text(plot.left_bottom() + vec2(0.0, 4.0), Align2::LEFT_TOP, say!("↑ what it was"), small.clone(), c.ink_soft);
    painter.text(plot.right_bottom() + vec2(0.0, 4.0), Align2::RIGHT_TOP, say!("→ taken for"), small.clone(), c.ink_soft);
    let cell = side / n as f32;
    let at = |row: usize, column: usize| plot.left_top() + vec2((column as f32 + 0.5) * cell, (row as f32 + 0.5) * cell);
    // Where each line of the key begins, with its name where there is room.
    let mut from = 0;
    for forms in order.chunk_by(|a, b| a.1 == b.1) {
        let (left, wide) = (from as f32 * cell, forms.len() as f32 * cell);
        if from > 0 {
            painter.vline(plot.left() + left, plot.y_range(), Stroke::new(1.0, c.edge));
            painter.hline(plot.x_range(), plot.top() + left, Stroke::new(1.0, c.edge));
        }
        let name =
            forms.first().and_then(|(_, line)| doc.key.lines.iter().find(|known| known.id.as_str() == *line)).map_or("", |l| &l.name);
        let galley = painter.layout_no_wrap(name.to_owned(), small.clone(), c.ink_soft);
        if galley.size().x + 8.0 <= wide {
            painter.galley(plot.left_top() + vec2(left + (wide - galley.size().x) / 2.0, -4.0 - galley.size().y), galley, c.ink_soft);
        }
        from += forms.len();
    }
    painter.line_segment([plot.left_top(), plot.right_bottom()], Stroke::new(1.0, c.ink_faint));
    let places: HashMap<&FormId, usize> = order.iter().enumerate().map(|(place, (id, _))| (*id, place)).collect();
    let most = report.confusions.iter().map(|confusion| confusion.pieces).max().unwrap_or(1).max(1);
    let dots: Vec<(Pos2, &Confusion)> = report
        .confusions
        .iter()
        .filter_map(|confusion| Some((at(*places.get(&confusion.form)?, *places.get(&confusion.taken_for)?), confusion)))
        .collect();
    for (centre, confusion) in &dots {
        let radius = (cell * 0.5).max(2.5) + 6.0 * (confusion.pieces as f32 / most as f32).sqrt();
        // Settled under a wrong name is worse than merely thought more probable.
        let ink = if confusion.settled > 0 { c.alarm } else { c.clay_dark };
        painter.circle_filled(*centre, radius, ink.gamma_multiply(0.8));
    }
    let near = response.hover_pos().and_then(|pointer| {
        let reach = 14.0;
        dots.iter().min_by(|a, b| a.0.distance(pointer).total_cmp(&b.0.distance(pointer))).filter(|dot| dot.0.distance(pointer) < reach)
    });
    if let Some((centre, confusion)) = near {
        painter.circle_stroke(*centre, 12.0, Stroke::new(2.0, c.glow));
        let words = {
            let (form, taken_for) = (doc.key.form_name(&confusion.form), doc.key.form_name(&confusion.taken_for));
            let (pieces, all) = (confusion.pieces, report.options.pieces);
            capital(&if confusion.settled > 0 {
                say!(
                    "{form} as {taken_for}: {pieces} of {all}, {settled} of them settled",
                    form,
                    taken_for,
                    pieces,
                    all,
                    settled = confusion.settled
                )
            } else {
                say!("{form} as {taken_for}: {pieces} of {all}", form, taken_for, pieces, all)
            })
        };
        let clicked = response.clicked();
        response.on_hover_text_at_pointer(words);
        if clicked {
            commands.push(Command::TellApart(vec![confusion.form.clone(), confusion.taken_for.clone()]));
        }
    }
    let worst = report.confusions.first().map(|worst| doc.key.pair_names(&worst.form, &worst.taken_for));
    remark(
        ui,
        match worst {
            Some(worst) => {
                say!(
                    "A dot beside the slope is a form taken for another; red where the wrong name was settled. Most often: {worst}.",
                    worst
                )
            }
            None => say!("Nothing stands beside the slope: every piece was taken for what it was.").to_owned(),
        },
    );
}

/// The forms line by line, in the order of the key, each with its line.
fn by_line(doc: &Document) -> Vec<(&FormId, &str)> {
    let lines: HashMap<&str, usize> = doc.key.lines.iter().enumerate().map(|(at, line)| (line.id.as_str(), at)).collect();
    let mut order: Vec<(&FormId, &str)> = doc.key.forms.iter().map(|form| (&form.id, form.line.as_str())).collect();
    order.sort_by_key(|(_, line)| lines.get(line).copied().unwrap_or(usize::MAX));
    order
}

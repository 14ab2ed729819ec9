//! The line of each form: a colour and a dash pattern, the same on the plate, in the legend and at every value.

use crate::desk::theme::Colours;
use egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, pos2};

/// Dashes and gaps of each line, in points. The first is whole.
const DASHES: [(&[f32], &[f32]); 6] =
    [(&[], &[]), (&[9.0], &[4.5]), (&[2.2], &[3.6]), (&[10.0, 2.2], &[4.0, 4.0]), (&[16.0], &[4.0]), (&[7.0, 2.2, 2.2], &[3.5, 3.5, 3.5])];

/// The colour of the line of the form at that place of the legend.
pub fn colour(c: &Colours, at: usize) -> Color32 {
    c.forms.iter().copied().cycle().nth(at).unwrap_or(c.ink)
}

/// Inks lines of points with the line of the form at that place of the legend.
pub fn ink(painter: &Painter, lines: Vec<(Vec<Pos2>, bool)>, at: usize, width: f32, c: &Colours) {
    let stroke = Stroke::new(width, colour(c, at));
    let (dashes, gaps) = DASHES.iter().copied().cycle().nth(at).unwrap_or_default();
    for (mut line, closed) in lines {
        if closed && let Some(first) = line.first().copied() {
            line.push(first);
        }
        if dashes.is_empty() {
            painter.add(Shape::line(line, stroke));
        } else {
            painter.extend(Shape::dashed_line_with_offset(&line, stroke, dashes, gaps, 0.0));
        }
    }
}

/// Width of a sample of a line in the legend, in points.
pub const SAMPLE: f32 = 34.0;

/// A sample of the line in the middle of `rect`.
pub fn sample(painter: &Painter, rect: Rect, at: usize, c: &Colours) {
    let y = rect.center().y;
    ink(painter, vec![(vec![pos2(rect.left(), y), pos2(rect.right(), y)], false)], at, 3.0, c);
}

//! A mark as it stands on the ware: its wording on arcs, around, or straight, in its ink or pressed into the clay.
//!
//! The key holds words and their places, not a drawing, so this is a fair sketch: letter shapes, borders and spacing are the program's.

use crate::colour::Lab;
use crate::desk::theme;
use crate::key::{Applied, Layout, Mark, Place};
use crate::marks::Match;
use egui::epaint::TextShape;
use egui::{Color32, CornerRadius, FontFamily, FontId, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2, vec2};
use std::f32::consts::{FRAC_PI_2, PI, TAU};

/// The glazed ground a printed mark stands on, the same in both themes: a warm white.
const GLAZED: Lab = Lab::new(95.0, 0.5, 5.0);
/// The bare clay that an impressed mark is pressed into.
const CLAY: Lab = Lab::new(79.0, 4.5, 15.0);
/// The shadow within a pressed letter.
const PRESSED: Lab = Lab::new(42.0, 6.0, 16.0);
/// The light on its lower edge.
const LIT: Lab = Lab::new(92.0, 2.0, 10.0);
/// Ink of a mark that has none recorded.
const PLAIN_INK: Lab = Lab::new(30.0, 0.0, 2.0);

/// Draws a mark into a rectangle. With a reading, the letters that were read stand out and the others pale.
pub fn paint_mark(painter: &Painter, rect: Rect, mark: &Mark, reading: Option<&Match>) {
    let pressed = matches!(mark.applied, Applied::Impressed | Applied::Moulded);
    painter.rect_filled(rect, CornerRadius::same(8), theme::of_lab(if pressed { CLAY } else { GLAZED }));
    let ink = match (&mark.ink, pressed) {
        (_, true) => theme::of_lab(PRESSED),
        (Some(ink), false) => theme::of_lab(ink.lab),
        (None, false) => theme::of_lab(PLAIN_INK),
    };
    let half = rect.size() / 2.0 - Vec2::splat(8.0);
    let round = half.min_elem();
    let reach = match mark.layout {
        Layout::Round => Vec2::splat(round),
        Layout::Oval => vec2(half.x.min(round * 1.4), round * 0.86),
        Layout::Square => vec2(half.x.min(round * 1.25), round * 0.9),
        Layout::Script | Layout::Words => vec2(half.x, round),
    };
    let sketch = Sketch { painter, centre: rect.center(), reach, ink, light: pressed.then(|| theme::of_lab(LIT)), reading, mark };
    sketch.border();
    sketch.wording();
}

struct Sketch<'a> {
    painter: &'a Painter,
    centre: Pos2,
    /// Half the width and half the height of the mark.
    reach: Vec2,
    ink: Color32,
    /// The light on the edge of pressed letters.
    light: Option<Color32>,
    reading: Option<&'a Match>,
    mark: &'a Mark,
}

impl Sketch<'_> {
    /// The line round the mark.
    fn border(&self) {
        if self.mark.rings > 0 {
            self.line_round(self.reach);
        }
        if self.mark.rings > 1 && self.mark.layout == Layout::Square {
            self.line_round(self.reach - Vec2::splat(5.0));
        }
    }

    /// A line round the mark that reaches so far from its middle.
    fn line_round(&self, reach: Vec2) {
        let stroke = Stroke::new(1.6, self.ink);
        match self.mark.layout {
            Layout::Round | Layout::Oval => {
                let around = |i: u8| {
                    let (sin, cos) = (f32::from(i) / 120.0 * TAU).sin_cos();
                    self.centre + vec2(reach.x * cos, reach.y * sin)
                };
                self.painter.add(Shape::closed_line((0..120).map(around).collect(), stroke));
            }
            Layout::Square => {
                let frame = Rect::from_center_size(self.centre, reach * 2.0);
                self.painter.rect_stroke(frame, CornerRadius::same(4), stroke, StrokeKind::Inside);
            }
            Layout::Script | Layout::Words => {}
        }
    }

    /// True where lines can stand on arcs.
    fn has_arcs(&self) -> bool {
        matches!(self.mark.layout, Layout::Round | Layout::Oval)
    }

    fn wording(&self) {
        let mut arcs: Vec<(usize, Place)> = Vec::new();
        let mut straight: Vec<usize> = Vec::new();
        for (line, wording) in self.mark.wording.iter().enumerate() {
            if wording.place != Place::Straight && self.has_arcs() { arcs.push((line, wording.place)) } else { straight.push(line) }
        }
        let size = self.reach.y * 0.25;
        let mut rings: [f32; 2] = [0.0; 2];
        for &(line, place) in &arcs {
            let depth = match place {
                Place::ArcBelow => &mut rings[1],
                _ => &mut rings[0],
            };
            self.arc(line, place, size, *depth);
            *depth += size * 1.15;
        }
        let inner = if self.has_arcs() { self.reach - Vec2::splat(rings[0].max(rings[1])) } else { self.reach };
        if self.mark.rings > 1 && self.has_arcs() {
            // Letters on arcs stand between the two; without any, the second runs close within the first.
            let room = if arcs.is_empty() { 5.0 } else { size * 0.2 };
            self.line_round(inner - Vec2::splat(room));
        }
        self.straight(&straight, inner, !arcs.is_empty());
    }

    fn text(&self, line: usize) -> &str {
        self.mark.wording.get(line).map_or("", |wording| wording.text.as_str())
    }

    fn family(&self) -> FontFamily {
        if self.mark.layout == Layout::Script { theme::script() } else { theme::bold() }
    }

    /// The colour of a letter: pale where something was read and this letter was not.
    fn colour(&self, line: usize, at: usize) -> Color32 {
        let read = self.reading.is_none_or(|reading| reading.spans.iter().any(|span| span.line == line && span.printed.contains(&at)));
        if read { self.ink } else { self.ink.gamma_multiply(0.4) }
    }

    /// One letter, its middle at `middle`, turned by `turn_rad` clockwise.
    fn letter(&self, c: char, size: f32, middle: Pos2, turn_rad: f32, colour: Color32) {
        let galley = self.painter.layout_no_wrap(c.to_string(), FontId::new(size, self.family()), colour);
        let (sin, cos) = turn_rad.sin_cos();
        let half = galley.size() / 2.0;
        let corner = middle - vec2(half.x * cos - half.y * sin, half.x * sin + half.y * cos);
        if let Some(light) = self.light {
            let under = TextShape::new(corner + vec2(0.9, 0.9), galley.clone(), light).with_override_text_color(light).with_angle(turn_rad);
            self.painter.add(under);
        }
        self.painter.add(TextShape::new(corner, galley, colour).with_angle(turn_rad));
    }

    fn width(&self, c: char, size: f32) -> f32 {
        self.painter.layout_no_wrap(c.to_string(), FontId::new(size, self.family()), self.ink).size().x
    }

    /// A line on an arc, `depth` inside the outermost one.
    fn arc(&self, line: usize, place: Place, size: f32, depth: f32) {
        let letters: Vec<char> = self.text(line).chars().collect();
        let most_rad = if place == Place::Ring { TAU * 0.94 } else { PI * 0.86 };
        let radius = |size: f32| self.reach - Vec2::splat(size * 0.72 + depth);
        let spread = |size: f32| {
            letters.iter().map(|c| self.width(*c, size) + size * 0.06).sum::<f32>() / (radius(size).x + radius(size).y).max(2.0) * 2.0
        };
        let size = if spread(size) > most_rad { (size * most_rad / spread(size)).max(5.0) } else { size };
        let radius = radius(size);
        if radius.min_elem() <= 1.0 {
            return;
        }
        let below = place == Place::ArcBelow;
        // Over the top letters run clockwise with their heads out, along the bottom the other way with their heads in.
        let sense = if below { -1.0 } else { 1.0 };
        let middle = if below { FRAC_PI_2 } else { -FRAC_PI_2 };
        let mut at_rad = middle - sense * spread(size).min(TAU) / 2.0;
        for (at, c) in letters.iter().enumerate() {
            let width = self.width(*c, size) + size * 0.06;
            // A step along an ellipse turns the more the nearer its curve: divide by the speed at this angle.
            let speed = |angle: f32| vec2(radius.x * angle.sin(), radius.y * angle.cos()).length().max(1.0);
            let here = at_rad + sense * width / 2.0 / speed(at_rad);
            let point = self.centre + vec2(radius.x * here.cos(), radius.y * here.sin());
            let tangent = vec2(-radius.x * here.sin(), radius.y * here.cos()) * sense;
            self.letter(*c, size, point, tangent.angle(), self.colour(line, at));
            at_rad += sense * width / speed(here);
        }
    }

    /// Straight lines under each other in the middle. Between arcs they keep to what the arcs leave.
    fn straight(&self, lines: &[usize], inner: Vec2, between_arcs: bool) {
        if lines.is_empty() {
            return;
        }
        let most_width = inner.x * if self.has_arcs() { 1.55 } else { 1.86 };
        let most_height = inner.y * if between_arcs { 1.15 } else { 1.5 };
        let longest = lines.iter().map(|line| self.text(*line).chars().map(|c| self.width(c, 10.0)).sum::<f32>()).fold(1.0, f32::max);
        let size = (most_height / lines.len() as f32 / 1.2).min(most_width / longest * 10.0).clamp(5.0, self.reach.y * 0.42);
        let step = size * 1.2;
        let mut y = self.centre.y - step * (lines.len() as f32 - 1.0) / 2.0;
        for &line in lines {
            let width: f32 = self.text(line).chars().map(|c| self.width(c, size)).sum();
            let mut x = self.centre.x - width / 2.0;
            for (at, c) in self.text(line).chars().enumerate() {
                let wide = self.width(c, size);
                self.letter(c, size, pos2(x + wide / 2.0, y), 0.0, self.colour(line, at));
                x += wide;
            }
            y += step;
        }
        if self.mark.layout == Layout::Script {
            self.flourish(y - step / 2.0 + size * 0.2, size);
        }
    }

    /// The stroke a hand draws under a name.
    fn flourish(&self, y: f32, size: f32) {
        let width = self.reach.x * 0.55;
        let points: Vec<Pos2> = (0..=24)
            .map(|i| {
                let t = i as f32 / 24.0;
                pos2(self.centre.x - width + 2.0 * width * t, y + size * 0.12 * (t * TAU).sin() * (1.0 - t))
            })
            .collect();
        self.painter.add(Shape::line(points, Stroke::new(1.6, self.ink)));
    }
}

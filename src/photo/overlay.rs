//! What was seen, drawn over a copy of the photograph.

use image::RgbImage;
use kurbo::Point;
use tiny_skia::{Color, LineCap, LineJoin, Paint, PathBuilder, PixmapMut, Stroke, Transform};

/// A colour of a line: red, green, blue.
pub type LineColour = [u8; 3];

/// Orange for what gives the scale, and light blue for what was measured: told apart by all kinds of colour sight.
pub const SCALE_COLOUR: LineColour = [230, 159, 0];
/// See [`SCALE_COLOUR`].
pub const OUTLINE_COLOUR: LineColour = [86, 200, 255];

/// A copy of a photograph that is drawn on. Lines are as wide as a person sees well at the picture's size, and have a dark seam so that they show on
/// any ground.
pub struct Overlay {
    rgba: Vec<u8>,
    width: u32,
    height: u32,
}

impl Overlay {
    /// A copy of the photograph.
    pub fn of(photo: &RgbImage) -> Self {
        let rgba = photo
            .pixels()
            .flat_map(|p| {
                let [r, g, b] = p.0;
                [r, g, b, 255]
            })
            .collect();
        Self { rgba, width: photo.width(), height: photo.height() }
    }

    /// A line through points in pixels of the photograph, closed if it ends where it began. Points that are no numbers are left out.
    pub fn line(&mut self, points: &[Point], colour: LineColour) {
        let width = (self.width.max(self.height) as f32 / 800.0).max(1.5);
        let mut path = PathBuilder::new();
        let mut begun = false;
        for p in points.iter().filter(|p| p.is_finite()) {
            if begun {
                path.line_to(p.x as f32, p.y as f32);
            } else {
                path.move_to(p.x as f32, p.y as f32);
                begun = true;
            }
        }
        let Some(path) = path.finish() else { return };
        let Some(mut picture) = PixmapMut::from_bytes(&mut self.rgba, self.width, self.height) else { return };
        let [r, g, b] = colour;
        for (colour, width) in [(Color::from_rgba8(20, 20, 20, 160), 2.2 * width), (Color::from_rgba8(r, g, b, 255), width)] {
            let mut paint = Paint { anti_alias: true, ..Paint::default() };
            paint.set_color(colour);
            let stroke = Stroke { width, line_cap: LineCap::Round, line_join: LineJoin::Round, ..Stroke::default() };
            picture.stroke_path(&path, &paint, &stroke, Transform::identity(), None);
        }
    }

    /// A small cross.
    pub fn cross(&mut self, at: Point, colour: LineColour) {
        let arm = f64::from(self.width.max(self.height)) / 120.0;
        self.line(&[Point::new(at.x - arm, at.y), Point::new(at.x + arm, at.y)], colour);
        self.line(&[Point::new(at.x, at.y - arm), Point::new(at.x, at.y + arm)], colour);
    }

    /// The picture with all that was drawn.
    pub fn picture(&self) -> RgbImage {
        let rgb = self.rgba.as_chunks::<4>().0.iter().flat_map(|[r, g, b, _]| [*r, *g, *b]).collect();
        RgbImage::from_raw(self.width, self.height, rgb).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Rgb;

    #[test]
    fn lines_are_drawn_where_they_are_and_nowhere_else() {
        let photo = RgbImage::from_pixel(200, 100, Rgb([90, 100, 110]));
        let mut overlay = Overlay::of(&photo);
        overlay.line(&[Point::new(20.0, 50.5), Point::new(f64::NAN, 0.0), Point::new(180.0, 50.5)], [255, 0, 0]);
        let picture = overlay.picture();
        assert_eq!(picture.get_pixel(100, 50).0, [255, 0, 0]);
        assert_eq!(picture.get_pixel(100, 20).0, [90, 100, 110]);
        overlay.line(&[], [0, 0, 0]);
        overlay.cross(Point::new(1e9, 5.0), [0, 255, 0]);
        assert_eq!(overlay.picture(), picture);
    }
}

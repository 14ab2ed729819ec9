//! Draws the demo's 'photographs' of worn marks: invented marks on invented ware, no camera involved.
//!
//! `cargo run --example draw_marks -- keys/marrowby/pictures demo`
//!
//! Letters are strokes of our own (`render_marks/letters.rs`), put down as ink on a glazed foot with light, speckle, rubbing and scratches. No clock and no chance: two runs
//! write the same pixels.

#[path = "render_marks/letters.rs"]
mod letters;

use image::codecs::jpeg::JpegEncoder;
use image::{ImageEncoder as _, Rgb, RgbImage};
use letters::{advance, curve, distance, hash, letter_strokes, noise, smooth};
use std::error::Error;
use std::path::Path;

const SIZE: u32 = 760;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [pictures, demo] = args.as_slice() else { return Err("write two folders: for the key's pictures and for the demo's".into()) };
    let (pictures, demo) = (Path::new(pictures), Path::new(demo));
    write(&fenlight_script().photograph(), &pictures.join("mark-fenlight-script.jpg"))?;
    write(&fenlight_round().photograph(), &pictures.join("mark-fenlight-round.jpg"))?;
    write(&quoin_square().photograph(), &pictures.join("mark-quoin-square.jpg"))?;
    write(&stannard_words().photograph(), &pictures.join("mark-stannard-words.jpg"))?;
    let in_hand = Mark { turn: 0.19, seed: 58, rubbed: vec![(-0.34, 0.16, 0.2), (0.22, -0.2, 0.1)], ..quoin_square() };
    write(&in_hand.photograph(), &demo.join("mark-in-hand.jpg"))?;
    Ok(())
}

fn write(picture: &RgbImage, path: &Path) -> Result<(), Box<dyn Error>> {
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 82).write_image(
        picture,
        picture.width(),
        picture.height(),
        image::ExtendedColorType::Rgb8,
    )?;
    std::fs::write(path, bytes)?;
    Ok(())
}

/// A mark on a foot. Coordinates run from -0.5 to 0.5, y upward, as wide as the picture.
struct Mark {
    strokes: Vec<Vec<(f64, f64)>>,
    /// Half the pen's width.
    pen: f64,
    ink: [f64; 3],
    glaze: [f64; 3],
    ring: [f64; 3],
    /// Places rubbed away: x, y, radius.
    rubbed: Vec<(f64, f64, f64)>,
    turn: f64,
    seed: u32,
}

fn fenlight_script() -> Mark {
    let mut strokes = line_of("Fenlight", 0.0, 0.03, 0.15, 0.28);
    strokes.extend(line_of("by Marrowby", 0.02, -0.15, 0.075, 0.28));
    strokes.push(curve(&[(-0.3, -0.045), (-0.1, -0.06), (0.12, -0.045), (0.33, -0.065)]));
    Mark {
        strokes,
        pen: 0.0062,
        ink: [0.36, 0.23, 0.13],
        glaze: [0.90, 0.84, 0.70],
        ring: [0.82, 0.72, 0.55],
        rubbed: vec![(0.2, -0.1, 0.07)],
        turn: -0.05,
        seed: 34,
    }
}

fn fenlight_round() -> Mark {
    let mut strokes = arc_of("MARROWBY POTTERY", 0.27, true, 0.062);
    strokes.extend(line_of("FENLIGHT", 0.0, -0.03, 0.058, 0.0));
    strokes.extend(arc_of("MADE IN ENGLAND", 0.27, false, 0.055));
    strokes.push(circle(0.225));
    strokes.push(circle(0.365));
    Mark {
        strokes,
        pen: 0.0052,
        ink: [0.20, 0.40, 0.27],
        glaze: [0.91, 0.86, 0.73],
        ring: [0.84, 0.75, 0.60],
        rubbed: vec![(0.16, -0.29, 0.14), (0.0, -0.33, 0.09)],
        turn: 0.09,
        seed: 46,
    }
}

fn quoin_square() -> Mark {
    let mut strokes = line_of("MARROWBY", 0.0, 0.15, 0.07, 0.0);
    strokes.extend(line_of("QUOIN", 0.0, 0.005, 0.105, 0.0));
    strokes.extend(line_of("OVEN PROOF", 0.0, -0.1, 0.055, 0.0));
    strokes.extend(line_of("STONEWARE", 0.0, -0.19, 0.055, 0.0));
    strokes.extend(line_of("D", 0.235, -0.265, 0.035, 0.0));
    let (far, cut) = (0.29, 0.07);
    strokes.push(vec![
        (-far + cut, far),
        (far - cut, far),
        (far, far - cut),
        (far, -far + cut),
        (far - cut, -far),
        (-far + cut, -far),
        (-far, -far + cut),
        (-far, far - cut),
        (-far + cut, far),
    ]);
    Mark {
        strokes,
        pen: 0.0058,
        ink: [0.22, 0.38, 0.28],
        glaze: [0.80, 0.79, 0.75],
        ring: [0.56, 0.53, 0.49],
        rubbed: vec![(-0.24, 0.2, 0.1), (0.1, -0.09, 0.05)],
        turn: -0.12,
        seed: 51,
    }
}

fn stannard_words() -> Mark {
    let mut strokes = line_of("STANNARD", 0.0, 0.05, 0.085, 0.0);
    strokes.extend(line_of("by Marrowby", 0.0, -0.055, 0.06, 0.0));
    strokes.extend(line_of("oven to table", 0.0, -0.15, 0.06, 0.0));
    Mark {
        strokes,
        pen: 0.0055,
        ink: [0.14, 0.13, 0.13],
        glaze: [0.80, 0.68, 0.58],
        ring: [0.76, 0.58, 0.50],
        rubbed: vec![],
        turn: 0.03,
        seed: 62,
    }
}

impl Mark {
    /// The picture: a foot ring out of the frame's corners, light from the upper left, ink that sank in unevenly, and wear.
    fn photograph(&self) -> RgbImage {
        let mut ink = vec![0.0_f64; (SIZE * SIZE) as usize];
        for stroke in &self.strokes {
            self.lay(stroke, &mut ink);
        }
        let scratches: Vec<(f64, f64, f64, f64)> = (0..14)
            .map(|i| {
                let at = |k: u32| hash(self.seed + 97, i * 7 + k, 3) - 0.5;
                (at(0), at(1), at(0) + at(2) * 0.5, at(1) + at(3) * 0.18)
            })
            .collect();
        RgbImage::from_fn(SIZE, SIZE, |px, py| {
            let (x, y) = ((f64::from(px) + 0.5) / f64::from(SIZE) - 0.5, 0.5 - (f64::from(py) + 0.5) / f64::from(SIZE));
            let far = x.hypot(y);
            let cloud = noise(self.seed, x * 6.0, y * 6.0);
            let grain = noise(self.seed + 5, x * 190.0, y * 190.0) - 0.5;
            // How much ink is left: sunk in unevenly, rubbed, scratched.
            let mut wear = 0.72 + 0.28 * noise(self.seed + 1, x * 34.0, y * 34.0);
            for &(rx, ry, radius) in &self.rubbed {
                let ragged = 0.35 * (noise(self.seed + 2, x * 22.0, y * 22.0) - 0.5);
                wear *= smooth(0.55, 1.15, (x - rx).hypot(y - ry) / radius + ragged);
            }
            let speck = noise(self.seed + 3, x * 90.0, y * 90.0);
            wear *= smooth(0.1, 0.24, speck);
            for &(x0, y0, x1, y1) in &scratches {
                if distance((x, y), (x0, y0), (x1, y1)) < 0.0016 {
                    wear *= 0.35;
                }
            }
            let covered = ink.get((py * SIZE + px) as usize).copied().unwrap_or(0.0) * wear * 0.88;
            // The foot: glazed floor, a shadow where it meets the ring, the ring, the table.
            let floor = smooth(0.492, 0.47, far + 0.004 * cloud);
            let on_ring = smooth(0.485, 0.5, far) * smooth(0.575, 0.56, far);
            let shadow = 1.0 - 0.35 * smooth(0.39, 0.485, far) * floor;
            let light = 0.94 + 0.10 * (y - x) + 0.05 * (cloud - 0.5) + 0.05 * grain;
            let gleam = 0.22 * smooth(0.13, 0.0, (x + 0.26).hypot((y - 0.3) * 1.7)) * floor;
            let dark_speck = 1.0 - 0.2 * smooth(0.86, 1.0, noise(self.seed + 9, x * 75.0, y * 75.0));
            let channel = |i: usize| {
                let of = |colour: &[f64; 3]| colour.get(i).copied().unwrap_or(0.5);
                let table = 0.24 + 0.03 * grain;
                let base =
                    of(&self.glaze) * floor * shadow * dark_speck + of(&self.ring) * on_ring + table * (1.0 - floor - on_ring).max(0.0);
                let inked = base * (1.0 - covered) + of(&self.ink) * covered;
                let lit = (inked * light + gleam).clamp(0.0, 1.0);
                (lit * 255.0).round() as u8
            };
            Rgb([channel(0), channel(1), channel(2)])
        })
    }

    /// Puts one stroke down, turned as the whole mark is.
    fn lay(&self, stroke: &[(f64, f64)], ink: &mut [f64]) {
        let (sin, cos) = self.turn.sin_cos();
        let turned: Vec<(f64, f64)> = stroke.iter().map(|&(x, y)| (x * cos - y * sin, x * sin + y * cos)).collect();
        let soft = 1.3 / f64::from(SIZE);
        let reach = self.pen * 1.4 + soft;
        for pair in turned.windows(2) {
            let [from, to] = *pair else { continue };
            let pixel = |v: f64| ((v + 0.5) * f64::from(SIZE)).clamp(0.0, f64::from(SIZE - 1)) as u32;
            for py in pixel(-(from.1.max(to.1) + reach))..=pixel(-(from.1.min(to.1) - reach)) {
                for px in pixel(from.0.min(to.0) - reach)..=pixel(from.0.max(to.0) + reach) {
                    let at = ((f64::from(px) + 0.5) / f64::from(SIZE) - 0.5, 0.5 - (f64::from(py) + 0.5) / f64::from(SIZE));
                    let swell = self.pen * (0.75 + 0.5 * noise(self.seed + 4, at.0 * 26.0, at.1 * 26.0));
                    let covered = smooth(swell + soft, swell - soft, distance(at, from, to));
                    if let Some(there) = ink.get_mut((py * SIZE + px) as usize) {
                        *there = there.max(covered);
                    }
                }
            }
        }
    }
}

/// A line of letters about x, standing on y.
fn line_of(text: &str, x: f64, y: f64, height: f64, slant: f64) -> Vec<Vec<(f64, f64)>> {
    let scale = height / 6.0;
    let width: f64 = text.chars().map(advance).sum::<f64>() * scale;
    let mut at = x - width / 2.0;
    let mut strokes = Vec::new();
    for letter in text.chars() {
        for stroke in letter_strokes(letter) {
            strokes.push(stroke.iter().map(|&(lx, ly)| (at + (lx + ly * slant) * scale, y + ly * scale)).collect());
        }
        at += advance(letter) * scale;
    }
    strokes
}

/// Letters around the middle: over the top, or along the bottom with their feet outward.
fn arc_of(text: &str, radius: f64, above: bool, height: f64) -> Vec<Vec<(f64, f64)>> {
    let scale = height / 6.0;
    let width: f64 = text.chars().map(advance).sum::<f64>() * scale * 1.08;
    let base = if above { radius } else { radius + height };
    let mut run = -width / 2.0;
    let mut strokes = Vec::new();
    for letter in text.chars() {
        for stroke in letter_strokes(letter) {
            strokes.push(
                stroke
                    .iter()
                    .map(|&(lx, ly)| {
                        let along = (run + lx * scale) / (radius + height / 2.0);
                        if above {
                            let r = base + ly * scale;
                            (r * along.sin(), r * along.cos())
                        } else {
                            let r = base - ly * scale;
                            (r * along.sin(), -r * along.cos())
                        }
                    })
                    .collect(),
            );
        }
        run += advance(letter) * scale * 1.08;
    }
    strokes
}
fn circle(radius: f64) -> Vec<(f64, f64)> {
    (0..=96).map(|i| f64::from(i) / 96.0 * std::f64::consts::TAU).map(|a| (radius * a.cos(), radius * a.sin())).collect()
}

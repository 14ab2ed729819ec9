//! Photographs made worse, in the ways in which people's photographs are worse than rendered ones.

use footring::colour::{linear_from_srgb, srgb_from_linear};
use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageBuffer, Rgb, RgbImage};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

/// What is done to a copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Worse {
    /// A sensor in poor light: noise of 8 of 255 steps, one standard deviation.
    Noise,
    /// Out of focus: its light blurred by 1.5 pixels, one standard deviation.
    Blur,
    /// Smoothed by a program, as much, in the numbers of the file: there an edge moves towards what is bright.
    Smoothed,
    /// A JPEG of quality 40.
    Jpeg,
    /// One half has 45 % of the light of the other; the shadow's edge is 30 pixels wide.
    Shadow,
    /// A finger lies across one edge of the card.
    Covered,
}

impl Worse {
    /// All of them.
    pub(crate) const ALL: [Self; 6] = [Self::Noise, Self::Blur, Self::Smoothed, Self::Jpeg, Self::Shadow, Self::Covered];

    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::Noise => "noise",
            Self::Blur => "blur",
            Self::Smoothed => "smoothed",
            Self::Jpeg => "jpeg",
            Self::Shadow => "shadow",
            Self::Covered => "covered",
        }
    }

    /// The bytes of a worse copy of a JPEG, with what the camera wrote into it; `card_px` are the corners of the card, round it.
    pub(crate) fn copy(self, jpeg: &[u8], card_px: [(f64, f64); 4], seed: u64) -> Result<Vec<u8>, image::ImageError> {
        let mut dice = ChaCha8Rng::seed_from_u64(seed);
        let mut picture = image::load_from_memory(jpeg)?;
        if self == Self::Smoothed {
            picture = picture.fast_blur(1.5);
        }
        let mut picture = picture.into_rgb8();
        match self {
            Self::Noise => noise(&mut picture, &mut dice),
            Self::Shadow => shadow(&mut picture, &mut dice),
            Self::Covered => finger(&mut picture, card_px, &mut dice),
            Self::Blur => out_of_focus(&mut picture),
            Self::Smoothed | Self::Jpeg => {}
        }
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, if self == Self::Jpeg { 40 } else { 92 })
            .encode_image(&DynamicImage::ImageRgb8(picture))?;
        // The focal length stands in the block of EXIF, right behind the first two bytes.
        if let Some(block) = exif(jpeg) {
            bytes.splice(2..2, block.iter().copied());
        }
        Ok(bytes)
    }
}

/// The segment of a JPEG that holds EXIF, with its head.
fn exif(jpeg: &[u8]) -> Option<&[u8]> {
    let mut at = 2;
    while let [0xFF, kind, high, low] = *jpeg.get(at..at + 4)? {
        let length = 2 + usize::from(u16::from_be_bytes([high, low]));
        let segment = jpeg.get(at..at + length)?;
        if kind == 0xE1 && segment.get(4..8) == Some(b"Exif") {
            return Some(segment);
        }
        if kind == 0xDA {
            return None;
        }
        at += length;
    }
    None
}

/// A lens blurs light, before the camera makes its numbers of it.
fn out_of_focus(picture: &mut RgbImage) {
    let light = ImageBuffer::<Rgb<f32>, _>::from_fn(picture.width(), picture.height(), |x, y| {
        Rgb(picture.get_pixel(x, y).0.map(|c| linear_from_srgb(f64::from(c) / 255.0) as f32))
    });
    let light = image::imageops::fast_blur(&light, 1.5);
    for (to, from) in picture.pixels_mut().zip(light.pixels()) {
        to.0 = from.0.map(|l| (255.0 * srgb_from_linear(f64::from(l))).round().clamp(0.0, 255.0) as u8);
    }
}

fn noise(picture: &mut RgbImage, dice: &mut ChaCha8Rng) {
    for c in picture.iter_mut() {
        // A sum of four is near enough to a normal one; of each the variance is a twelfth.
        let sum: f64 = (0..4).map(|_| dice.random::<f64>() - 0.5).sum::<f64>() * 3.0_f64.sqrt();
        *c = (f64::from(*c) + 8.0 * sum).round().clamp(0.0, 255.0) as u8;
    }
}

fn shadow(picture: &mut RgbImage, dice: &mut ChaCha8Rng) {
    let (w, h) = (f64::from(picture.width()), f64::from(picture.height()));
    let (sin, cos) = (dice.random::<f64>() * std::f64::consts::TAU).sin_cos();
    let aside = (dice.random::<f64>() - 0.5) * 0.3 * w.min(h);
    for (x, y, p) in picture.enumerate_pixels_mut() {
        let past = (f64::from(x) - w / 2.0) * cos + (f64::from(y) - h / 2.0) * sin - aside;
        let lit = 0.45 + 0.55 / (1.0 + (-past / 7.0).exp());
        // Less light is a smaller number to the power of 1 : 2.2.
        let by = lit.powf(1.0 / 2.2);
        p.0 = p.0.map(|c| (f64::from(c) * by).round() as u8);
    }
}

/// A finger as wide as 16 mm from outside the picture's middle across an edge of the card, 14 mm far onto it.
fn finger(picture: &mut RgbImage, card_px: [(f64, f64); 4], dice: &mut ChaCha8Rng) {
    let side = dice.random_range(0..4_usize);
    let along = 0.25 + 0.5 * dice.random::<f64>();
    let corner = |i: usize| card_px.get(i % 4).copied().unwrap_or_default();
    let (a, b) = (corner(side), corner(side + 1));
    let middle = card_px.iter().fold((0.0, 0.0), |m, p| (m.0 + p.0 / 4.0, m.1 + p.1 / 4.0));
    let mm = (0..4).map(|i| (corner(i).0 - corner(i + 1).0).hypot(corner(i).1 - corner(i + 1).1)).sum::<f64>() / (2.0 * (85.6 + 53.98));
    let on = (a.0 + along * (b.0 - a.0), a.1 + along * (b.1 - a.1));
    let length = (middle.0 - on.0).hypot(middle.1 - on.1).max(1e-9);
    let inward = ((middle.0 - on.0) / length, (middle.1 - on.1) / length);
    let (tip, end) = ((on.0 + inward.0 * 6.0 * mm, on.1 + inward.1 * 6.0 * mm), (on.0 - inward.0 * 60.0 * mm, on.1 - inward.1 * 60.0 * mm));
    let whole = ((end.0 - tip.0).powi(2) + (end.1 - tip.1).powi(2)).max(1e-9);
    for (x, y, p) in picture.enumerate_pixels_mut() {
        let (x, y) = (f64::from(x) + 0.5, f64::from(y) + 0.5);
        let t = (((x - tip.0) * (end.0 - tip.0) + (y - tip.1) * (end.1 - tip.1)) / whole).clamp(0.0, 1.0);
        let off = (x - tip.0 - t * (end.0 - tip.0)).hypot(y - tip.1 - t * (end.1 - tip.1));
        let covers = (8.0 * mm - off + 0.5).clamp(0.0, 1.0);
        let round = 0.7 + 0.3 * (1.0 - (off / (8.0 * mm)).powi(2)).max(0.0).sqrt();
        for (c, skin) in p.0.iter_mut().zip([205.0, 158.0, 132.0]) {
            *c = (f64::from(*c) * (1.0 - covers) + skin * round * covers).round() as u8;
        }
    }
}

//! Pictures small enough for a screen, and pictures as edited.

use super::edit::Edit;
use image::imageops::{self, FilterType};
use image::{DynamicImage, RgbImage};

/// The picture as edited, in full size.
pub fn apply(upright: &RgbImage, edit: Edit) -> RgbImage {
    let crop = edit.crop_within(upright.width(), upright.height());
    turn(imageops::crop_imm(upright, crop.left, crop.top, crop.width, crop.height).to_image(), edit.turns())
}

/// The picture as edited, with neither side longer than `longest_side` pixels (taken as at least 1). It is never made larger.
///
/// Pixels are averaged, so that fine ribs and print do not turn into moiré. The average is of stored sRGB values.
pub fn preview(upright: &RgbImage, edit: Edit, longest_side: u32) -> RgbImage {
    let crop = edit.crop_within(upright.width(), upright.height());
    let view = imageops::crop_imm(upright, crop.left, crop.top, crop.width, crop.height);
    let (width, height) = fitted(crop.width, crop.height, longest_side);
    if (width, height) == (crop.width, crop.height) {
        return turn(view.to_image(), edit.turns());
    }
    // A plain average first where there is much to throw away: it is many times faster than a filter over every pixel.
    let small = if crop.width / width.max(1) >= 4 && crop.height / height.max(1) >= 4 {
        let rough = imageops::thumbnail(&*view, width.saturating_mul(2), height.saturating_mul(2));
        imageops::resize(&rough, width, height, FilterType::CatmullRom)
    } else {
        imageops::resize(&*view, width, height, FilterType::CatmullRom)
    };
    turn(small, edit.turns())
}

fn turn(picture: RgbImage, quarter_turns: u8) -> RgbImage {
    match quarter_turns % 4 {
        0 => picture,
        1 => imageops::rotate90(&picture),
        2 => DynamicImage::ImageRgb8(picture).rotate180().into_rgb8(),
        _ => imageops::rotate270(&picture),
    }
}

/// Width and height scaled down to fit, each at least 1.
fn fitted(width: u32, height: u32, longest_side: u32) -> (u32, u32) {
    let longest = width.max(height);
    let most = longest_side.max(1);
    if longest <= most {
        return (width, height);
    }
    let scale = |side: u32| {
        let scaled = (u64::from(side) * u64::from(most) + u64::from(longest) / 2) / u64::from(longest);
        u32::try_from(scaled).unwrap_or(most).clamp(1, most)
    };
    (scale(width), scale(height))
}

#[cfg(test)]
mod tests {
    use super::super::edit::Crop;
    use super::*;
    use image::Rgb;
    use proptest::prelude::*;

    /// Each pixel carries its own place.
    fn numbered(width: u32, height: u32) -> RgbImage {
        RgbImage::from_fn(width, height, |x, y| Rgb([x as u8, y as u8, 7]))
    }

    #[test]
    fn a_quarter_turn_is_clockwise() {
        let turned = apply(&numbered(3, 2), Edit { quarter_turns: 1, crop: None });
        assert_eq!(turned.dimensions(), (2, 3));
        // The top left pixel went to the top right, the bottom left to the top left.
        assert_eq!(turned.get_pixel(1, 0).0, [0, 0, 7]);
        assert_eq!(turned.get_pixel(0, 0).0, [0, 1, 7]);
    }

    #[test]
    fn the_crop_comes_before_the_turn() {
        let edit = Edit { quarter_turns: 2, crop: Some(Crop { left: 2, top: 1, width: 3, height: 2 }) };
        let shown = apply(&numbered(10, 8), edit);
        assert_eq!(shown.dimensions(), (3, 2));
        assert_eq!(shown.get_pixel(0, 0).0, [4, 2, 7]);
        assert_eq!(shown.get_pixel(2, 1).0, [2, 1, 7]);
    }

    #[test]
    fn fine_stripes_become_grey_and_not_moire() {
        let stripes = RgbImage::from_fn(1200, 900, |x, _| if x % 2 == 0 { Rgb([255; 3]) } else { Rgb([0; 3]) });
        let small = preview(&stripes, Edit::default(), 100);
        assert_eq!(small.dimensions(), (100, 75));
        assert!(small.pixels().all(|p| p.0.iter().all(|&c| (118..=138).contains(&c))), "not grey: {:?}", small.get_pixel(50, 40));
    }

    #[test]
    fn a_small_picture_is_not_made_larger() {
        assert_eq!(preview(&numbered(5, 4), Edit::default(), 100), numbered(5, 4));
    }

    proptest! {
        #[test]
        fn it_always_fits_and_never_vanishes(w in 1u32..200, h in 1u32..60, side in 0u32..50, turns in 0u8..4, left in 0u32..250, width in 0u32..250) {
            let edit = Edit { quarter_turns: turns, crop: Some(Crop { left, top: 3, width, height: 40 }) };
            let small = preview(&numbered(w, h), edit, side);
            prop_assert!(small.width() >= 1 && small.height() >= 1);
            prop_assert!(small.width().max(small.height()) <= side.max(1));
            let whole = apply(&numbered(w, h), edit);
            prop_assert_eq!(whole.dimensions(), edit.shown_size(w, h));
        }
    }
}

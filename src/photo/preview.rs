//! Pictures small enough for a screen, and pictures as edited.

use super::edit::Edit;
use image::imageops::FilterType;
use image::{DynamicImage, RgbImage};

// Everything goes through `DynamicImage`: its methods are compiled once, with the image library, which is optimised in every build. Those
// for any kind of picture would be compiled here, and take seconds for one photograph in a build that is not.

/// The picture as edited, in full size.
pub fn apply(upright: &RgbImage, edit: Edit) -> RgbImage {
    turn(cropped(upright, edit), edit.turns()).into_rgb8()
}

/// The picture as edited, with neither side longer than `longest_side` pixels (taken as at least 1). It is never made larger.
///
/// Pixels are averaged, so that fine ribs and print do not turn into moiré. The average is of stored sRGB values.
pub fn preview(upright: &RgbImage, edit: Edit, longest_side: u32) -> RgbImage {
    let mut picture = cropped(upright, edit);
    let (whole_width, whole_height) = (picture.width(), picture.height());
    let (width, height) = fitted(whole_width, whole_height, longest_side);
    if (width, height) != (whole_width, whole_height) {
        // A plain average first where there is much to throw away: it is many times faster than a filter over every pixel.
        if whole_width / width >= 4 && whole_height / height >= 4 {
            picture = picture.thumbnail_exact(width.saturating_mul(2), height.saturating_mul(2));
        }
        picture = picture.resize_exact(width, height, FilterType::Triangle);
    }
    turn(picture, edit.turns()).into_rgb8()
}

fn cropped(upright: &RgbImage, edit: Edit) -> DynamicImage {
    let crop = edit.crop_within(upright.width(), upright.height());
    let whole = DynamicImage::ImageRgb8(upright.clone());
    if (crop.width, crop.height) == upright.dimensions() { whole } else { whole.crop_imm(crop.left, crop.top, crop.width, crop.height) }
}

fn turn(picture: DynamicImage, quarter_turns: u8) -> DynamicImage {
    match quarter_turns % 4 {
        0 => picture,
        1 => picture.rotate90(),
        2 => picture.rotate180(),
        _ => picture.rotate270(),
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

//! Turning and cropping, kept beside the photograph and never put into it.

use serde::{Deserialize, Serialize};

/// What a person did to a photograph. First the crop, then the turn.
///
/// The crop is in pixels of the upright, unturned photograph, so that turning does not touch it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Edit {
    /// Quarter turns clockwise, taken modulo 4.
    #[serde(default)]
    pub quarter_turns: u8,
    /// The part that is shown; all of it where there is none.
    #[serde(default)]
    pub crop: Option<Crop>,
}

/// A rectangle in pixels, from the top left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(missing_docs, reason = "each is the plain word, in pixels")]
pub struct Crop {
    pub left: u32,
    pub top: u32,
    pub width: u32,
    pub height: u32,
}

impl Edit {
    /// True where it changes nothing of a photograph of that size.
    pub fn is_nothing(&self, width: u32, height: u32) -> bool {
        self.turns() == 0 && self.crop_within(width, height) == Crop::all(width, height)
    }

    /// The same edit, turned on by that many quarter turns clockwise (negative: the other way).
    #[must_use]
    pub fn turned(self, quarter_turns: i32) -> Self {
        let turns = (i32::from(self.turns()) + quarter_turns).rem_euclid(4);
        Self { quarter_turns: turns as u8, ..self }
    }

    /// Quarter turns clockwise, 0 to 3.
    pub const fn turns(&self) -> u8 {
        self.quarter_turns % 4
    }

    /// The crop as far as it lies inside a photograph of that size, at least one pixel; all of it where there is none.
    pub fn crop_within(&self, width: u32, height: u32) -> Crop {
        self.crop.map_or(Crop::all(width, height), |crop| crop.within(width, height))
    }

    /// Width and height of what is shown of a photograph of that size.
    pub fn shown_size(&self, width: u32, height: u32) -> (u32, u32) {
        let crop = self.crop_within(width, height);
        if self.turns().is_multiple_of(2) { (crop.width, crop.height) } else { (crop.height, crop.width) }
    }
}

impl Crop {
    /// All of a photograph of that size.
    pub const fn all(width: u32, height: u32) -> Self {
        Self { left: 0, top: 0, width, height }
    }

    /// The part of it inside a photograph of that size; at least one pixel, the nearest, where that is nothing.
    #[must_use]
    pub fn within(self, width: u32, height: u32) -> Self {
        let left = self.left.min(width.saturating_sub(1));
        let top = self.top.min(height.saturating_sub(1));
        let right = self.left.saturating_add(self.width).clamp(left.saturating_add(1), width.max(1));
        let bottom = self.top.saturating_add(self.height).clamp(top.saturating_add(1), height.max(1));
        Self { left, top, width: right - left, height: bottom - top }
    }

    /// Where this rectangle of a photograph of that size lies after quarter turns clockwise of the whole photograph.
    ///
    /// For the way back, turn by `4 - quarter_turns` and give the turned size.
    #[must_use]
    pub fn turned(self, quarter_turns: u8, width: u32, height: u32) -> Self {
        let right_gap = width.saturating_sub(self.left.saturating_add(self.width));
        let bottom_gap = height.saturating_sub(self.top.saturating_add(self.height));
        match quarter_turns % 4 {
            0 => self,
            1 => Self { left: bottom_gap, top: self.left, width: self.height, height: self.width },
            2 => Self { left: right_gap, top: bottom_gap, width: self.width, height: self.height },
            _ => Self { left: self.top, top: right_gap, width: self.height, height: self.width },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn turns_go_round() {
        assert_eq!(Edit::default().turned(-1).quarter_turns, 3);
        assert_eq!(Edit::default().turned(5).quarter_turns, 1);
        assert_eq!(Edit { quarter_turns: 255, crop: None }.turns(), 3);
    }

    #[test]
    fn a_crop_outside_is_brought_inside() {
        let rows = [
            (Crop { left: 0, top: 0, width: 0, height: 0 }, Crop { left: 0, top: 0, width: 1, height: 1 }),
            (Crop { left: 90, top: 10, width: 50, height: 20 }, Crop { left: 90, top: 10, width: 10, height: 20 }),
            (Crop { left: 500, top: 500, width: 1, height: 1 }, Crop { left: 99, top: 49, width: 1, height: 1 }),
            (Crop { left: u32::MAX, top: 0, width: u32::MAX, height: u32::MAX }, Crop { left: 99, top: 0, width: 1, height: 50 }),
        ];
        for (given, expected) in rows {
            assert_eq!(given.within(100, 50), expected, "{given:?}");
        }
    }

    #[test]
    fn a_quarter_turn_moves_the_top_left_corner_to_the_top_right() {
        let corner = Crop { left: 0, top: 0, width: 30, height: 10 };
        assert_eq!(corner.turned(1, 100, 50), Crop { left: 40, top: 0, width: 10, height: 30 });
        assert_eq!(corner.turned(2, 100, 50), Crop { left: 70, top: 40, width: 30, height: 10 });
        assert_eq!(corner.turned(3, 100, 50), Crop { left: 0, top: 70, width: 10, height: 30 });
    }

    proptest! {
        #[test]
        fn turning_there_and_back_is_nothing(left in 0u32..90, top in 0u32..40, w in 1u32..20, h in 1u32..20, turns in 0u8..4) {
            let crop = Crop { left, top, width: w, height: h }.within(100, 50);
            let (tw, th) = if turns % 2 == 0 { (100, 50) } else { (50, 100) };
            prop_assert_eq!(crop.turned(turns, 100, 50).turned(4 - turns, tw, th), crop);
        }
    }
}

//! ISCC–NBS names of colours.
//!
//! Kelly & Judd, *The ISCC–NBS Method of Designating Colors*, NBS Circular 553, 1955: 267 blocks of Munsell's space, level 3. Names keep the
//! spelling of the circular ('gray'), as a word list that others search by.

use super::notation::Munsell;
use std::sync::LazyLock;

/// An ISCC–NBS name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColourName {
    /// Its number, 1 to 267.
    pub number: u16,
    /// The name: 'moderate brown'.
    pub name: &'static str,
}

/// A part of the space that has one name: lower bounds within, upper not.
#[derive(Debug)]
struct Block {
    hue: [f64; 2],
    value: [f64; 2],
    chroma: [f64; 2],
    /// Index into the names.
    name: usize,
}

static TABLE: LazyLock<(Vec<ColourName>, Vec<Block>)> = LazyLock::new(|| read(include_str!("../../../assets/munsell/names.txt")));

fn read(text: &'static str) -> (Vec<ColourName>, Vec<Block>) {
    let (mut names, mut blocks) = (Vec::new(), Vec::new());
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        if let Some(figures) = line.strip_prefix("  ") {
            let figures: Vec<f64> = figures.split(' ').filter_map(|n| n.parse().ok()).collect();
            if let &[h0, h1, v0, v1, c0, c1] = figures.as_slice() {
                blocks.push(Block { hue: [h0, h1], value: [v0, v1], chroma: [c0, c1], name: names.len().saturating_sub(1) });
            }
        } else if let Some((number, name)) = line.split_once(' ') {
            names.push(ColourName { number: number.parse().unwrap_or_default(), name });
        }
    }
    (names, blocks)
}

impl Block {
    fn holds(&self, hue: f64, value: f64, chroma: f64) -> bool {
        let within = |[low, high]: [f64; 2], x: f64| low <= x && x < high;
        let [low, high] = self.hue;
        let hue = if low < high { within(self.hue, hue) } else { hue >= low || hue < high };
        hue && within(self.value, value) && within(self.chroma, chroma)
    }
}

impl Munsell {
    /// The ISCC–NBS name of the block that it is in. None where a coordinate is NaN.
    pub fn name(self) -> Option<&'static ColourName> {
        let (names, blocks) = &*TABLE;
        // The outermost blocks hold what lies beyond them too.
        let (hue, value, chroma) = (self.hue.rem_euclid(100.0), self.value.clamp(0.0, 9.999), self.chroma.clamp(0.0, 49.0));
        names.get(blocks.iter().find(|block| block.holds(hue, value, chroma))?.name)
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    /// Centres of blocks: NBS J. Res. 61, 1958, RP 2911 (Munsell, illuminant C); and the last two rows, look-ups in the circular's charts.
    const CENTRES: &str = "9 pinkish white 7.6R 9.2/1.0 · 10 pinkish gray 7.6R 7.5/1.0 · 11 vivid red 5R 4/15 · 16 dark red 4.5R 2.8/6.8 · \
        31 pale yellowish pink 2.1YR 8.8/2.2 · 33 brownish pink 6.5YR 7.2/2.2 · 34 vivid reddish orange 9.5R 5.5/15.5 · \
        43 moderate reddish brown 9.6R 3.4/5.2 · 50 strong orange 4.5YR 6.5/12.1 · 54 brownish orange 4.5YR 5.0/8.2 · \
        57 light brown 5.5YR 5.5/4.6 · 58 moderate brown 5.5YR 3.5/3.9 · 60 light grayish brown 6.5YR 5.5/2.2 · \
        63 light brownish gray 6.8YR 5.5/1.0 · 73 pale orange yellow 9.1YR 8.6/4.4 · 76 light yellowish brown 9.2YR 6.6/4.7 · \
        79 light grayish yellowish brown 9.5YR 6.4/2.4 · 87 moderate yellow 4.0Y 7.2/6.6 · 89 pale yellow 4.2Y 8.9/3.6 · \
        90 grayish yellow 4.2Y 7.2/3.6 · 92 yellowish white 4.1Y 9.2/1.3 · 93 yellowish gray 4.1Y 7.5/1.3 · 95 moderate olive brown 2.5Y 3.5/6 · \
        107 moderate olive 8.0Y 3.5/5.8 · 121 pale yellow green 3.5GY 8.7/2.2 · 145 moderate green 6.0G 4.5/5.1 · 149 pale green 9.0G 6.5/1.8 · \
        153 greenish white 7.0G 9.2/0.8 · 163 light bluish green 4.5BG 6.5/5.0 · 173 moderate greenish blue 4.5B 4.5/5.2 · \
        182 moderate blue 2.9PB 4.2/7.2 · 183 dark blue 2.8PB 1.7/5.0 · 189 bluish white 9.5B 9.1/1.0 · 258 moderate purplish red 7.0RP 4.5/9.0 · \
        263 white N 9.25/ · 264 light gray N 7.5/ · 265 medium gray N 5.5/ · 266 dark gray N 3.5/ · 267 black N 1.25/ · \
        4 light pink 3R 8/3 · 58 moderate brown 7.4YR 3/4";

    #[test]
    fn published_centres_have_their_names() {
        let rows: Vec<&str> = CENTRES.split(" · ").collect();
        assert_eq!(rows.len(), 41);
        for row in rows {
            let (number, rest) = row.split_once(' ').unwrap();
            let (rest, value) = rest.rsplit_once(' ').unwrap();
            let (name, hue) = rest.rsplit_once(' ').unwrap();
            let munsell: Munsell = format!("{hue} {value}").parse().unwrap();
            assert_eq!(munsell.name(), Some(&ColourName { number: number.parse().unwrap(), name }), "{row}");
        }
    }

    #[test]
    fn the_blocks_fill_the_space_once() {
        let (names, blocks) = &*TABLE;
        assert_eq!(names.iter().map(|n| n.number).collect::<Vec<_>>(), (1..=267).collect::<Vec<_>>());
        let edges = |of: fn(&Block) -> [f64; 2]| {
            let mut edges: Vec<f64> = blocks.iter().flat_map(of).collect();
            edges.sort_by(f64::total_cmp);
            edges.dedup();
            edges
        };
        let (hues, values, chromas) = (edges(|b| b.hue), edges(|b| b.value), edges(|b| b.chroma));
        for hue in hues.iter().map(|h| h + 0.25) {
            for value in values.iter().filter(|v| **v < 10.0).map(|v| v + 0.01) {
                for chroma in chromas.iter().filter(|c| **c < 50.0).map(|c| c + 0.01) {
                    let held = blocks.iter().filter(|b| b.holds(hue, value, chroma)).count();
                    assert_eq!(held, 1, "hue {hue}, value {value}, chroma {chroma}");
                }
            }
        }
    }

    #[test]
    fn what_is_beyond_the_blocks_has_a_name_all_the_same() {
        assert_eq!(Munsell { hue: 5.0, value: 10.0, chroma: 0.0 }.name().unwrap().name, "white");
        assert_eq!(Munsell { hue: 5.0, value: 4.0, chroma: 80.0 }.name().unwrap().name, "vivid red");
        assert_eq!(Munsell { hue: f64::NAN, value: 4.0, chroma: 8.0 }.name(), None);
    }
}

//! Letters as strokes of our own, and the small tools that lay strokes down.

/// A line through points.
pub(crate) type Stroke = Vec<(f64, f64)>;

/// How far the next letter stands from this one, on a body of 4 by 6.
pub(crate) fn advance(letter: char) -> f64 {
    match letter {
        ' ' | 'f' => 3.0,
        'i' | 'l' => 2.0,
        'I' | 't' => 2.6,
        'M' | 'W' | 'w' | 'm' => 6.2,
        c if c.is_lowercase() => 4.2,
        _ => 5.2,
    }
}

/// The strokes of a letter on a body of 4 by 6, from its foot.
pub(crate) fn letter_strokes(letter: char) -> Vec<Stroke> {
    let round = |points: &[(f64, f64)]| curve(points);
    match letter {
        'A' => vec![vec![(0.0, 0.0), (2.0, 6.0), (4.0, 0.0)], vec![(0.8, 2.2), (3.2, 2.2)]],
        'B' => vec![
            vec![(0.0, 0.0), (0.0, 6.0)],
            round(&[(0.0, 6.0), (2.6, 5.9), (3.2, 4.6), (2.6, 3.3), (0.0, 3.2)]),
            round(&[(0.0, 3.2), (3.0, 3.0), (3.8, 1.6), (3.0, 0.1), (0.0, 0.0)]),
        ],
        'D' => vec![vec![(0.0, 0.0), (0.0, 6.0)], round(&[(0.0, 6.0), (2.6, 5.7), (4.0, 3.0), (2.6, 0.3), (0.0, 0.0)])],
        'E' => vec![vec![(3.6, 0.0), (0.0, 0.0), (0.0, 6.0), (3.6, 6.0)], vec![(0.0, 3.1), (2.9, 3.1)]],
        'F' => vec![vec![(0.0, 0.0), (0.0, 6.0), (3.6, 6.0)], vec![(0.0, 3.1), (2.8, 3.1)]],
        'G' => {
            vec![round(&[(3.8, 4.9), (2.2, 6.0), (0.4, 4.6), (0.2, 1.8), (1.8, 0.0), (3.8, 0.9), (3.9, 2.6)]), vec![(2.2, 2.7), (3.9, 2.7)]]
        }
        'H' => vec![vec![(0.0, 0.0), (0.0, 6.0)], vec![(4.0, 0.0), (4.0, 6.0)], vec![(0.0, 3.1), (4.0, 3.1)]],
        'I' => vec![vec![(0.7, 0.0), (0.7, 6.0)]],
        'L' => vec![vec![(0.0, 6.0), (0.0, 0.0), (3.5, 0.0)]],
        'M' => vec![vec![(0.0, 0.0), (0.3, 6.0), (2.5, 1.4), (4.7, 6.0), (5.0, 0.0)]],
        'N' => vec![vec![(0.0, 0.0), (0.0, 6.0), (4.0, 0.0), (4.0, 6.0)]],
        'O' | 'Q' => {
            let mut strokes =
                vec![round(&[(2.0, 6.0), (0.4, 4.9), (0.0, 3.0), (0.4, 1.1), (2.0, 0.0), (3.6, 1.1), (4.0, 3.0), (3.6, 4.9), (2.0, 6.0)])];
            if letter == 'Q' {
                strokes.push(vec![(2.4, 1.6), (4.2, -0.7)]);
            }
            strokes
        }
        'P' | 'R' => {
            let mut strokes = vec![vec![(0.0, 0.0), (0.0, 6.0)], round(&[(0.0, 6.0), (2.8, 5.9), (3.7, 4.4), (2.8, 2.9), (0.0, 2.7)])];
            if letter == 'R' {
                strokes.push(vec![(1.8, 2.75), (4.0, 0.0)]);
            }
            strokes
        }
        'S' => vec![round(&[(3.6, 5.1), (2.0, 6.0), (0.4, 4.8), (1.2, 3.4), (3.0, 2.6), (3.7, 1.2), (2.0, 0.0), (0.2, 0.9)])],
        'T' => vec![vec![(0.0, 6.0), (4.2, 6.0)], vec![(2.1, 6.0), (2.1, 0.0)]],
        'U' => vec![round(&[(0.0, 6.0), (0.0, 2.0), (0.8, 0.3), (2.0, 0.0), (3.2, 0.3), (4.0, 2.0), (4.0, 6.0)])],
        'V' => vec![vec![(0.0, 6.0), (2.0, 0.0), (4.0, 6.0)]],
        'W' => vec![vec![(0.0, 6.0), (1.2, 0.0), (2.6, 4.6), (4.0, 0.0), (5.2, 6.0)]],
        'Y' => vec![vec![(0.0, 6.0), (2.0, 3.0), (4.0, 6.0)], vec![(2.0, 3.0), (2.0, 0.0)]],
        'a' => vec![
            round(&[(3.2, 3.2), (1.4, 4.0), (0.1, 2.0), (1.2, 0.1), (2.8, 1.0), (3.2, 3.2)]),
            round(&[(3.2, 3.9), (3.1, 1.0), (3.9, 0.2)]),
        ],
        'b' => vec![vec![(0.2, 6.2), (0.2, 0.1)], round(&[(0.2, 2.4), (1.6, 4.0), (3.3, 2.2), (2.2, 0.1), (0.2, 0.5)])],
        'e' => vec![round(&[(0.3, 2.0), (3.1, 2.4), (2.0, 4.0), (0.2, 2.2), (1.2, 0.1), (3.4, 0.8)])],
        'g' => vec![
            round(&[(3.1, 3.2), (1.4, 4.0), (0.1, 2.2), (1.2, 0.3), (2.8, 1.2), (3.1, 3.2)]),
            round(&[(3.2, 3.9), (3.1, -0.8), (1.6, -2.0), (0.3, -1.2)]),
        ],
        'h' => vec![vec![(0.2, 6.2), (0.2, 0.0)], round(&[(0.2, 2.2), (1.8, 3.9), (3.0, 2.8), (3.1, 0.6), (3.8, 0.1)])],
        'i' => vec![vec![(0.6, 3.9), (0.6, 0.6), (1.2, 0.1)], vec![(0.55, 5.3), (0.7, 5.5)]],
        'l' => vec![vec![(0.6, 6.2), (0.6, 0.7), (1.3, 0.1)]],
        'n' => vec![vec![(0.2, 3.9), (0.2, 0.0)], round(&[(0.2, 2.2), (1.8, 3.9), (3.0, 2.8), (3.1, 0.6), (3.8, 0.1)])],
        'o' => vec![round(&[(1.8, 4.0), (0.2, 2.0), (1.8, 0.0), (3.4, 2.0), (1.8, 4.0)])],
        'r' => vec![vec![(0.4, 3.9), (0.4, 0.0)], round(&[(0.4, 2.0), (1.6, 3.8), (3.0, 3.6)])],
        't' => vec![round(&[(0.9, 5.6), (0.9, 1.0), (1.5, 0.1), (2.3, 0.4)]), vec![(0.0, 3.9), (2.1, 3.9)]],
        'v' => vec![vec![(0.2, 3.9), (1.7, 0.0), (3.2, 3.9)]],
        'w' => vec![vec![(0.2, 3.9), (1.3, 0.0), (2.5, 3.4), (3.7, 0.0), (4.9, 3.9)]],
        'y' => vec![vec![(0.2, 3.9), (1.8, 0.2)], vec![(3.3, 3.9), (1.2, -1.6), (0.2, -2.0)]],
        'X' => vec![vec![(0.0, 0.0), (4.0, 6.0)], vec![(0.0, 6.0), (4.0, 0.0)]],
        'd' => vec![vec![(3.2, 6.2), (3.2, 0.1)], round(&[(3.2, 2.4), (1.8, 4.0), (0.1, 2.2), (1.2, 0.1), (3.2, 0.5)])],
        'f' => vec![round(&[(2.6, 5.8), (1.6, 6.2), (0.9, 5.2), (0.9, 0.0)]), vec![(0.0, 3.9), (2.2, 3.9)]],
        'm' => vec![
            vec![(0.2, 3.9), (0.2, 0.0)],
            round(&[(0.2, 2.2), (1.6, 3.9), (2.6, 2.8), (2.7, 0.0)]),
            round(&[(2.7, 2.2), (4.1, 3.9), (5.1, 2.8), (5.2, 0.0)]),
        ],
        'p' => vec![vec![(0.2, 3.9), (0.2, -2.0)], round(&[(0.2, 2.4), (1.6, 4.0), (3.3, 2.0), (2.0, 0.0), (0.2, 0.9)])],
        's' => vec![round(&[(2.9, 3.4), (1.5, 4.0), (0.4, 3.1), (1.5, 2.1), (2.8, 1.2), (1.5, 0.0), (0.1, 0.6)])],
        'u' => vec![round(&[(0.2, 3.9), (0.2, 1.2), (1.3, 0.0), (2.7, 0.8), (3.1, 2.0)]), vec![(3.1, 3.9), (3.1, 0.0)]],
        _ => Vec::new(),
    }
}

/// A smooth line through points (Catmull & Rom).
pub(crate) fn curve(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let at = |i: usize| points.get(i.min(points.len().saturating_sub(1))).copied().unwrap_or_default();
    let mut line = vec![at(0)];
    for i in 0..points.len().saturating_sub(1) {
        let (a, b, c, d) = (at(i.saturating_sub(1)), at(i), at(i + 1), at(i + 2));
        for step in 1..=8 {
            let t = f64::from(step) / 8.0;
            let blend = |a: f64, b: f64, c: f64, d: f64| {
                0.5 * (2.0 * b + (c - a) * t + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t + (3.0 * b - a - 3.0 * c + d) * t * t * t)
            };
            line.push((blend(a.0, b.0, c.0, d.0), blend(a.1, b.1, c.1, d.1)));
        }
    }
    line
}

pub(crate) fn distance(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length2 = dx * dx + dy * dy;
    let t = if length2 < 1e-12 { 0.0 } else { (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / length2).clamp(0.0, 1.0) };
    (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
}

/// 0 before `from`, 1 past `to`, smooth between; `from` may be the larger.
pub(crate) fn smooth(from: f64, to: f64, x: f64) -> f64 {
    let t = ((x - from) / (to - from)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// A number from 0 to 1 that is always the same for the same three.
pub(crate) fn hash(seed: u32, x: u32, y: u32) -> f64 {
    let mut h = seed.wrapping_mul(0x9E37_79B1) ^ x.wrapping_mul(0x85EB_CA77) ^ y.wrapping_mul(0xC2B2_AE3D);
    h = (h ^ (h >> 15)).wrapping_mul(0x2C1B_3C6D);
    h = (h ^ (h >> 12)).wrapping_mul(0x297A_2D39);
    f64::from(h ^ (h >> 15)) / f64::from(u32::MAX)
}

/// Smooth noise from 0 to 1.
pub(crate) fn noise(seed: u32, x: f64, y: f64) -> f64 {
    let (x, y) = (x + 1000.0, y + 1000.0);
    let (ix, iy) = (x.floor() as u32, y.floor() as u32);
    let (tx, ty) = (smooth(0.0, 1.0, x.fract()), smooth(0.0, 1.0, y.fract()));
    let mix = |a: f64, b: f64, t: f64| a + (b - a) * t;
    mix(mix(hash(seed, ix, iy), hash(seed, ix + 1, iy), tx), mix(hash(seed, ix, iy + 1), hash(seed, ix + 1, iy + 1), tx), ty)
}

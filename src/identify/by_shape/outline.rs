//! What is seen of a piece from the side: its greatest radius at each height, piece by piece linear.

/// The greatest radius at each height from the table up, in level slabs; between its lower and its upper edge, a slab is a trapezium.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Outline {
    /// From the lowest up; heights of neighbours may leave a gap, in which the radius is 0.
    slabs: Vec<Slab>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Slab {
    low: f64,
    high: f64,
    /// Radius at `low` and at `high`.
    from: f64,
    to: f64,
}

impl Slab {
    fn at(&self, h: f64) -> f64 {
        let t = ((h - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.from + (self.to - self.from) * t
    }
}

/// Slabs thinner than this are lost in rounding, and no millimetre rule sees them.
const THINNEST: f64 = 1e-9;

impl Outline {
    /// Around one or more lines of (radius, height): at each height the one that stands out most.
    pub(super) fn of(lines: &[&[(f64, f64)]]) -> Self {
        let mut rising: Vec<Slab> = Vec::new();
        for line in lines {
            for pair in line.windows(2) {
                let [(r0, h0), (r1, h1)] = *pair else { continue };
                match h1 - h0 {
                    d if d > THINNEST => rising.push(Slab { low: h0, high: h1, from: r0, to: r1 }),
                    d if d < -THINNEST => rising.push(Slab { low: h1, high: h0, from: r1, to: r0 }),
                    _ => {}
                }
            }
        }
        // A line that rises all the way is its own outline.
        if rising.windows(2).all(|w| matches!(w, [a, b] if b.low >= a.high - THINNEST)) {
            return Self { slabs: rising };
        }
        let mut heights: Vec<f64> = rising.iter().flat_map(|s| [s.low, s.high]).collect();
        for (i, a) in rising.iter().enumerate() {
            for b in rising.iter().skip(i + 1) {
                heights.extend(meeting_height(a, b));
            }
        }
        heights.sort_by(f64::total_cmp);
        heights.dedup_by(|a, b| *a - *b < THINNEST);
        let mut slabs = Vec::with_capacity(heights.len());
        for pair in heights.windows(2) {
            let [low, high] = *pair else { continue };
            let middle = f64::midpoint(low, high);
            let widest = rising.iter().filter(|s| s.low <= middle && middle <= s.high).max_by(|a, b| a.at(middle).total_cmp(&b.at(middle)));
            if let Some(s) = widest {
                slabs.push(Slab { low, high, from: s.at(low), to: s.at(high) });
            }
        }
        Self { slabs }
    }

    pub(super) fn height(&self) -> f64 {
        self.slabs.last().map_or(0.0, |s| s.high)
    }

    pub(super) fn area(&self) -> f64 {
        self.slabs.iter().map(|s| 0.5 * (s.from + s.to) * (s.high - s.low)).sum()
    }

    /// The length of its line, from the table to the top, with the steps between slabs.
    pub(super) fn length(&self) -> f64 {
        let mut length = 0.0;
        let mut end: Option<(f64, f64)> = None;
        for s in &self.slabs {
            length += (s.to - s.from).hypot(s.high - s.low);
            length += end.map_or(0.0, |(r, h)| (s.from - r).hypot(s.low - h));
            end = Some((s.to, s.high));
        }
        length
    }

    /// The factor that makes its area 1. 1 where it has none.
    pub(super) fn to_unit_area(&self) -> f64 {
        let area = self.area();
        if area > 0.0 { 1.0 / area.sqrt() } else { 1.0 }
    }

    /// The area between this outline times `scale` and another times `other_scale`: ∫ |r₁(h) − r₂(h)| dh.
    pub(super) fn area_between(&self, scale: f64, other: &Self, other_scale: f64) -> f64 {
        let scaled = |s: &Slab, by: f64| Slab { low: s.low * by, high: s.high * by, from: s.from * by, to: s.to * by };
        let (mut these, mut those) = (self.slabs.iter().map(|s| scaled(s, scale)), other.slabs.iter().map(|s| scaled(s, other_scale)));
        let (mut this, mut that) = (these.next(), those.next());
        let (mut h, mut sum) = (0.0_f64, 0.0);
        loop {
            // The slab each has at h, or how far it is to its next.
            let (r, until) = standing(this.as_ref(), h);
            let (q, until_other) = standing(that.as_ref(), h);
            let end = until.min(until_other);
            if end.is_infinite() {
                return sum;
            }
            if end > h {
                let at = |s: Option<&Slab>, h: f64| s.map_or(0.0, |s| s.at(h));
                sum += between(at(r, h) - at(q, h), at(r, end) - at(q, end), end - h);
            }
            h = end.max(h);
            if this.as_ref().is_some_and(|s| s.high <= h) {
                this = these.next();
            }
            if that.as_ref().is_some_and(|s| s.high <= h) {
                that = those.next();
            }
        }
    }

    /// The area in each of the bands that begin at these heights (the last one has no end), times `scale`.
    pub(super) fn bands(&self, scale: f64, begins: &[f64], mut area: impl FnMut(usize, f64)) {
        let mut band = 0;
        let end_of = |band: usize| begins.get(band + 1).copied().unwrap_or(f64::INFINITY);
        let mut sum = 0.0;
        for s in &self.slabs {
            let s = Slab { low: s.low * scale, high: s.high * scale, from: s.from * scale, to: s.to * scale };
            let mut low = s.low;
            while low < s.high {
                while low >= end_of(band) {
                    area(band, sum);
                    (band, sum) = (band + 1, 0.0);
                }
                let high = s.high.min(end_of(band));
                sum += 0.5 * (s.at(low) + s.at(high)) * (high - low);
                low = high;
            }
        }
        area(band, sum);
    }
}

/// The slab there is at a height, and up to where that stays so.
fn standing(slab: Option<&Slab>, h: f64) -> (Option<&Slab>, f64) {
    match slab {
        None => (None, f64::INFINITY),
        Some(s) if s.low > h => (None, s.low),
        Some(s) => (Some(s), s.high),
    }
}

/// ∫ |d| over a stretch on which d goes straight from `a` to `b`.
fn between(a: f64, b: f64, length: f64) -> f64 {
    if a * b >= 0.0 {
        0.5 * (a + b).abs() * length
    } else {
        // Two triangles that meet where d is 0.
        0.5 * (a * a + b * b) / (a.abs() + b.abs()) * length
    }
}

/// The height at which two rising lines have the same radius, inside both.
fn meeting_height(a: &Slab, b: &Slab) -> Option<f64> {
    let (low, high) = (a.low.max(b.low), a.high.min(b.high));
    if high - low <= THINNEST {
        return None;
    }
    let (d0, d1) = (a.at(low) - b.at(low), a.at(high) - b.at(high));
    (d0 * d1 < 0.0).then(|| low + (high - low) * d0 / (d0 - d1))
}

/// Where a line crosses itself, if it does: the first crossing of two pieces that are not neighbours.
pub(super) fn crossing(line: &[(f64, f64)]) -> Option<(f64, f64)> {
    // A line that rises (or keeps level outward) all the way cannot.
    if line.windows(2).all(|w| matches!(w, [a, b] if b.1 > a.1)) {
        return None;
    }
    let pieces: Vec<[(f64, f64); 2]> = line.windows(2).filter_map(|w| <[(f64, f64); 2]>::try_from(w).ok()).collect();
    for (i, a) in pieces.iter().enumerate() {
        for b in pieces.iter().skip(i + 2) {
            if let Some(at) = cross(a, b) {
                return Some(at);
            }
        }
    }
    None
}

fn cross([a, b]: &[(f64, f64); 2], [c, d]: &[(f64, f64); 2]) -> Option<(f64, f64)> {
    let side = |p: &(f64, f64), q: &(f64, f64), x: &(f64, f64)| (q.0 - p.0) * (x.1 - p.1) - (q.1 - p.1) * (x.0 - p.0);
    let (c_side, d_side) = (side(a, b, c), side(a, b, d));
    let (a_side, b_side) = (side(c, d, a), side(c, d, b));
    if c_side * d_side >= 0.0 || a_side * b_side >= 0.0 {
        return None;
    }
    let t = a_side / (a_side - b_side);
    Some((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t))
}

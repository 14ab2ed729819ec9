//! The outline in which a camera sees a solid of revolution, with what of the solid makes each of its points.
//!
//! Every circle of the solid is seen as an ellipse, and the outline is that of all of them together. It is drawn over the plane that holds the axis and
//! faces the camera, where it is alike on both sides of the axis and reaches equally far along each row, so it is enough to know how far.

use super::solid::{Sight, edge_points};
use nalgebra::Vector3;

/// Points of the circle of foot and rim, all round.
const RING: usize = 192;
/// Rows into which the outline is sorted.
const ROWS: usize = 512;
/// A point is on the outline where so many mm outward of it nothing else is seen.
const CLEAR_MM: f64 = 0.2;

/// A point of the outline, on the right of the axis.
#[derive(Debug, Clone, Copy)]
pub(super) struct Contact {
    /// Where it is seen in the plane that faces the camera: right of the axis, and up it, in mm.
    chart: (f64, f64),
    /// The point of the solid, (e, h, n).
    pub(super) at: Vector3<f64>,
    /// Outward there and across the line of sight, of length 1.
    pub(super) normal: Vector3<f64>,
    /// The piece of the profile that it is on: from point `piece` on, so far along it, 0 to 1.
    pub(super) piece: usize,
    pub(super) along: f64,
    /// Which line of the solid it is on: [`SIDE`], [`FOOT`], [`RIM`].
    line: usize,
}

impl Contact {
    /// Whether it is on the wall, not on the circle of foot or rim.
    pub(super) fn is_on_side(&self) -> bool {
        self.line == SIDE
    }
}

/// The lines of a solid that are seen edge on.
const SIDE: usize = 0;
const FOOT: usize = 1;
const RIM: usize = 2;

/// The outline of a solid as a camera sees it.
#[derive(Debug, Clone)]
pub(super) struct Contour {
    /// Across the plane that faces the camera, to the right; level, of length 1.
    right: Vector3<f64>,
    /// From the axis towards the camera; level, of length 1.
    towards: Vector3<f64>,
    contacts: Vec<Contact>,
    /// The near edge of the mouth where the eye looks into it, on the right.
    mouth: Vec<Contact>,
    /// How high each of them is seen, from below upward, with its place among them.
    by_height: Vec<(f64, usize)>,
}

/// How a line of sight passes the outline.
#[derive(Debug, Clone, Copy)]
pub(super) struct Passed {
    /// By how many mm, outside above 0.
    pub(super) distance: f64,
    /// The nearest point of the outline, on the side on which the line of sight passes.
    pub(super) contact: Contact,
}

impl Contour {
    /// The outline of a half profile seen from `eye`, both in the solid's own axes. Its last edge is rounded by `lip_mm`. Empty where the eye is on the
    /// axis.
    pub(super) fn new(eye: Vector3<f64>, profile: &[(f64, f64)], lip_mm: f64) -> Self {
        let level = eye.x.hypot(eye.z).max(1e-9);
        let towards = Vector3::new(eye.x / level, 0.0, eye.z / level);
        let right = Vector3::new(eye.z / level, 0.0, -eye.x / level);
        let mut contour = Self { right, towards, contacts: Vec::new(), mouth: Vec::new(), by_height: Vec::new() };
        let lines = contour.lines(eye, profile, lip_mm);
        let reach = Reach::of(&lines);
        for line in &lines {
            for contact in line {
                if reach.is_clear(contour.moved(eye, contact)) && contact.chart.0 >= -1e-6 {
                    contour.contacts.push(*contact);
                }
            }
        }
        let [_, _, rim] = &lines;
        contour.mouth = near_edge(rim);
        contour.by_height = contour.contacts.iter().enumerate().map(|(i, c)| (c.chart.1, i)).collect();
        contour.by_height.sort_by(|a, b| a.0.total_cmp(&b.0));
        contour
    }

    /// The points of the outline on the right of the axis.
    pub(super) fn contacts(&self) -> &[Contact] {
        &self.contacts
    }

    /// The points of the outline on the right in the order in which they follow one another: from the near middle of the foot up to the far middle of the rim.
    pub(super) fn in_order(&self) -> Vec<Contact> {
        let of = |line: usize| self.contacts.iter().filter(move |c| c.line == line);
        of(FOOT).rev().chain(of(SIDE)).chain(of(RIM).rev()).copied().collect()
    }

    /// The points of the near edge of the mouth on the right of the axis: what is seen behind it is the inside. Empty where the eye hardly looks into it.
    pub(super) fn mouth(&self) -> &[Contact] {
        &self.mouth
    }

    /// The same point on the left.
    pub(super) fn mirrored(&self, contact: &Contact) -> Contact {
        let flip = |v: Vector3<f64>| v - self.right * (2.0 * v.dot(&self.right));
        Contact { chart: (-contact.chart.0, contact.chart.1), at: flip(contact.at), normal: flip(contact.normal), ..*contact }
    }

    /// Where a line of sight meets the plane that faces the camera.
    pub(super) fn chart(&self, sight: &Sight) -> Option<(f64, f64)> {
        let t = -sight.eye.dot(&self.towards) / sight.ray.dot(&self.towards);
        let at = sight.eye + sight.ray * t;
        (t.is_finite() && t > 0.0).then_some((at.dot(&self.right), at.y))
    }

    /// Where the outermost point of a circle about the axis is seen on the right.
    pub(super) fn ring_side(&self, eye: Vector3<f64>, (r, h): (f64, f64)) -> (f64, f64) {
        let towards = (r / eye.x.hypot(eye.z).max(1e-9)).min(1.0);
        let out = self.right * (1.0 - towards * towards).sqrt() + self.towards * towards;
        self.seen_at(eye, out * r + Vector3::new(0.0, h, 0.0))
    }

    fn seen_at(&self, eye: Vector3<f64>, at: Vector3<f64>) -> (f64, f64) {
        self.chart(&Sight { eye, ray: at - eye }).unwrap_or((f64::NAN, f64::NAN))
    }

    /// Where a contact pushed a little outward is seen.
    fn moved(&self, eye: Vector3<f64>, contact: &Contact) -> (f64, f64) {
        self.seen_at(eye, contact.at + contact.normal * CLEAR_MM)
    }

    /// All points that are seen edge on, on the right: those of the side, of the foot's circle, of the rim's.
    fn lines(&self, eye: Vector3<f64>, profile: &[(f64, f64)], lip_mm: f64) -> [Vec<Contact>; 3] {
        let (foot, top) = (profile.first().copied().unwrap_or_default(), profile.last().copied().unwrap_or_default());
        let lip_mm = lip_mm.min(0.5 * top.0).min(0.3 * (top.1 - foot.1)).max(0.0);
        let below = if lip_mm > 0.0 { top.1 - lip_mm } else { f64::INFINITY };
        let mut side = Vec::with_capacity(6 * profile.len());
        let slope = |i: usize| match (profile.get(i), profile.get(i + 1)) {
            (Some(a), Some(b)) if (b.1 - a.1).abs() > 1e-6 => Some((b.0 - a.0) / (b.1 - a.1)),
            (Some(a), Some(b)) => Some((b.0 - a.0).signum() * 1e6),
            _ => None,
        };
        for (i, pair) in profile.windows(2).enumerate() {
            let ([a, b], Some(own)) = (pair, slope(i)) else { continue };
            // At a corner the surface turns from one slope to the next.
            let before = i.checked_sub(1).and_then(slope).unwrap_or(own);
            let turned = |share: f64| (before.atan() * (1.0 - share) + own.atan() * share).tan();
            let turns = [(0.0, turned(0.25)), (0.0, turned(0.5)), (0.0, turned(0.75)), (0.2, own), (0.5, own), (0.8, own)];
            for (t, slope) in turns {
                let (r, h) = (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
                if h > below {
                    continue;
                }
                let Some([one, other]) = edge_points(eye, r, h, slope) else { continue };
                let at = if one.dot(&self.right) > other.dot(&self.right) { one } else { other };
                let normal = Vector3::new(at.x / r.max(1e-9), -slope, at.z / r.max(1e-9)).normalize();
                side.push(Contact { chart: self.seen_at(eye, at), at, normal, piece: i, along: t, line: SIDE });
            }
        }
        let ring = |(r, h): (f64, f64), line: usize, piece: usize, along: f64, up: f64, lip_mm: f64| -> Vec<Contact> {
            if profile.is_empty() {
                return Vec::new();
            }
            // The middle of the rounded edge runs in a circle of its own.
            let (r, h) = (r - lip_mm, h - up * lip_mm);
            (0..=RING / 2)
                .map(|k| {
                    // From the far side round by the right to the near one.
                    let (sin, cos) = (std::f64::consts::TAU * k as f64 / RING as f64).sin_cos();
                    let out = self.right * sin - self.towards * cos;
                    let at = out * r + Vector3::new(0.0, h, 0.0);
                    let tangent = self.right * cos + self.towards * sin;
                    let normal = tangent.cross(&(at - eye)).normalize();
                    let normal = if normal.y * up < 0.0 { -normal } else { normal };
                    let at = at + normal * lip_mm;
                    Contact { chart: self.seen_at(eye, at), at, normal, piece, along, line }
                })
                .collect()
        };
        let last = profile.len().saturating_sub(2);
        [side, ring(foot, FOOT, 0, 0.0, -1.0, 0.0), ring(top, RIM, last, 1.0, 1.0, lip_mm)]
    }

    /// How a line of sight passes the outline. None where there is none.
    pub(super) fn passed(&self, sight: &Sight) -> Option<Passed> {
        let (s, y) = self.chart(sight)?;
        let nearest = self.nearest(s.abs(), y)?;
        let contact = if s < 0.0 { self.mirrored(nearest) } else { *nearest };
        Some(passes(sight, contact))
    }

    /// How a line of sight passes the near edge of the mouth: below 0 where it meets the near wall. None where there is none.
    pub(super) fn passed_mouth(&self, sight: &Sight) -> Option<Passed> {
        let (s, y) = self.chart(sight)?;
        let far = |c: &Contact| (c.chart.0 - s.abs()).powi(2) + (c.chart.1 - y).powi(2);
        let nearest = self.mouth.iter().min_by(|a, b| far(a).total_cmp(&far(b)))?;
        Some(passes(sight, if s < 0.0 { self.mirrored(nearest) } else { *nearest }))
    }
}

/// Of the points of a rim from the far side round to the near one, those of the near edge that are seen well below the far one.
fn near_edge(rim: &[Contact]) -> Vec<Contact> {
    let (Some(far), Some(near)) = (rim.first(), rim.last()) else { return Vec::new() };
    let middle = f64::midpoint(far.chart.1, near.chart.1);
    // Towards the sides far and near edge come together, and the handle's and the spout's roots are there.
    let deep = (far.chart.1 - near.chart.1) * NEAR_SHARE;
    if far.chart.1 - near.chart.1 > LEAST_MOUTH_MM {
        rim.iter().filter(|c| c.chart.1 < middle - deep).copied().collect()
    } else {
        Vec::new()
    }
}

/// A mouth into which the eye looks by less than this, in mm as it is seen, has no edge of its own.
const LEAST_MOUTH_MM: f64 = 3.0;
/// So much below the mouth's middle, as a share of how deep it is seen, its near edge begins.
const NEAR_SHARE: f64 = 0.25;

impl Contour {
    /// The contact that is seen nearest to a place on the right: those of about its height are looked at first, and no further than one may be nearer.
    fn nearest(&self, s: f64, y: f64) -> Option<&Contact> {
        let from = self.by_height.partition_point(|(height, _)| *height < y);
        let (mut best, mut nearest) = (f64::INFINITY, None);
        let mut closer = |&(height, i): &(f64, usize)| {
            let off = (height - y) * (height - y);
            if off >= best {
                return false;
            }
            if let Some(contact) = self.contacts.get(i) {
                let far = off + (contact.chart.0 - s) * (contact.chart.0 - s);
                if far < best {
                    (best, nearest) = (far, Some(contact));
                }
            }
            true
        };
        let (below, above) = self.by_height.split_at(from);
        let (mut below, mut above) = (below.iter().rev(), above.iter());
        let (mut down, mut up) = (true, true);
        while down || up {
            down = down && below.next().is_some_and(&mut closer);
            up = up && above.next().is_some_and(&mut closer);
        }
        nearest
    }
}

/// By how much a line of sight passes a contact: from the contact to the nearest point of the line, along the outward direction.
pub(super) fn passes(sight: &Sight, contact: Contact) -> Passed {
    let beside = sight.eye + sight.ray * ((contact.at - sight.eye).dot(&sight.ray) / sight.ray.norm_squared()) - contact.at;
    Passed { distance: beside.dot(&contact.normal), contact }
}

/// How far to the right something is seen in each row.
struct Reach {
    low: f64,
    step: f64,
    rows: Vec<f64>,
}

impl Reach {
    fn of(lines: &[Vec<Contact>; 3]) -> Self {
        let heights = || lines.iter().flatten().map(|c| c.chart.1).filter(|y| y.is_finite());
        let (low, high) = (heights().fold(f64::INFINITY, f64::min), heights().fold(f64::NEG_INFINITY, f64::max));
        let step = ((high - low) / ROWS as f64).max(1e-6);
        let mut rows = vec![f64::NEG_INFINITY; ROWS + 1];
        if !step.is_finite() {
            return Self { low: 0.0, step: 1.0, rows };
        }
        for pair in lines.iter().flat_map(|line| line.windows(2)) {
            let [a, b] = pair else { continue };
            let (a, b) = if a.chart.1 <= b.chart.1 { (a.chart, b.chart) } else { (b.chart, a.chart) };
            if !(a.0.is_finite() && b.0.is_finite() && a.1.is_finite() && b.1.is_finite()) {
                continue;
            }
            let (from, to) = (((a.1 - low) / step).ceil() as usize, ((b.1 - low) / step).floor() as usize);
            for row in from..=to.min(ROWS) {
                let t = if b.1 > a.1 { (low + step * row as f64 - a.1) / (b.1 - a.1) } else { 0.0 };
                if let Some(r) = rows.get_mut(row) {
                    *r = r.max(a.0 + (b.0 - a.0) * t);
                }
            }
        }
        Self { low, step, rows }
    }

    /// Whether nothing else is seen at a place.
    fn is_clear(&self, (s, y): (f64, f64)) -> bool {
        if !(s.is_finite() && y.is_finite()) {
            return false;
        }
        let row = (y - self.low) / self.step;
        if row < 0.0 || row > ROWS as f64 {
            return true;
        }
        let (before, after) = (self.rows.get(row as usize).copied(), self.rows.get(row as usize + 1).copied());
        let (Some(a), b) = (before, after.unwrap_or(f64::NEG_INFINITY)) else { return true };
        let t = row.fract();
        let reach = if a.is_finite() && b.is_finite() { a + (b - a) * t } else { a.min(b) };
        s >= reach
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn the_nearest_contact_is_that_of_all() {
        let profile = [(30.0, 0.0), (44.0, 20.0), (52.0, 60.0), (38.0, 90.0), (41.0, 100.0)];
        let contour = Contour::new(Vector3::new(30.0, 160.0, 420.0), &profile, 2.0);
        assert!(contour.contacts().len() > 60);
        let far = |c: &Contact, s: f64, y: f64| (c.chart.0 - s).powi(2) + (c.chart.1 - y).powi(2);
        for i in 0..400 {
            let (s, y) = (f64::from(i % 20) * 4.0, f64::from(i / 20) * 9.0 - 40.0);
            let least = contour.contacts().iter().map(|c| far(c, s, y)).fold(f64::INFINITY, f64::min);
            let found = far(contour.nearest(s, y).unwrap(), s, y);
            assert!((found - least).abs() < 1e-12, "({s}, {y}): {found}, not {least}");
        }
    }
}

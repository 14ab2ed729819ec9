//! The composite sketch: what the person has said of the piece, drawn, and what nobody has looked at yet, guessed.
//!
//! What is guessed is the mean of the forms that still fit, each weighted by its probability, so that the dashed lines close in as answers come.

use crate::colour::Lab;
use crate::desk::document::Document;
use crate::identify::{Seen, weighed};
use crate::key::shape::{Drawing, Finial, FinialKind, FootKind, Handle, HandleAt, HandleKind, Point, Shape, Spout, SpoutKind, Surface};
use crate::key::{Dimension, Feature, FeatureKind, Form, Key, Part};
use std::collections::BTreeMap;

/// How a part of the sketch is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Drawn {
    /// As the person said.
    Said,
    /// As the forms that still fit have it.
    #[default]
    Guessed,
    /// The person said that it is gone.
    Gone,
    /// The person said, or all that fits says, that the piece never had it.
    Absent,
}

/// The sketch of the piece in hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// Its shape in millimetres.
    pub shape: Shape,
    /// How each part is drawn.
    pub parts: BTreeMap<Part, Drawn>,
    /// Whether the outline from above has been said, of the body and of the lid.
    pub plan_said: (Drawn, Drawn),
    /// Colour of the glaze, where it was said.
    pub glaze: Option<Lab>,
    /// Colour of the clay, where it was said.
    pub clay: Option<Lab>,
    /// What can be read of the mark, line by line.
    pub mark: Vec<String>,
    /// Colour of the mark, where it is known.
    pub ink: Option<Lab>,
}

/// Points of a resampled profile.
const SAMPLES: usize = 48;
/// Forms that count into the guessed shape, most probable first. A stated limit, so that a large key costs no frame.
const MOST_FORMS: usize = 150;

impl Sketch {
    /// How a part is drawn.
    pub fn part(&self, part: Part) -> Drawn {
        self.parts.get(&part).copied().unwrap_or(Drawn::Absent)
    }

    /// The sketch of the piece in hand.
    pub fn of(doc: &Document) -> Self {
        let mut sketch = guess(doc);
        for observation in &doc.hand.piece.observations {
            if let Some(feature) = doc.key.feature(&observation.feature) {
                sketch.say(&doc.key, feature, &observation.seen);
            }
        }
        for part in &doc.hand.piece.missing {
            if sketch.part(*part) != Drawn::Absent {
                sketch.parts.insert(*part, Drawn::Gone);
            }
            if *part == Part::Lid && sketch.part(Part::Finial) != Drawn::Absent {
                sketch.parts.insert(Part::Finial, Drawn::Gone);
            }
        }
        sketch
    }

    fn say(&mut self, key: &Key, feature: &Feature, seen: &Seen) {
        match (&feature.kind, seen) {
            (FeatureKind::Choice(values), Seen::Values(chosen)) => {
                let [only] = chosen.as_slice() else { return };
                let Some(value) = values.iter().find(|value| value.id == *only) else { return };
                self.say_drawing(feature.part, &value.drawing);
                if let Some(lab) = value.lab {
                    self.clay = Some(lab);
                }
            }
            (FeatureKind::Choice(values), Seen::Weighed(weights)) => {
                // Drawn as the likeliest, where it is by far.
                let likeliest = weighed(weights).first().filter(|(_, share)| *share >= 0.9).map(|(id, _)| *id);
                if let Some(value) = values.iter().find(|value| Some(&value.id) == likeliest) {
                    self.say_drawing(feature.part, &value.drawing);
                }
            }
            (FeatureKind::Choice(_), Seen::Colour { lab, .. }) => self.clay = Some(*lab),
            (FeatureKind::Glaze, Seen::Values(chosen)) => {
                if let [only] = chosen.as_slice() {
                    self.glaze = key.glazes.iter().find(|glaze| glaze.id.as_str() == only.as_str()).map(|glaze| glaze.lab);
                }
            }
            (FeatureKind::Glaze, Seen::Colour { lab, .. }) => self.glaze = Some(*lab),
            (FeatureKind::Mark, Seen::Values(chosen)) => {
                if let [only] = chosen.as_slice()
                    && let Some(mark) = key.marks.iter().find(|mark| mark.id.as_str() == only.as_str())
                {
                    self.mark = mark.wording.iter().map(|line| line.text.clone()).collect();
                    self.ink = mark.ink.as_ref().map(|ink| ink.lab);
                }
            }
            (FeatureKind::Mark, Seen::Wording(text)) => self.mark = split_wording(text),
            (FeatureKind::Mark, Seen::Mark(mark)) => {
                self.mark = split_wording(&mark.wording);
                let inks = key.marks.iter().filter_map(|known| known.ink.as_ref());
                self.ink = inks.into_iter().find(|ink| mark.looks.ink.as_ref() == Some(&ink.name)).map(|ink| ink.lab);
            }
            (FeatureKind::Measure(measure), Seen::Measured(measured)) => {
                if let Some(of) = measure.of {
                    self.say_measure(of, measured.value);
                }
            }
            (_, Seen::NotThere) if feature.part != Part::Body => {
                self.parts.insert(feature.part, Drawn::Absent);
            }
            _ => {}
        }
    }

    fn say_drawing(&mut self, part: Part, drawing: &Drawing) {
        let shape = &mut self.shape;
        match drawing {
            Drawing::None | Drawing::Strokes(_) | Drawing::Rim(_) => return,
            Drawing::Plan(plan) if matches!(part, Part::Lid | Part::Finial) => {
                shape.lid_plan = Some(plan.clone());
                self.plan_said.1 = Drawn::Said;
            }
            Drawing::Plan(plan) => {
                shape.plan = plan.clone();
                self.plan_said.0 = Drawn::Said;
            }
            Drawing::Body(points) => shape.body = stretched(points, reach(&shape.body), top(&shape.body)),
            Drawing::Lid(points) => shape.lid = stretched(points, reach(&shape.lid), top(&shape.lid)),
            Drawing::Handle(kind) => {
                if shape.handles.is_empty() {
                    shape.handles = vec![guessed_handle(&shape.body, *kind)];
                }
                for handle in &mut shape.handles {
                    handle.kind = *kind;
                    if *kind == HandleKind::Bail {
                        handle.at = HandleAt::Over;
                    }
                }
            }
            Drawing::Handles(0) | Drawing::Absent => {
                self.parts.insert(part, Drawn::Absent);
                return;
            }
            Drawing::Handles(count) => {
                if shape.handles.is_empty() {
                    shape.handles = vec![guessed_handle(&shape.body, HandleKind::Loop)];
                }
                for handle in &mut shape.handles {
                    handle.at = if *count == 1 { HandleAt::Right } else { HandleAt::Both };
                }
            }
            Drawing::Spout(kind) => {
                let body = &self.shape.body;
                let spout = self.shape.spout.unwrap_or_else(|| guessed_spout(body, *kind));
                self.shape.spout = Some(Spout { kind: *kind, ..spout });
            }
            Drawing::Finial(kind) => {
                let finial = shape.finial.unwrap_or(Finial { kind: *kind, height_mm: 14.0, width_mm: 18.0 });
                shape.finial = Some(Finial { kind: *kind, ..finial });
            }
            Drawing::Foot(kind) => shape.foot = *kind,
            Drawing::Surface(surface) => {
                shape.surface = match *surface {
                    Surface::Ribs(count, ..) => {
                        let height = top(&shape.body);
                        Surface::Ribs(count, height * 0.2, height * 0.85)
                    }
                    other => other,
                };
            }
        }
        self.parts.insert(part, Drawn::Said);
    }

    /// Stretches the sketch so that the dimension is as measured.
    fn say_measure(&mut self, of: Dimension, measured_mm: f64) {
        if !measured_mm.is_finite() || measured_mm <= 0.0 {
            return;
        }
        let shape = &mut self.shape;
        let lid_mm = top(&shape.lid) + shape.lid_sits_mm + shape.finial.map_or(0.0, |finial| finial.height_mm);
        match of {
            Dimension::BodyHeight => stretch_height(shape, measured_mm / top(&shape.body).max(1.0)),
            Dimension::HeightWithLid => stretch_height(shape, (measured_mm / (top(&shape.body) + lid_mm).max(1.0)).clamp(0.2, 5.0)),
            Dimension::RimLong | Dimension::LidLong => {
                let rim = shape.body.last().map_or(1.0, |point| xy(*point).0).max(1.0);
                stretch_width(shape, measured_mm / 2.0 / rim);
            }
            Dimension::Greatest => stretch_width(shape, measured_mm / 2.0 / reach(&shape.body).max(1.0)),
            Dimension::Foot | Dimension::Width | Dimension::RimShort | Dimension::LidShort => {}
        }
    }
}

/// A typed wording in lines of some ten letters, as it might stand in a foot ring. A stroke parts lines where the person wrote one.
fn split_wording(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for given in text.split('/') {
        let mut line = String::new();
        for word in given.split_whitespace() {
            if !line.is_empty() && line.chars().count() + word.chars().count() > 10 {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        if !line.is_empty() {
            lines.push(line);
        }
    }
    lines
}

fn xy(point: Point) -> (f64, f64) {
    match point {
        Point::Curve(r, h) | Point::Corner(r, h) => (r, h),
    }
}

fn mapped(point: Point, f: impl Fn(f64, f64) -> (f64, f64)) -> Point {
    match point {
        Point::Curve(r, h) => {
            let (r, h) = f(r, h);
            Point::Curve(r, h)
        }
        Point::Corner(r, h) => {
            let (r, h) = f(r, h);
            Point::Corner(r, h)
        }
    }
}

fn reach(points: &[Point]) -> f64 {
    points.iter().map(|point| xy(*point).0).fold(0.0, f64::max)
}

fn top(points: &[Point]) -> f64 {
    points.iter().map(|point| xy(*point).1).fold(0.0, f64::max)
}

/// The profile stretched to that greatest radius and height.
fn stretched(points: &[Point], reach_mm: f64, top_mm: f64) -> Vec<Point> {
    let (r0, h0) = (reach(points).max(1e-6), top(points).max(1e-6));
    let (reach_mm, top_mm) = (if reach_mm > 1.0 { reach_mm } else { 60.0 }, if top_mm > 0.5 { top_mm } else { 20.0 });
    points.iter().map(|point| mapped(*point, |r, h| (r / r0 * reach_mm, h / h0 * top_mm))).collect()
}

fn stretch_height(shape: &mut Shape, by: f64) {
    for point in &mut shape.body {
        *point = mapped(*point, |r, h| (r, h * by));
    }
    for handle in &mut shape.handles {
        handle.top_mm *= by;
        handle.bottom_mm *= by;
    }
    if let Some(spout) = &mut shape.spout {
        spout.root_mm *= by;
        spout.tip_mm *= by;
    }
    if let Surface::Ribs(_, from, to) = &mut shape.surface {
        *from *= by;
        *to *= by;
    }
}

fn stretch_width(shape: &mut Shape, by: f64) {
    for point in shape.body.iter_mut().chain(&mut shape.lid) {
        *point = mapped(*point, |r, h| (r * by, h));
    }
}

fn guessed_handle(body: &[Point], kind: HandleKind) -> Handle {
    let height = top(body).max(20.0);
    Handle { kind, at: HandleAt::Both, top_mm: height * 0.82, bottom_mm: height * 0.35, reach_mm: height * 0.3, thick_mm: 8.0 }
}

fn guessed_spout(body: &[Point], kind: SpoutKind) -> Spout {
    let height = top(body).max(20.0);
    let (root, tip) = if matches!(kind, SpoutKind::Lip | SpoutKind::Beak) { (0.85, 1.0) } else { (0.35, 0.95) };
    Spout { kind, root_mm: height * root, tip_mm: height * tip, reach_mm: if root > 0.5 { height * 0.14 } else { height * 0.45 } }
}

/// The mean of the forms that still fit, weighted by probability.
fn guess(doc: &Document) -> Sketch {
    let mut weighed: Vec<(&Form, f64)> = doc
        .standing
        .candidates
        .iter()
        .take(MOST_FORMS)
        .filter_map(|candidate| Some((doc.form(&candidate.form)?, candidate.probability.max(1e-12))))
        .collect();
    if weighed.is_empty() {
        weighed = doc.key.forms.iter().take(MOST_FORMS).map(|form| (form, 1.0)).collect();
    }
    let total: f64 = weighed.iter().map(|(_, weight)| weight).sum();
    let share = |has: &dyn Fn(&Form) -> bool| weighed.iter().filter(|(form, _)| has(form)).map(|(_, w)| w).sum::<f64>() / total.max(1e-12);

    let body = mean_profile(weighed.iter().map(|(form, weight)| (form.shape.body_profile(0.5), *weight)));
    let lids = || weighed.iter().filter(|(form, _)| form.parts.contains(&Part::Lid));
    let lid = mean_profile(lids().map(|(form, weight)| {
        let base = form.shape.rim_height_mm() + form.shape.lid_sits_mm;
        let profile = form.shape.lid_profile(0.5).into_iter().map(|(r, h)| (r, h - base)).collect();
        (profile, *weight)
    }));
    let body = if body.is_empty() { fallback_body() } else { body };

    let mut parts = BTreeMap::new();
    for part in Part::ALL {
        let likely = share(&|form: &Form| form.parts.contains(&part));
        let drawn = if likely >= 0.08 || part == Part::Body { Drawn::Guessed } else { Drawn::Absent };
        parts.insert(part, drawn);
    }
    parts.insert(Part::Foot, Drawn::Guessed);

    let leader = |has: &dyn Fn(&Form) -> bool| weighed.iter().filter(|(form, _)| has(form)).map(|(form, _)| &form.shape).next();
    let height = top(&body);
    let handles = leader(&|form| !form.shape.handles.is_empty())
        .map(|shape| {
            let by = height / shape.rim_height_mm().max(1.0);
            shape.handles.iter().map(|handle| Handle { top_mm: handle.top_mm * by, bottom_mm: handle.bottom_mm * by, ..*handle }).collect()
        })
        .unwrap_or_default();
    let spout = leader(&|form| form.shape.spout.is_some()).and_then(|shape| {
        let by = height / shape.rim_height_mm().max(1.0);
        shape.spout.map(|spout| Spout { root_mm: spout.root_mm * by, tip_mm: spout.tip_mm * by, ..spout })
    });
    let finial = leader(&|form| form.shape.finial.is_some()).and_then(|shape| shape.finial);
    let plan = commonest(weighed.iter().map(|(form, weight)| (form.shape.plan.clone(), *weight))).unwrap_or_default();
    let lid_plan =
        commonest(lids().map(|(form, weight)| (form.shape.lid_plan.clone().unwrap_or_else(|| form.shape.plan.clone()), *weight)));
    let foot = commonest(weighed.iter().map(|(form, weight)| (form.shape.foot, *weight))).unwrap_or(FootKind::Ring);
    let sits = lids().map(|(form, weight)| form.shape.lid_sits_mm * weight).sum::<f64>() / lids().map(|(_, w)| w).sum::<f64>().max(1e-12);
    let wall = weighed.iter().map(|(form, weight)| form.shape.wall_mm * weight).sum::<f64>() / total.max(1e-12);
    Sketch {
        shape: Shape {
            body,
            wall_mm: wall,
            plan,
            lid,
            lid_plan,
            lid_sits_mm: sits,
            handles,
            spout,
            finial: finial.or(Some(Finial { kind: FinialKind::Ball, height_mm: 14.0, width_mm: 16.0 })),
            foot,
            surface: Surface::Plain,
        },
        parts,
        plan_said: (Drawn::Guessed, Drawn::Guessed),
        glaze: None,
        clay: None,
        mark: Vec::new(),
        ink: None,
    }
}

fn commonest<T: PartialEq>(all: impl Iterator<Item = (T, f64)>) -> Option<T> {
    let mut sums: Vec<(T, f64)> = Vec::new();
    for (what, weight) in all {
        match sums.iter_mut().find(|(known, _)| *known == what) {
            Some((_, sum)) => *sum += weight,
            None => sums.push((what, weight)),
        }
    }
    sums.into_iter().reduce(|best, next| if next.1 > best.1 { next } else { best }).map(|(what, _)| what)
}

fn fallback_body() -> Vec<Point> {
    vec![Point::Corner(32.0, 0.0), Point::Curve(48.0, 24.0), Point::Curve(52.0, 50.0), Point::Corner(50.0, 75.0)]
}

/// The weighted mean of profiles, each cut into equal steps of its length.
fn mean_profile(all: impl Iterator<Item = (Vec<(f64, f64)>, f64)>) -> Vec<Point> {
    let mut sums = vec![(0.0, 0.0); SAMPLES];
    let mut total = 0.0;
    for (profile, weight) in all {
        let Some(samples) = resampled(&profile) else { continue };
        total += weight;
        for (sum, (r, h)) in sums.iter_mut().zip(samples) {
            sum.0 += r * weight;
            sum.1 += h * weight;
        }
    }
    if total <= 0.0 {
        return Vec::new();
    }
    sums.into_iter().map(|(r, h)| Point::Corner(r / total, h / total)).collect()
}

/// [`SAMPLES`] points at equal steps along a polyline. None for fewer than two points.
fn resampled(profile: &[(f64, f64)]) -> Option<Vec<(f64, f64)>> {
    let length = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    let steps: Vec<f64> = profile.windows(2).filter_map(|pair| Some(length(*pair.first()?, *pair.last()?))).collect();
    let total: f64 = steps.iter().sum();
    if profile.len() < 2 || total <= 0.0 || !total.is_finite() {
        return None;
    }
    let mut out = Vec::with_capacity(SAMPLES);
    let (mut i, mut gone) = (0, 0.0);
    for sample in 0..SAMPLES {
        let want = total * sample as f64 / (SAMPLES - 1) as f64;
        while i + 1 < steps.len() && gone + steps.get(i)? < want {
            gone += steps.get(i)?;
            i += 1;
        }
        let (a, b) = (profile.get(i)?, profile.get(i + 1)?);
        let t = ((want - gone) / steps.get(i)?.max(1e-12)).clamp(0.0, 1.0);
        out.push((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t));
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;

    #[test]
    fn a_straight_wall_is_cut_into_equal_steps() {
        let samples = resampled(&[(10.0, 0.0), (10.0, 47.0)]).unwrap();
        assert_eq!(samples.len(), SAMPLES, "as many points as stated");
        assert!((samples[1].1 - 1.0).abs() < 1e-9, "47 mm in 47 steps is 1 mm a step, here {}", samples[1].1);
        assert_eq!(samples[SAMPLES - 1], (10.0, 47.0), "the last point is the end");
    }

    #[test]
    fn the_mean_of_two_cylinders_lies_between_them() {
        let mean = mean_profile([(vec![(10.0, 0.0), (10.0, 40.0)], 1.0), (vec![(30.0, 0.0), (30.0, 80.0)], 3.0)].into_iter());
        assert!((reach(&mean) - 25.0).abs() < 1e-9, "(10 + 3 × 30) / 4 = 25, here {}", reach(&mean));
        assert!((top(&mean) - 70.0).abs() < 1e-9, "(40 + 3 × 80) / 4 = 70, here {}", top(&mean));
    }

    #[test]
    fn no_profile_has_no_mean() {
        assert!(mean_profile(std::iter::empty()).is_empty(), "nothing to draw");
        assert_eq!(resampled(&[(1.0, 1.0)]), None, "one point is no line");
        assert_eq!(resampled(&[(1.0, 1.0), (1.0, 1.0)]), None, "no length is no line");
    }
}

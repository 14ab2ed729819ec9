//! The half profiles of many forms, and the nearest of them.

use super::bands::{Row, at_least, row_mm, row_of_one};
use super::outline::Outline;
use super::profile::HalfProfile;
use crate::key::outline::Silhouette;
use crate::key::shape::Shape;
use crate::key::{FormId, Key, Part};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// How far a polyline may stray from a form's curve, in mm.
const TOLERANCE_MM: f64 = 0.1;

/// Whether the piece was measured with its lid on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum LidOn {
    /// Without lid, or it never had one: the body alone is compared.
    Off,
    /// With its lid on: forms with a lid are compared closed, the others as they are.
    On,
    /// It cannot be told: whichever of the two comes nearer.
    Either,
}

/// In what size two shapes are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Scaling {
    /// In the size they have, by the area between them in mm².
    TrueSize,
    /// Both scaled to the same area, by the share of it that lies between them.
    AnySize,
}

/// A form whose shape comes near.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// The form.
    pub form: FormId,
    /// The form was compared with its lid on ([`LidOn::On`]) or without ([`LidOn::Off`]).
    pub lid: LidOn,
    /// Area between the outlines on one side of the axis, in mm².
    pub area_between_mm2: f64,
    /// How far the outlines are apart on the average, in mm.
    pub mean_deviation_mm: f64,
    /// How unlike the shapes are whatever their size: 0 for the same, below 2 for any.
    pub unlikeness: f64,
}

#[derive(Debug, Clone)]
pub(super) struct Entry {
    /// Which form, in the order of their ids.
    pub(super) form: usize,
    pub(super) lid: LidOn,
    /// The form has another entry, with its lid on.
    has_closed: bool,
    pub(super) outline: Outline,
    pub(super) length: f64,
    to_one: f64,
}

/// The half profiles of many forms, ready to be compared. It owns what it needs; make a new one after the key has changed.
#[derive(Debug, Clone, Default)]
pub struct ShapeIndex {
    forms: Vec<FormId>,
    pub(super) entries: Vec<Entry>,
    /// The bands of each entry, in mm and of area 1.
    pub(super) rows_mm: Vec<Row>,
    rows_of_one: Vec<Row>,
    pub(super) give_percent: f64,
}

impl ShapeIndex {
    /// The forms of a key. A form without usable points is left out, and so stays neutral.
    pub fn new(key: &Key) -> Self {
        Self::of_shapes(key.forms.iter().map(|form| (&form.id, &form.shape)).collect(), key.about.give_percent)
    }

    /// The same of drawn shapes under the ids of their forms, with the give of firing in percent (two standard deviations). Of two with the same id,
    /// the first is kept.
    pub fn of_shapes(mut shapes: Vec<(&FormId, &Shape)>, give_percent: f64) -> Self {
        shapes.sort_by(|a, b| a.0.cmp(b.0));
        shapes.dedup_by(|a, b| a.0 == b.0);
        let entries: Vec<Vec<Entry>> = shapes.par_iter().enumerate().map(|(i, (_, shape))| entries_of(i, shape)).collect();
        let ids = shapes.into_iter().map(|(id, _)| id.clone()).collect();
        Self::of(ids, entries.into_iter().flatten().collect(), sane(give_percent))
    }

    /// Half profiles under the ids of their forms, with the give of firing in percent (two standard deviations). Of two with the same id, the
    /// first is kept.
    pub fn of_profiles(mut profiles: Vec<(FormId, HalfProfile)>, give_percent: f64) -> Self {
        profiles.sort_by(|a, b| a.0.cmp(&b.0));
        profiles.dedup_by(|a, b| a.0 == b.0);
        let entries = profiles.par_iter().enumerate().map(|(i, (_, p))| entry(i, LidOn::Off, p.outline().clone(), p.length_mm())).collect();
        Self::of(profiles.into_iter().map(|p| p.0).collect(), entries, sane(give_percent))
    }

    fn of(forms: Vec<FormId>, entries: Vec<Entry>, give_percent: f64) -> Self {
        let rows_mm = entries.par_iter().map(|e| row_mm(&e.outline, 1.0)).collect();
        let rows_of_one = entries.par_iter().map(|e| row_of_one(&e.outline)).collect();
        Self { forms, entries, rows_mm, rows_of_one, give_percent }
    }

    /// Number of forms that have a profile.
    pub fn len(&self) -> usize {
        self.entries.iter().filter(|e| e.lid == LidOn::Off).count()
    }

    /// True where no form has a profile.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The forms nearest in shape, nearest first, at most `most`; ties by form id. The same as [`Self::nearest_by_all`], sooner.
    pub fn nearest(&self, profile: &HalfProfile, lid: LidOn, scaling: Scaling, most: usize) -> Vec<Match> {
        let own = Self::own_row(profile, scaling);
        let rows = self.rows(scaling);
        // A form has at most two entries.
        let wanted = most.saturating_mul(2).min(self.entries.len());
        if wanted == 0 {
            return Vec::new();
        }
        let mut bounds: Vec<(f32, u32)> = (0_u32..)
            .zip(rows)
            .zip(&self.entries)
            .filter(|(_, entry)| entry.is_meant(lid))
            .map(|((i, row), _)| (at_least(&own, row), i))
            .collect();
        // Those with the lowest bounds give a distance that the others must come under.
        let first = (wanted.saturating_mul(4)).max(64).min(bounds.len());
        if first < bounds.len() {
            bounds.select_nth_unstable_by(first, |a, b| a.0.total_cmp(&b.0));
        }
        let (near, far) = bounds.split_at(first);
        let mut found: Vec<(f64, u32)> = near.par_iter().map(|&(_, i)| (self.distance(profile, i as usize, scaling), i)).collect();
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        if let Some(&(limit, _)) = found.get(wanted - 1) {
            let left: Vec<u32> = far.iter().filter(|b| f64::from(b.0) <= limit).map(|b| b.1).collect();
            found.par_extend(left.into_par_iter().map(|i| (self.distance(profile, i as usize, scaling), i)));
        }
        self.matches(found, profile, most)
    }

    /// The same by comparing every form: the plain route, which tests hold the other against.
    pub fn nearest_by_all(&self, profile: &HalfProfile, lid: LidOn, scaling: Scaling, most: usize) -> Vec<Match> {
        let found = (0_u32..)
            .zip(&self.entries)
            .filter(|(_, entry)| entry.is_meant(lid))
            .map(|(i, _)| (self.distance(profile, i as usize, scaling), i))
            .collect();
        self.matches(found, profile, most)
    }

    /// How a shape stands to one form: the better of its two entries, where it has two. None where it has no profile.
    pub fn compare(&self, profile: &HalfProfile, form: &FormId, lid: LidOn) -> Option<Match> {
        let at = self.forms.binary_search(form).ok()?;
        let meant = (0_u32..).zip(&self.entries).filter(|(_, entry)| entry.form == at && entry.is_meant(lid));
        let found = meant.map(|(i, _)| (self.distance(profile, i as usize, Scaling::TrueSize), i)).collect();
        self.matches(found, profile, 1).pop()
    }

    fn matches(&self, mut found: Vec<(f64, u32)>, profile: &HalfProfile, most: usize) -> Vec<Match> {
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut matches: Vec<Match> = Vec::new();
        for (_, i) in found {
            if matches.len() >= most {
                break;
            }
            let Some(entry) = self.entries.get(i as usize) else { continue };
            let Some(form) = self.forms.get(entry.form) else { continue };
            if matches.iter().any(|m| m.form == *form) {
                continue;
            }
            let area = profile.outline().area_between(1.0, &entry.outline, 1.0);
            matches.push(Match {
                form: form.clone(),
                lid: entry.lid,
                area_between_mm2: area,
                mean_deviation_mm: area / (0.5 * (profile.length_mm() + entry.length)),
                unlikeness: self.distance(profile, i as usize, Scaling::AnySize),
            });
        }
        matches
    }

    pub(super) fn distance(&self, profile: &HalfProfile, i: usize, scaling: Scaling) -> f64 {
        let Some(entry) = self.entries.get(i) else { return f64::INFINITY };
        match scaling {
            Scaling::TrueSize => profile.outline().area_between(1.0, &entry.outline, 1.0),
            Scaling::AnySize => profile.outline().area_between(profile.outline().to_unit_area(), &entry.outline, entry.to_one),
        }
    }

    pub(super) fn own_row(profile: &HalfProfile, scaling: Scaling) -> Row {
        match scaling {
            Scaling::TrueSize => row_mm(profile.outline(), 1.0),
            Scaling::AnySize => row_of_one(profile.outline()),
        }
    }

    pub(super) fn rows(&self, scaling: Scaling) -> &[Row] {
        match scaling {
            Scaling::TrueSize => &self.rows_mm,
            Scaling::AnySize => &self.rows_of_one,
        }
    }

    pub(super) fn form(&self, i: usize) -> Option<&FormId> {
        self.forms.get(i)
    }
}

impl Entry {
    /// True where a piece measured so is compared with it.
    pub(super) fn is_meant(&self, lid: LidOn) -> bool {
        match lid {
            LidOn::Off => self.lid == LidOn::Off,
            LidOn::On => self.lid == LidOn::On || !self.has_closed,
            LidOn::Either => true,
        }
    }
}

fn entry(form: usize, lid: LidOn, outline: Outline, length: f64) -> Entry {
    Entry { form, lid, has_closed: false, to_one: outline.to_unit_area(), outline, length }
}

fn sane(give_percent: f64) -> f64 {
    if give_percent.is_finite() { give_percent.clamp(0.0, 100.0) } else { 0.0 }
}

/// The body, and for a form with a lid the closed piece too. Nothing where the body encloses nothing.
fn entries_of(i: usize, shape: &Shape) -> Vec<Entry> {
    let body = shape.body_profile(TOLERANCE_MM);
    let Ok(body) = HalfProfile::new(&body) else { return Vec::new() };
    let mut entries = vec![entry(i, LidOn::Off, body.outline().clone(), body.length_mm())];
    if !shape.lid.is_empty() {
        let silhouette = shape.silhouette();
        let lines = lines_of(&silhouette);
        let outline = Outline::of(&lines.iter().map(Vec::as_slice).collect::<Vec<_>>());
        if outline.area() > body.area_mm2() {
            if let Some(open) = entries.first_mut() {
                open.has_closed = true;
            }
            let length = outline.length();
            entries.push(Entry { has_closed: true, ..entry(i, LidOn::On, outline, length) });
        }
    }
    entries
}

/// The outlines of body, lid and finial, with all that lies left of the axis put on it.
fn lines_of(silhouette: &Silhouette) -> Vec<Vec<(f64, f64)>> {
    let mut lines = Vec::new();
    for (_, path) in silhouette.parts.iter().filter(|(part, _)| matches!(part, Part::Body | Part::Lid | Part::Finial)) {
        let mut line: Vec<(f64, f64)> = Vec::new();
        let mut start = None;
        kurbo::flatten(path, TOLERANCE_MM, |el| match el {
            kurbo::PathEl::MoveTo(p) => {
                lines.push(std::mem::take(&mut line));
                start = Some(p);
                line.push((p.x.max(0.0), p.y));
            }
            kurbo::PathEl::LineTo(p) => line.push((p.x.max(0.0), p.y)),
            _ => line.extend(start.map(|p| (p.x.max(0.0), p.y))),
        });
        lines.push(line);
    }
    let low = lines.iter().flatten().map(|p| p.1).fold(f64::INFINITY, f64::min);
    for point in lines.iter_mut().flatten() {
        point.1 -= low;
    }
    lines
}

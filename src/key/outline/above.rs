//! The views from above and from underneath.

use super::super::model::Part;
use super::super::shape::{FinialKind, FootKind, Handle, HandleAt, HandleKind, Plan, Shape};
use super::Silhouette;
use super::band::{hole, mirrored, rounded};
use super::profile::{FINE_MM, finite, radius_at};
use kurbo::{BezPath, Point, Shape as _};

impl Shape {
    /// The view from above: handles, spout, the body at its widest, the lid and the finial. Leave out the lid and finial to look into the body.
    pub fn above(&self) -> Silhouette {
        let mut parts: Vec<(Part, BezPath)> = Vec::new();
        let line = self.body_profile(FINE_MM);
        let mut bows = Vec::new();
        for handle in &self.handles {
            let Some(wall) = radius_at(&line, finite(handle.top_mm)) else { continue };
            if handle.at == HandleAt::Over || handle.kind == HandleKind::Bail {
                bows.push((Part::Handle, bow(handle, wall)));
                continue;
            }
            let right = from_above(handle, wall, wall / self.plan.aspect());
            if handle.at == HandleAt::Both {
                parts.push((Part::Handle, mirrored(&right)));
            }
            parts.push((Part::Handle, right));
        }
        if let (Some(tip), Some(spout)) = (self.spout_tip_mm(), self.spout) {
            let root = radius_at(&line, finite(spout.root_mm)).unwrap_or(0.0);
            let base = (root * 0.45).min(root / self.plan.aspect() * 0.8);
            let half = ((root + tip.x).abs() * 0.09).clamp(1.5, 7.0).min(base.max(1.5));
            parts.push((
                Part::Spout,
                rounded(&[(-root * 0.8, -base, 0.0), (-root * 0.8, base, 0.0), (tip.x, half, half), (tip.x, -half, half)]),
            ));
        }
        parts.push((Part::Body, self.plan.path(self.max_radius_mm())));
        let lid = self.lid_profile(FINE_MM);
        let lid_r = lid.iter().map(|p| p.0).fold(0.0, f64::max);
        parts.push((Part::Lid, self.lid_plan.as_ref().unwrap_or(&self.plan).path(lid_r)));
        if let Some(finial) = self.finial.filter(|_| lid_r > 0.0) {
            let half = finite(finial.width_mm) / 2.0;
            parts.push((
                Part::Finial,
                match finial.kind {
                    FinialKind::Bar | FinialKind::Strap | FinialKind::Ring => {
                        let deep = half * if finial.kind == FinialKind::Bar { 0.3 } else { 0.24 };
                        rounded(&[
                            (-half, -deep, deep * 0.6),
                            (half, -deep, deep * 0.6),
                            (half, deep, deep * 0.6),
                            (-half, deep, deep * 0.6),
                        ])
                    }
                    _ => Plan::Round.path(half),
                },
            ));
        }
        parts.extend(bows);
        Silhouette::of(parts)
    }

    /// The mouth as seen from above with the lid off: the inside of the rim. Empty where the wall leaves no mouth.
    pub fn mouth(&self) -> BezPath {
        self.plan.path(self.rim_radius_mm() - self.wall())
    }

    /// The view from underneath: the body at its widest, and what stands on the table (a ring, a disc, three stumps).
    pub fn underneath(&self) -> Silhouette {
        let foot = self.foot_radius_mm();
        let ring = self.wall().min(foot * 0.3);
        let stands = match self.foot {
            FootKind::Flat => self.plan.path(foot),
            FootKind::Ring | FootKind::Pedestal | FootKind::Hollow => {
                let width = if self.foot == FootKind::Hollow { ring * 0.6 } else { ring };
                let mut path = self.plan.path(foot);
                if foot > width {
                    path.extend(self.plan.path(foot - width).reverse_subpaths());
                }
                path
            }
            FootKind::Stumps => {
                let half = (foot * 0.16).clamp(2.0, 9.0).min(foot);
                let mut path = BezPath::new();
                for turn in [0.25, 0.25 + 1.0 / 3.0, 0.25 + 2.0 / 3.0] {
                    let angle = turn * std::f64::consts::TAU;
                    let at = Point::new(angle.cos(), angle.sin() / self.plan.aspect()).to_vec2() * (foot - half);
                    path.extend(kurbo::Circle::new(at.to_point(), half).to_path(0.02));
                }
                path
            }
        };
        Silhouette::of(vec![(Part::Body, self.plan.path(self.max_radius_mm())), (Part::Foot, stands)])
    }
}

/// A handle at the right, from above. How wide a handle is across is not recorded: these widths only make a good drawing.
fn from_above(handle: &Handle, wall: f64, half_short: f64) -> BezPath {
    let reach = finite(handle.reach_mm).max(0.0);
    let thick = finite(handle.thick_mm).clamp(0.5, 60.0);
    if reach < 0.1 {
        return BezPath::new();
    }
    let (from, to) = (wall - wall.min(6.0), wall + reach);
    let most = half_short * 0.85;
    match handle.kind {
        HandleKind::Loop | HandleKind::Ear | HandleKind::Angular | HandleKind::Bail => {
            let half = (thick * 0.85).min(most);
            let nose = if handle.kind == HandleKind::Angular { half * 0.25 } else { half };
            rounded(&[(from, -half, 0.0), (to, -half, nose), (to, half, nose), (from, half, 0.0)])
        }
        HandleKind::Stick => {
            let half = (thick * 0.75).min(most);
            rounded(&[
                (from, -half * 1.7, 0.0),
                (wall + reach * 0.2, -half * 0.85, half),
                (to, -half, half),
                (to, half, half),
                (wall + reach * 0.2, half * 0.85, half),
                (from, half * 1.7, 0.0),
            ])
        }
        HandleKind::Lug => {
            let half = (reach * 1.5).min(most);
            rounded(&[
                (from, -half * 1.15, 0.0),
                (to, -half * 0.85, reach * 0.45),
                (to, half * 0.85, reach * 0.45),
                (from, half * 1.15, 0.0),
            ])
        }
        HandleKind::Pierced => {
            let half = (reach * 1.1).min(most);
            let mut wing = rounded(&[
                (from, -half * 1.2, 0.0),
                (to, -half * 0.8, reach * 0.8),
                (to, half * 0.8, reach * 0.8),
                (from, half * 1.2, 0.0),
            ]);
            wing.extend(hole(Point::new(wall + reach * 0.5, 0.0), reach * 0.2, half * 0.42));
            wing
        }
    }
}

fn bow(handle: &Handle, wall: f64) -> BezPath {
    let half = finite(handle.thick_mm).clamp(0.5, 60.0) * 0.8;
    rounded(&[(-wall, -half, half * 0.8), (wall, -half, half * 0.8), (wall, half, half * 0.8), (-wall, half, half * 0.8)])
}

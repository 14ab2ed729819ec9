//! The card seen again: its edges' leftovers drawn anew, and what was believed beforehand with them.
//!
//! What the covariance of a fit says by slopes, a bootstrap says by doing it over: each edge point is put where the fitted edge is and given the leftover
//! of another one, in runs, because neighbours err alike (Künsch, Annals of Statistics 17, 1989, 1217–1241; from memory of the paper); each thing that was believed is drawn from
//! what was believed of it; and the camera is fitted again.

use super::fit::{Beside, CardFit, Misses, Seen, priors, steps};
use crate::photo::bootstrap::{normal, runs};
use crate::photo::camera::{Believed, Camera, Placed, Robust, least_squares, placed_at};
use kurbo::Vec2;
use nalgebra::DVector;
use rand_chacha::ChaCha8Rng;

/// Leftovers are drawn in so many runs along an edge.
const RUNS: usize = 13;
/// What weighs less than this in the fit is no leftover of an edge.
const LEAST_WEIGHT: f64 = 0.3;

/// What a camera was fitted to.
#[derive(Debug, Clone)]
pub(super) struct Kept {
    pub(super) start: Placed,
    pub(super) at: DVector<f64>,
    pub(super) seen: Vec<Seen>,
    /// Of each point, in pixels times its trust.
    pub(super) residuals: Vec<f64>,
    pub(super) weights: Vec<f64>,
    pub(super) scale_px: f64,
    pub(super) believed: Believed,
    /// How far each edge is seen beside its place, in pixels.
    pub(super) sides: [Beside; 4],
}

impl CardFit {
    /// The camera by the same card seen again. None where no camera fits what was drawn.
    pub(crate) fn seen_again(&self, dice: &mut ChaCha8Rng) -> Option<Camera> {
        let kept = &self.kept;
        let placed = placed_at(&kept.start, &kept.at);
        let per_mm = kept.start.px_per_mm(kurbo::Point::ZERO);
        let mut again = kept.seen.clone();
        for (side, outward) in [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)].into_iter().map(Vec2::from).enumerate() {
            // The points of this edge that lie on it, with their leftovers in pixels.
            let own: Vec<(usize, f64)> = kept
                .seen
                .iter()
                .enumerate()
                .filter(|(i, s)| s.side == side && s.trust > 0.05 && kept.weights.get(*i).is_some_and(|w| *w > LEAST_WEIGHT))
                .map(|(i, s)| (i, kept.residuals.get(i).copied().unwrap_or(0.0) / s.trust))
                .collect();
            let left: Vec<f64> = own.iter().map(|(_, left)| *left).collect();
            for ((i, before), now) in own.iter().zip(runs(&left, (left.len() / RUNS).max(1), dice)) {
                let Some(point) = again.get_mut(*i) else { continue };
                let mm = placed.on_plane(point.px, 0.0)? + outward * ((now - before) / per_mm);
                point.px = placed.project_plane(mm)?;
            }
        }
        let drawn: Vec<f64> = priors(&kept.start, &kept.at, &kept.believed, &kept.sides).iter().map(|_| normal(dice)).collect();
        let roots: Vec<f64> = kept.weights.iter().map(|w| w.sqrt() / kept.scale_px.max(1e-6)).collect();
        let misses = Misses::new(&kept.start, &again);
        let fit = least_squares(kept.at.clone(), &steps(), Robust::No, |p| {
            let mut rows = misses.px(p);
            for (row, root) in rows.iter_mut().zip(&roots) {
                *row *= root;
            }
            rows.extend(priors(&kept.start, p, &kept.believed, &kept.sides).iter().zip(&drawn).map(|(off, drawn)| off - drawn));
            DVector::from_vec(rows)
        })?;
        Some(Camera::new(kept.start, fit.at, fit.covariance))
    }
}

//! Least squares that are not linear, with weights that outliers lose.

use super::robust::{TUKEY, biweight, robust_sd};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::storage::Owned;
use nalgebra::{DMatrix, DVector, Dyn};

/// How much a far residual counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Robust {
    /// All alike.
    No,
    /// Tukey's biweight on the first `n` residuals, over 4.685 robust standard deviations (Beaton & Tukey, Technometrics 16, 1974, 147–185; the
    /// constant from memory); the rest are priors and keep their weight. The scale never falls below `least`.
    Tukey {
        /// How many residuals are measured ones.
        n: usize,
        /// Smallest scale of them, in the unit of the residuals.
        least: f64,
    },
}

/// What came out.
#[derive(Debug, Clone)]
pub struct Fit {
    /// The parameters.
    pub at: DVector<f64>,
    /// Their covariance, as if residuals had a standard deviation of 1 (priors already have) times `scale`² for the measured ones.
    pub covariance: DMatrix<f64>,
    /// The residuals there, without weights.
    pub residuals: DVector<f64>,
    /// Weights of the residuals, 0 to 1.
    pub weights: DVector<f64>,
    /// Robust standard deviation of the measured residuals: 1.4826 times their median size (normal consistency).
    pub scale: f64,
}

/// A problem for the solver: residuals of the parameters, each times the root of its weight.
struct Weighted<'a, R> {
    at: DVector<f64>,
    step: &'a DVector<f64>,
    roots: DVector<f64>,
    residuals: &'a R,
}

impl<R: Fn(&DVector<f64>) -> DVector<f64>> Weighted<'_, R> {
    fn jacobian_at(&self, at: &DVector<f64>) -> DMatrix<f64> {
        let mut columns = Vec::with_capacity(at.len());
        for (j, h) in self.step.iter().enumerate() {
            let moved = |by: f64| {
                let mut there = at.clone();
                if let Some(x) = there.get_mut(j) {
                    *x += by;
                }
                (self.residuals)(&there)
            };
            columns.push((moved(*h) - moved(-*h)) / (2.0 * h));
        }
        DMatrix::from_columns(&columns)
    }
}

impl<R: Fn(&DVector<f64>) -> DVector<f64>> LeastSquaresProblem<f64, Dyn, Dyn> for Weighted<'_, R> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, x: &DVector<f64>) {
        self.at.copy_from(x);
    }

    fn params(&self) -> DVector<f64> {
        self.at.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        Some((self.residuals)(&self.at).component_mul(&self.roots)).filter(|r| r.iter().all(|n| n.is_finite()))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let mut jacobian = self.jacobian_at(&self.at);
        for (mut row, root) in jacobian.row_iter_mut().zip(self.roots.iter()) {
            row *= *root;
        }
        Some(jacobian).filter(|j| j.iter().all(|n| n.is_finite()))
    }
}

/// The parameters that make the squares of the residuals least, from a start; `step` is the width of the central differences for each. Residuals of
/// priors must be divided by their standard deviations; measured ones may be in any unit where `robust` gives their count.
///
/// None where the residuals are not finite, there are fewer than parameters, or nothing holds a parameter.
pub fn least_squares<R>(start: DVector<f64>, step: &DVector<f64>, robust: Robust, residuals: R) -> Option<Fit>
where
    R: Fn(&DVector<f64>) -> DVector<f64>,
{
    let first = residuals(&start);
    if first.len() < start.len() || start.is_empty() || step.len() != start.len() || first.iter().any(|n| !n.is_finite()) {
        return None;
    }
    let (measured, least) = match robust {
        Robust::No => (0, 0.0),
        Robust::Tukey { n, least } => (n.min(first.len()), least.max(1e-12)),
    };
    let mut scale = if measured == 0 { 1.0 } else { robust_sd(first.iter().take(measured).copied()).max(least) };
    let mut at = start;
    let mut weights = DVector::from_element(first.len(), 1.0);
    let rounds = if measured == 0 { 1 } else { 5 };
    for round in 0..rounds {
        let now = residuals(&at);
        if measured > 0 {
            // The first rounds look on everything; only then are the far ones let go.
            scale = robust_sd(now.iter().take(measured).copied()).max(least);
            let reach = TUKEY * scale * if round == 0 { 3.0 } else { 1.0 };
            for (w, r) in weights.iter_mut().zip(now.iter()).take(measured) {
                *w = biweight(r / reach);
            }
        }
        let roots = roots(&weights, measured, scale);
        let problem = Weighted { at: at.clone(), step, roots, residuals: &residuals };
        let (solved, report) =
            LevenbergMarquardt::new().with_tol(if measured == 0 { 1e-10 } else { 1e-5 }).with_patience(4).minimize(problem);
        if !report.objective_function.is_finite() {
            return None;
        }
        let moved = solved.at.iter().zip(at.iter()).zip(step.iter()).map(|((a, b), h)| ((a - b) / h).abs()).fold(0.0, f64::max);
        at.copy_from(&solved.at);
        if moved < 1e-2 && round >= 2 {
            break;
        }
    }
    let last = residuals(&at);
    if measured > 0 {
        scale = robust_sd(last.iter().take(measured).copied()).max(least);
    }
    let roots = roots(&weights, measured, scale);
    let problem = Weighted { at: at.clone(), step, roots, residuals: &residuals };
    let jacobian = problem.jacobian()?;
    let covariance = (jacobian.transpose() * &jacobian).try_inverse()?;
    Some(Fit { at, covariance, residuals: last, weights, scale })
}

/// The roots of the weights; measured residuals are divided by their scale as well.
fn roots(weights: &DVector<f64>, measured: usize, scale: f64) -> DVector<f64> {
    DVector::from_fn(weights.len(), |i, _| {
        let w = weights.get(i).copied().unwrap_or(0.0).sqrt();
        if i < measured { w / scale } else { w }
    })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
    use super::*;

    #[test]
    fn a_line_is_found_among_outliers_and_its_covariance_is_the_textbooks() {
        let xs: Vec<f64> = (0..40).map(f64::from).collect();
        // A line with a small, even wobble, and every eighth point far off.
        let ys: Vec<f64> = xs
            .iter()
            .map(|x| 2.0 + 0.5 * x + if *x as i32 % 2 == 0 { 0.1 } else { -0.1 } + if *x as i32 % 8 == 3 { 9.0 } else { 0.0 })
            .collect();
        let fit = least_squares(
            DVector::from_vec(vec![0.0, 0.0]),
            &DVector::from_vec(vec![1e-4, 1e-4]),
            Robust::Tukey { n: 40, least: 1e-6 },
            |p| DVector::from_iterator(40, xs.iter().zip(&ys).map(|(x, y)| p[0] + p[1] * x - y)),
        )
        .unwrap();
        assert!((fit.at[0] - 2.0).abs() < 0.1 && (fit.at[1] - 0.5).abs() < 0.004, "{}", fit.at);
        // The formula for a straight line: var(slope) = s² / Σ w (x − mean)².
        let w: Vec<f64> = fit.weights.iter().copied().collect();
        let sum: f64 = w.iter().sum();
        let mean = w.iter().zip(&xs).map(|(w, x)| w * x).sum::<f64>() / sum;
        let want = fit.scale.powi(2) / w.iter().zip(&xs).map(|(w, x)| w * (x - mean).powi(2)).sum::<f64>();
        assert!((fit.covariance[(1, 1)] / want - 1.0).abs() < 1e-6);
    }

    #[test]
    fn nothing_to_hold_a_parameter_is_no_fit() {
        let none = least_squares(DVector::from_vec(vec![1.0, 1.0]), &DVector::from_vec(vec![1e-4, 1e-4]), Robust::No, |p| {
            DVector::from_vec(vec![p[0], 2.0 * p[0]])
        });
        assert!(none.is_none());
        assert!(
            least_squares(DVector::from_vec(vec![1.0]), &DVector::from_vec(vec![1e-4]), Robust::No, |_| DVector::from_vec(vec![f64::NAN]))
                .is_none()
        );
    }
}

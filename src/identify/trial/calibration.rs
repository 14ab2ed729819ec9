//! How far probabilities can be believed.

/// Where the bins of the reliability table begin and end. Finer at the top, where names are settled.
const EDGES: [f64; 13] = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0];

/// How far the probabilities of the pieces can be believed. Pieces are weighed by how common their forms are.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Calibration {
    /// Mean of Σ (p − y)² over all forms and 'not in this key', y being 1 for the right one and 0 for the others: 0 is best, 2 is worst
    /// (Brier, Mon. Weather Rev. 78, 1950, 1–3).
    pub brier: f64,
    /// The same with nothing looked at, for comparison.
    pub brier_blank: f64,
    /// Mean of −log₂ of the right form's probability, in bits: 0 is best.
    pub log_loss_bits: f64,
    /// The same with nothing looked at.
    pub log_loss_blank_bits: f64,
    /// Pieces by the probability of the most probable form, lowest first.
    pub bins: Vec<Bin>,
    /// Mean of |share right − mean probability| over the bins, by the pieces in each.
    pub expected_error: f64,
}

/// Pieces whose most probable form had about the same probability.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bin {
    /// The least probability of the bin.
    pub from: f64,
    /// The probability it goes up to; it belongs to the next bin, but for 1.
    pub to: f64,
    /// Number of pieces.
    pub pieces: usize,
    /// Their share of all pieces, weighed.
    pub weight: f64,
    /// Mean probability of the most probable form.
    pub said: f64,
    /// Share of pieces whose most probable form was the right one.
    pub right: f64,
}

/// One forecast for the reliability table.
pub(super) struct Forecast {
    /// Probability of the most probable form.
    pub(super) said: f64,
    pub(super) is_right: bool,
    /// Weight, above 0.
    pub(super) weight: f64,
}

/// The Brier score of one forecast, from the sum of the squares of all its probabilities and that of what came true:
/// Σ (p − y)² = Σ p² − 2 p + 1.
pub(super) fn brier(squares: f64, right: f64) -> f64 {
    (squares - 2.0 * right + 1.0).max(0.0)
}

/// −log₂ p, at most 1000 bits.
pub(super) fn loss_bits(right: f64) -> f64 {
    if right > 0.0 { (-right.log2()).clamp(0.0, 1000.0) } else { 1000.0 }
}

/// The reliability table of forecasts, and its expected calibration error.
pub(super) fn reliability(forecasts: impl Iterator<Item = Forecast>) -> (Vec<Bin>, f64) {
    let mut bins: Vec<Bin> = EDGES.iter().zip(EDGES.iter().skip(1)).map(|(&from, &to)| Bin { from, to, ..Bin::default() }).collect();
    let mut all = 0.0;
    for forecast in forecasts {
        let place = EDGES.partition_point(|edge| *edge <= forecast.said).saturating_sub(1).min(bins.len() - 1);
        if let Some(bin) = bins.get_mut(place) {
            bin.pieces += 1;
            bin.weight += forecast.weight;
            bin.said += forecast.weight * forecast.said;
            bin.right += if forecast.is_right { forecast.weight } else { 0.0 };
            all += forecast.weight;
        }
    }
    let mut error = 0.0;
    for bin in &mut bins {
        if bin.weight > 0.0 {
            bin.said /= bin.weight;
            bin.right /= bin.weight;
            bin.weight /= all;
            error += bin.weight * (bin.said - bin.right).abs();
        }
    }
    (bins, error)
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;

    #[test]
    fn the_score_of_the_first_paper_comes_out() {
        // Brier, Verification of forecasts expressed in terms of probability, Mon. Weather Rev. 78, 1950, 1–3, table 1: ten forecasts of
        // rain or no rain, which score 0.19 (from memory).
        let rain = [
            (0.7, false),
            (0.9, true),
            (0.8, true),
            (0.4, true),
            (0.2, false),
            (0.0, false),
            (0.0, false),
            (0.0, false),
            (0.0, false),
            (0.1, false),
        ];
        let score = |&(p, rained): &(f64, bool)| {
            let squares = p * p + (1.0 - p) * (1.0 - p);
            brier(squares, if rained { p } else { 1.0 - p })
        };
        let mean = rain.iter().map(score).sum::<f64>() / 10.0;
        assert!((mean - 0.19).abs() < 1e-12, "{mean}");
    }

    #[test]
    fn the_best_forecast_scores_0_and_the_worst_2() {
        assert!(brier(1.0, 1.0).abs() < 1e-12);
        assert!((brier(1.0, 0.0) - 2.0).abs() < 1e-12);
        // Three as likely: 2/3.
        assert!((brier(1.0 / 3.0, 1.0 / 3.0) - 2.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn losses_are_in_bits_and_finite() {
        assert!((loss_bits(0.25) - 2.0).abs() < 1e-12 && loss_bits(1.0).abs() < 1e-12);
        assert!((loss_bits(0.0) - 1000.0).abs() < 1e-12 && (loss_bits(f64::NAN) - 1000.0).abs() < 1e-12);
    }

    #[test]
    fn bins_count_what_was_said_and_what_was_right() {
        let say = |said, is_right, weight| Forecast { said, is_right, weight };
        let (bins, error) = reliability(
            [say(0.85, true, 1.0), say(0.85, false, 1.0), say(1.0, true, 2.0), say(0.0, false, 0.5), say(0.9, true, 0.5)].into_iter(),
        );
        assert_eq!(bins.len(), 12);
        assert_eq!(bins.iter().map(|bin| bin.pieces).collect::<Vec<_>>(), [1, 0, 0, 0, 0, 0, 0, 0, 2, 1, 0, 1]);
        assert!((bins[8].said - 0.85).abs() < 1e-12 && (bins[8].right - 0.5).abs() < 1e-12 && (bins[8].weight - 0.4).abs() < 1e-12);
        // 2/5 · 0.35 for the two at 0.85, 0.5/5 · 0.1 for the one at 0.9.
        assert!((error - (0.4 * 0.35 + 0.1 * 0.1)).abs() < 1e-12, "{error}");
    }

    #[test]
    fn nothing_said_has_no_error() {
        let (bins, error) = reliability(std::iter::empty());
        assert!(bins.iter().all(|bin| bin.pieces == 0) && error.abs() < 1e-12);
    }
}

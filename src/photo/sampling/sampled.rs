//! The colour of an area, highlights and shadows left out.

use super::area::{Area, SamplingError, quantile};
use super::light::White;
use crate::colour::{Lab, Xyz, delta_e00};
use crate::say;
use image::RgbImage;

/// Least uncertainty of a colour from a photograph, ΔE00, one standard deviation along each axis, whatever the white says: under a lamp that a camera has
/// corrected wholly, a white looks neutral and colours are still off. Read off `tests/reference/lamps.py`, a simple model and not a measurement: ΔE00 of
/// 3.0 (root mean square, 95 of 100 within 5.8) where the camera has a matrix for the lamp; where it has one for daylight only, 6.7, which this does not
/// cover; in daylight 0.9 to 1.6.
pub const FLOOR_SD: f64 = 2.0;
/// Fewest pixels of a glaze.
const LEAST: usize = 64;
/// Glare may take so much of it.
const MOST_CLIPPED: f64 = 0.6;
/// A second peak of lightness so far from the first, L*, and so large a share of the area, is a speckle.
const SPECKLE_APART: usize = 8;
const SPECKLE_SHARE: f64 = 0.05;
/// No glaze is as light as this, L*. A choice of this program, no source.
const LIGHTEST: f64 = 97.0;

/// A colour read from a photograph.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampled {
    /// The colour, white D65.
    pub lab: Lab,
    /// Covariance of L*, a*, b* over what was kept.
    pub covariance: [[f64; 3]; 3],
    /// ΔE00 from the colour within which 95 of 100 kept cells lie.
    pub within_95: f64,
    /// Uncertainty of the colour, ΔE00, one standard deviation along each axis: what was kept, the white, and [`FLOOR_SD`] together.
    pub sd_delta_e: f64,
    /// Share of the area left out as highlight, shadow or speckle, 0 to 1.
    pub left_out: f64,
    /// It has specks of another lightness.
    pub speckled: bool,
    /// What a person should know, each a sentence.
    pub notes: Vec<String>,
}

/// The colour of an area under a light.
///
/// Kept is what lies about the commonest lightness (the peak of the area's histogram): within 2.5 robust standard deviations of it on either side, at
/// least ± 3 L*. A highlight is lighter and a shadow darker than that; neither pulls the mean. The figures are choices of this program, no source.
///
/// # Errors
/// [`SamplingError`]: outside, too small, overexposed or too dark.
pub fn sample(picture: &RgbImage, area: &Area, white: &White) -> Result<Sampled, SamplingError> {
    let cells = area.cells(picture, say!(in "an area", "glaze"), LEAST, MOST_CLIPPED)?;
    let labs: Vec<Lab> = cells.linear.iter().map(|c| white.to_d65.apply(Xyz::from_linear(*c)).into()).collect();
    let histogram = smooth(&labs);
    // Ties go to the darker: a highlight is never it.
    let peak = (0..histogram.len()).rev().max_by(|&a, &b| at(&histogram, a).total_cmp(&at(&histogram, b))).unwrap_or_default();
    let mode = peak as f64 + 0.5;
    let mut off: Vec<f64> = labs.iter().map(|lab| (lab.l - mode).abs()).collect();
    off.sort_by(f64::total_cmp);
    // 1.4826: median absolute deviation to standard deviation of a normal.
    let reach = (2.5 * 1.4826 * quantile(&off, 0.5)).clamp(3.0, 12.0);
    let kept: Vec<Lab> = labs.iter().copied().filter(|lab| (lab.l - mode).abs() <= reach).collect();
    let count = kept.len().max(1) as f64;
    let mean = |of: fn(&Lab) -> f64| kept.iter().map(of).sum::<f64>() / count;
    let lab = Lab::new(mean(|c| c.l), mean(|c| c.a), mean(|c| c.b));
    let rows: Vec<[f64; 3]> = kept.iter().map(|c| [c.l - lab.l, c.a - lab.a, c.b - lab.b]).collect();
    let axes = [0, 1, 2];
    let covariance = axes.map(|i| axes.map(|j| rows.iter().filter_map(|r| Some(r.get(i)? * r.get(j)?)).sum::<f64>() / count));
    let mut apart: Vec<f64> = kept.iter().map(|c| delta_e00(*c, lab)).collect();
    let own = (apart.iter().map(|d| d * d).sum::<f64>() / count / 3.0).sqrt();
    apart.sort_by(f64::total_cmp);
    let all = labs.len() + cells.unusable;
    let left_out = 1.0 - kept.len() as f64 / all.max(1) as f64;
    let speckled = second_peak(&histogram, peak, labs.len());
    let mut notes: Vec<String> = white.note().map(str::to_owned).into_iter().collect();
    if speckled {
        notes.push(
            say!("the area is of two lightnesses: if the glaze is speckled, this is its ground; if not, take a smaller area").to_owned(),
        );
    }
    if left_out > 0.4 {
        notes.push(say!("{percent:.0} % of the area was left out as highlight or shadow", percent = 100.0 * left_out));
    }
    if lab.l > LIGHTEST {
        notes.push(say!("the area is lighter than the white: glare is on it, or the white lies in shadow").to_owned());
    } else if !lab.is_in_srgb() {
        notes.push(say!("the colour is stronger than a photograph can hold, so it may be paler here than it is").to_owned());
    }
    let sd_delta_e = own.hypot(white.sd_delta_e).hypot(FLOOR_SD);
    Ok(Sampled { lab, covariance, within_95: quantile(&apart, 0.95), sd_delta_e, left_out, speckled, notes })
}

fn at(histogram: &[f64], n: usize) -> f64 {
    histogram.get(n).copied().unwrap_or_default()
}

/// Cells by whole L*, each bin the mean of five.
fn smooth(labs: &[Lab]) -> Vec<f64> {
    let mut bins = vec![0.0; 121];
    for lab in labs {
        if let Some(bin) = bins.get_mut(lab.l.clamp(0.0, 120.0) as usize) {
            *bin += 1.0;
        }
    }
    (0..bins.len()).map(|n| (n.saturating_sub(2)..n + 3).map(|m| at(&bins, m)).sum::<f64>() / 5.0).collect()
}

/// True where a darker or lighter peak stands apart from the first, with a valley of less than half its height between them. Lighter ones only where
/// they are large: glare is common.
fn second_peak(histogram: &[f64], peak: usize, cells: usize) -> bool {
    (0..histogram.len()).filter(|n| n.abs_diff(peak) >= SPECKLE_APART).any(|n| {
        let height = at(histogram, n);
        let valley = (n.min(peak)..=n.max(peak)).map(|m| at(histogram, m)).fold(f64::INFINITY, f64::min);
        // Five bins of the smoothed histogram hold about what the peak does.
        let share = (n.saturating_sub(2)..n + 3).map(|m| at(histogram, m)).sum::<f64>() / cells.max(1) as f64;
        valley < 0.5 * height && share > if n < peak { SPECKLE_SHARE } else { 4.0 * SPECKLE_SHARE }
    })
}

//! The distance between two colours as people see it: CIEDE2000.

use super::Lab;

/// 25⁷, the constant of the chroma terms.
const POW25_7: f64 = 6_103_515_625.0;

/// ΔE00 of two colours: CIEDE2000 (CIE 142-2001) with kL = kC = kH = 1, after Sharma, Wu & Dalal, Color Research & Application 30(1),
/// 2005, 21–30, equations 2 to 22. Symmetric, 0 for equal colours, about 1 where a trained eye sees a difference side by side.
///
/// Both arguments must be finite; otherwise the result is NaN.
pub fn delta_e00(one: Lab, two: Lab) -> f64 {
    let (c1, c2) = (one.a.hypot(one.b), two.a.hypot(two.b));
    let g = 0.5 * (1.0 - chroma_weight(f64::midpoint(c1, c2)));
    let (a1, a2) = ((1.0 + g) * one.a, (1.0 + g) * two.a);
    let (c1, c2) = (a1.hypot(one.b), a2.hypot(two.b));
    let (h1, h2) = (hue_deg(a1, one.b), hue_deg(a2, two.b));
    // A hue difference of a grey is none; and with a grey the mean hue is the other's.
    let grey = c1 * c2 == 0.0;

    let d_l = two.l - one.l;
    let d_c = c2 - c1;
    let turn = h2 - h1;
    let d_hue = if grey {
        0.0
    } else if turn > 180.0 {
        turn - 360.0
    } else if turn < -180.0 {
        turn + 360.0
    } else {
        turn
    };
    let d_h = 2.0 * (c1 * c2).sqrt() * (d_hue / 2.0).to_radians().sin();

    let mean_l = f64::midpoint(one.l, two.l);
    let mean_c = f64::midpoint(c1, c2);
    let mean_h = if grey {
        h1 + h2
    } else if turn.abs() <= 180.0 {
        f64::midpoint(h1, h2)
    } else if h1 + h2 < 360.0 {
        f64::midpoint(h1, h2) + 180.0
    } else {
        f64::midpoint(h1, h2) - 180.0
    };

    let t = 1.0 - 0.17 * (mean_h - 30.0).to_radians().cos()
        + 0.24 * (2.0 * mean_h).to_radians().cos()
        + 0.32 * (3.0 * mean_h + 6.0).to_radians().cos()
        - 0.20 * (4.0 * mean_h - 63.0).to_radians().cos();
    let l50 = (mean_l - 50.0).powi(2);
    let s_l = 1.0 + 0.015 * l50 / (20.0 + l50).sqrt();
    let s_c = 1.0 + 0.045 * mean_c;
    let s_h = 1.0 + 0.015 * mean_c * t;
    let d_theta = 30.0 * (-((mean_h - 275.0) / 25.0).powi(2)).exp();
    let r_t = -2.0 * chroma_weight(mean_c) * (2.0 * d_theta).to_radians().sin();

    let (l, c, h) = (d_l / s_l, d_c / s_c, d_h / s_h);
    (l * l + c * c + h * h + r_t * c * h).max(0.0).sqrt()
}

/// √(C⁷ / (C⁷ + 25⁷)), without overflow.
fn chroma_weight(c: f64) -> f64 {
    let c7 = c.powi(7);
    if c7.is_finite() { (c7 / (c7 + POW25_7)).sqrt() } else { 1.0 }
}

/// Hue angle, 0 to 360 degrees; 0 for a grey.
fn hue_deg(a: f64, b: f64) -> f64 {
    if a == 0.0 && b == 0.0 { 0.0 } else { b.atan2(a).to_degrees().rem_euclid(360.0) }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    /// Sharma, Wu & Dalal, Color Research & Application 30(1), 2005, 21–30, Table 1: L1 a1 b1 · L2 a2 b2 · ΔE00.
    const TABLE_1: &str = "
        50.0000   2.6772 -79.7751  50.0000   0.0000 -82.7485   2.0425
        50.0000   3.1571 -77.2803  50.0000   0.0000 -82.7485   2.8615
        50.0000   2.8361 -74.0200  50.0000   0.0000 -82.7485   3.4412
        50.0000  -1.3802 -84.2814  50.0000   0.0000 -82.7485   1.0000
        50.0000  -1.1848 -84.8006  50.0000   0.0000 -82.7485   1.0000
        50.0000  -0.9009 -85.5211  50.0000   0.0000 -82.7485   1.0000
        50.0000   0.0000   0.0000  50.0000  -1.0000   2.0000   2.3669
        50.0000  -1.0000   2.0000  50.0000   0.0000   0.0000   2.3669
        50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0009   7.1792
        50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0010   7.1792
        50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0011   7.2195
        50.0000   2.4900  -0.0010  50.0000  -2.4900   0.0012   7.2195
        50.0000  -0.0010   2.4900  50.0000   0.0009  -2.4900   4.8045
        50.0000  -0.0010   2.4900  50.0000   0.0010  -2.4900   4.8045
        50.0000  -0.0010   2.4900  50.0000   0.0011  -2.4900   4.7461
        50.0000   2.5000   0.0000  50.0000   0.0000  -2.5000   4.3065
        50.0000   2.5000   0.0000  73.0000  25.0000 -18.0000  27.1492
        50.0000   2.5000   0.0000  61.0000  -5.0000  29.0000  22.8977
        50.0000   2.5000   0.0000  56.0000 -27.0000  -3.0000  31.9030
        50.0000   2.5000   0.0000  58.0000  24.0000  15.0000  19.4535
        50.0000   2.5000   0.0000  50.0000   3.1736   0.5854   1.0000
        50.0000   2.5000   0.0000  50.0000   3.2972   0.0000   1.0000
        50.0000   2.5000   0.0000  50.0000   1.8634   0.5757   1.0000
        50.0000   2.5000   0.0000  50.0000   3.2592   0.3350   1.0000
        60.2574 -34.0099  36.2677  60.4626 -34.1751  39.4387   1.2644
        63.0109 -31.0961  -5.8663  62.8187 -29.7946  -4.0864   1.2630
        61.2901   3.7196  -5.3901  61.4292   2.2480  -4.9620   1.8731
        35.0831 -44.1164   3.7933  35.0232 -40.0716   1.5901   1.8645
        22.7233  20.0904 -46.6940  23.0331  14.9730 -42.5619   2.0373
        36.4612  47.8580  18.3852  36.2715  50.5065  21.2231   1.4146
        90.8027  -2.0831   1.4410  91.1528  -1.6435   0.0447   1.4441
        90.9257  -0.5406  -0.9208  88.6381  -0.8985  -0.7239   1.5381
         6.7747  -0.2908  -2.4247   5.8714  -0.0985  -2.2286   0.6377
         2.0776   0.0795  -1.1350   0.9033  -0.0636  -0.5514   0.9082";

    #[test]
    fn all_34_published_pairs_both_ways() {
        let mut pairs = 0;
        for row in TABLE_1.lines().filter(|row| !row.trim().is_empty()) {
            let n: Vec<f64> = row.split_whitespace().map(|n| n.parse().unwrap()).collect();
            let [l1, a1, b1, l2, a2, b2, want] = n.try_into().unwrap();
            let (one, two) = (Lab::new(l1, a1, b1), Lab::new(l2, a2, b2));
            for (got, way) in [(delta_e00(one, two), "there"), (delta_e00(two, one), "back")] {
                assert!((got - want).abs() < 1e-4, "{row}: {got} {way}");
            }
            pairs += 1;
        }
        assert_eq!(pairs, 34);
    }

    #[test]
    fn equal_colours_are_at_no_distance_and_huge_ones_at_a_finite_one() {
        let tan = Lab::new(70.0, 8.0, 22.0);
        assert!(delta_e00(tan, tan).abs() < 1e-12);
        assert!(delta_e00(tan, Lab::new(0.0, 1e60, -1e60)).is_finite());
    }
}

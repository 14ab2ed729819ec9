//! A share with what is not known of it.

/// A share from counts: the middle of what it may be, and the interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The mean of the posterior.
    pub middle: f64,
    /// With a probability of 2.5 in 100 it is lower.
    pub low: f64,
    /// With a probability of 2.5 in 100 it is higher.
    pub high: f64,
}

/// The share of which `of` in `all` were seen, by the beta distribution with Jeffreys' prior Beta(½, ½): 95 in 100, equal tails; from 0 where none was seen
/// and up to 1 where all were (Brown, Cai and others, Statistical Science 16, 2001, 101–133, section 3.1.3). `of` beyond `all` counts as all.
#[expect(clippy::cast_precision_loss, reason = "counts of finds")]
pub fn share(of: u64, all: u64) -> Interval {
    let of = of.min(all);
    let (a, b) = (of as f64 + 0.5, (all - of) as f64 + 0.5);
    let low = if of == 0 { 0.0 } else { quantile(a, b, 0.025) };
    let high = if of == all { 1.0 } else { quantile(a, b, 0.975) };
    Interval { middle: a / (a + b), low, high }
}

/// The x below which the beta distribution has that probability, by halving.
fn quantile(a: f64, b: f64, p: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if below(a, b, middle) < p { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// The regularised incomplete beta function, by its continued fraction (Abramowitz & Stegun 26.5.8, evaluated by Lentz's rule).
fn below(a: f64, b: f64, x: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return if x <= 0.0 { 0.0 } else { 1.0 };
    }
    let front = (libm::lgamma(a + b) - libm::lgamma(a) - libm::lgamma(b) + a * x.ln() + b * (1.0 - x).ln()).exp();
    // The fraction converges quickly on one side only; the other is its mirror.
    if x < (a + 1.0) / (a + b + 2.0) { front * fraction(a, b, x) / a } else { 1.0 - front * fraction(b, a, 1.0 - x) / b }
}

fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let keep = |v: f64| if v.abs() < TINY { TINY } else { v };
    let (mut c, mut d) = (1.0, 1.0 / keep(1.0 - (a + b) * x / (a + 1.0)));
    let mut value = d;
    for m in 1..10_000 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / keep(1.0 + even * d);
        c = keep(1.0 + even / c);
        value *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / keep(1.0 + odd * d);
        c = keep(1.0 + odd / c);
        let step = d * c;
        value *= step;
        if (step - 1.0).abs() < 1e-15 {
            break;
        }
    }
    value
}

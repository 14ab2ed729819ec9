//! The figures of the arithmetic that are choices of this program, in one place.

/// How the index weighs and when it calls a verdict.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Probability before anything is seen that the piece is of no form of the key, 0 to below 1.
    pub not_in_key: f64,
    /// The least probability of a leader whose name is settled.
    pub settled: f64,
    /// How many times as probable as the second (a form, or 'not in this key') a settled leader must be.
    pub margin: f64,
    /// The least probability of a leader that may be said with 'probably'.
    pub leaning: f64,
    /// A form this many times less probable than the leader is no close rival: no tell against it is asked for, and it is not listed as
    /// not ruled out.
    pub rival: f64,
    /// An answer is a tell against a rival where it is at least this many times as likely on the leader.
    pub tell: f64,
}

impl Default for Settings {
    /// All six figures are choices of this program, no source; `tests/identify_strangers.rs` shows what they do on the demo key.
    fn default() -> Self {
        Self { not_in_key: 0.02, settled: 0.9, margin: 5.0, leaning: 0.5, rival: 100.0, tell: 3.0 }
    }
}

impl Settings {
    /// The same, with the prior of 'not in this key' held to 0 ..= 0.999 (0 where it is no number).
    pub(super) fn sane(mut self) -> Self {
        self.not_in_key = if self.not_in_key.is_finite() { self.not_in_key.clamp(0.0, 0.999) } else { 0.0 };
        self
    }
}

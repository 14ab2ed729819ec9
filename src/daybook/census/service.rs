//! Sets and wants: what a service should have, what is missing and what is doubled.

use super::tally::Tally;
use crate::key::{FormId, GlazeId};
use serde::{Deserialize, Serialize};

/// A place setting or a service: forms in glazes, so many of each.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Service {
    /// What it is called.
    pub name: String,
    /// What belongs to it.
    pub wants: Vec<Want>,
}

/// So many of one form, in one glaze or in any.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Want {
    /// The form.
    pub form: FormId,
    /// The glaze; none where any will do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub glaze: Option<GlazeId>,
    /// How many.
    pub count: u64,
}

/// What there is of a want.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    /// The want.
    pub want: Want,
    /// How many of the finds are put to it.
    pub have: u64,
    /// How many are missing.
    pub missing: u64,
    /// How many finds of that form and glaze are over, once the whole service is served. Given at the last want that they could serve.
    pub spare: u64,
}

impl Service {
    /// The service times a number of places.
    #[must_use]
    pub fn times(&self, places: u64) -> Self {
        let wants = self.wants.iter().map(|want| Want { count: want.count.saturating_mul(places), ..want.clone() });
        Self { name: self.name.clone(), wants: wants.collect() }
    }

    /// What there is of it: wants of one glaze are served before those of any glaze, and each find serves once. In the order of the wants.
    pub fn held(&self, tallies: &[Tally]) -> Vec<Wanted> {
        let mut left: Vec<u64> = tallies.iter().map(|tally| tally.settled).collect();
        let serves = |want: &Want, tally: &Tally| want.form == tally.form && (want.glaze.is_none() || want.glaze == tally.glaze);
        let mut order: Vec<usize> = (0..self.wants.len()).collect();
        order.sort_by_key(|at| self.wants.get(*at).is_some_and(|want| want.glaze.is_none()));
        let mut have = vec![0; self.wants.len()];
        for &at in &order {
            let (Some(want), Some(have)) = (self.wants.get(at), have.get_mut(at)) else { continue };
            for (_, left) in tallies.iter().zip(&mut left).filter(|(tally, _)| serves(want, tally)) {
                let take = (want.count - *have).min(*left);
                *have += take;
                *left -= take;
            }
        }
        let mut spare = vec![0; self.wants.len()];
        for &at in order.iter().rev() {
            let (Some(want), Some(spare)) = (self.wants.get(at), spare.get_mut(at)) else { continue };
            for (_, left) in tallies.iter().zip(&mut left).filter(|(tally, _)| serves(want, tally)) {
                *spare += std::mem::take(left);
            }
        }
        let all = self.wants.iter().zip(have).zip(spare);
        all.map(|((want, have), spare)| Wanted { want: want.clone(), have, missing: want.count - have, spare }).collect()
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use jiff::Timestamp;

    fn tally(form: &str, glaze: Option<&str>, settled: u64) -> Tally {
        let at = Timestamp::UNIX_EPOCH;
        Tally { form: form.into(), glaze: glaze.map(Into::into), decoration: None, finds: settled, settled, first: at, last: at }
    }

    fn want(form: &str, glaze: Option<&str>, count: u64) -> Want {
        Want { form: form.into(), glaze: glaze.map(Into::into), count }
    }

    #[test]
    fn what_is_missing_and_what_is_doubled() {
        let setting = Service {
            name: "setting".into(),
            wants: vec![want("cup", None, 1), want("cup", Some("moss"), 1), want("plate", Some("flint"), 2)],
        };
        let tallies =
            [tally("cup", Some("moss"), 3), tally("cup", Some("slate"), 1), tally("plate", Some("slate"), 9), tally("jug", None, 1)];
        let held = setting.times(2).held(&tallies);
        let counts: Vec<(u64, u64, u64)> = held.iter().map(|wanted| (wanted.have, wanted.missing, wanted.spare)).collect();
        assert_eq!(counts, [(2, 0, 0), (2, 0, 0), (0, 4, 0)]);
        let held = setting.held(&tallies);
        assert_eq!((held[0].have, held[0].spare, held[1].spare), (1, 2, 0), "a moss and a slate cup are over");
        assert_eq!(Service::default().held(&tallies), []);
    }
}

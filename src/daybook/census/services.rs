//! The services that are kept with the daybook.

use super::service::{Service, Want, Wanted};
use super::tally::Tally;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The file of a daybook's folder with the services.
pub const SERVICES: &str = "services.ron";

/// A service has at most so many places, and of one form at most so many in each. A limit of this program.
pub const MOST: u64 = 1000;

/// All services, in the order they were made.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Services {
    /// Each with its places.
    #[serde(default)]
    pub sets: Vec<Set>,
}

/// A service for so many places.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Set {
    /// What belongs to one place.
    pub service: Service,
    /// For how many.
    pub places: u64,
}

impl Set {
    /// What there is of it.
    pub fn held(&self, tallies: &[Tally]) -> Vec<Wanted> {
        self.service.times(self.places).held(tallies)
    }

    /// Wants more of a form in a glaze: one that is wanted already is wanted once more.
    pub fn want(&mut self, want: Want) {
        match self.service.wants.iter_mut().find(|known| known.form == want.form && known.glaze == want.glaze) {
            Some(known) => known.count = known.count.saturating_add(want.count).min(MOST),
            None => self.service.wants.push(want),
        }
    }
}

impl Services {
    /// A name that no service has yet: 'Service 3'.
    pub fn free_name(&self) -> String {
        let taken: BTreeSet<&str> = self.sets.iter().map(|set| set.service.name.as_str()).collect();
        let mut n = self.sets.len() + 1;
        while taken.contains(format!("Service {n}").as_str()) {
            n += 1;
        }
        format!("Service {n}")
    }

    /// What is wrong with services that a person wrote by hand, so that they can't be used; nothing where they can.
    pub fn fault(&self) -> Option<String> {
        for Set { service, places } in &self.sets {
            if !(1..=MOST).contains(places) {
                return Some(format!("the service '{}' has {places} places (1 to {MOST} were expected)", service.name));
            }
            if let Some(want) = service.wants.iter().find(|want| !(1..=MOST).contains(&want.count)) {
                return Some(format!("the service '{}' wants {} of '{}' (1 to {MOST} were expected)", service.name, want.count, want.form));
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::indexing_slicing, reason = "tests")]
    use super::*;
    use jiff::Timestamp;

    fn want(form: &str, glaze: Option<&str>, count: u64) -> Want {
        Want { form: form.into(), glaze: glaze.map(Into::into), count }
    }

    #[test]
    fn what_is_wanted_twice_is_wanted_once_more_and_places_multiply() {
        let mut set = Set { service: Service { name: "Sunday".to_owned(), wants: Vec::new() }, places: 2 };
        set.want(want("cup", Some("moss"), 1));
        set.want(want("cup", None, 1));
        set.want(want("cup", Some("moss"), 2));
        assert_eq!(set.service.wants, [want("cup", Some("moss"), 3), want("cup", None, 1)]);
        let at = Timestamp::UNIX_EPOCH;
        let tally = Tally { form: "cup".into(), glaze: Some("moss".into()), decoration: None, finds: 7, settled: 7, first: at, last: at };
        let held = set.held(&[tally]);
        assert_eq!((held[0].have, held[0].missing, held[1].have, held[1].missing), (6, 0, 1, 1));
    }

    #[test]
    fn names_are_new_and_nonsense_is_told() {
        let set = |name: &str, places: u64| Set { service: Service { name: name.to_owned(), wants: vec![want("cup", None, 1)] }, places };
        let services = Services { sets: vec![set("Service 2", 1)] };
        assert_eq!((services.free_name().as_str(), services.fault()), ("Service 3", None));
        let none = Services { sets: vec![set("tea", 0)] };
        assert_eq!(none.fault().as_deref(), Some("the service 'tea' has 0 places (1 to 1000 were expected)"));
        let mut much = Services { sets: vec![set("tea", 1)] };
        much.sets[0].service.wants[0].count = 5000;
        assert_eq!(much.fault().as_deref(), Some("the service 'tea' wants 5000 of 'cup' (1 to 1000 were expected)"));
    }
}

//! Maps of the key, in which a name may stand only once.

use indexmap::IndexMap;
use serde::Deserialize;
use serde::de::{Deserializer, Error as _, MapAccess, Visitor};
use std::fmt;
use std::hash::Hash;
use std::marker::PhantomData;

/// How the message for a name that stands twice starts; the name follows.
pub(super) const TWICE: &str = "written twice: ";

/// Reads a map, and refuses one in which a name stands twice: the later would silently win.
pub(super) fn map<'de, D, K, V>(deserializer: D) -> Result<IndexMap<K, V>, D::Error>
where
    D: Deserializer<'de>,
    K: Deserialize<'de> + Hash + Eq + fmt::Display,
    V: Deserialize<'de>,
{
    struct Unique<K, V>(PhantomData<(K, V)>);

    impl<'de, K, V> Visitor<'de> for Unique<K, V>
    where
        K: Deserialize<'de> + Hash + Eq + fmt::Display,
        V: Deserialize<'de>,
    {
        type Value = IndexMap<K, V>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("names and values in curly brackets")
        }

        fn visit_map<A: MapAccess<'de>>(self, mut access: A) -> Result<Self::Value, A::Error> {
            let mut map = IndexMap::with_capacity(access.size_hint().unwrap_or(0));
            while let Some(key) = access.next_key::<K>()? {
                if map.contains_key(&key) {
                    return Err(A::Error::custom(format_args!("{TWICE}{key}")));
                }
                let value = access.next_value()?;
                map.insert(key, value);
            }
            Ok(map)
        }
    }

    deserializer.deserialize_map(Unique(PhantomData))
}

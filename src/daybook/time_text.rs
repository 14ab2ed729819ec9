//! Times as text with their zone (RFC 9557), read also where this machine does not know the zone.

use jiff::ZonedDateTime;
use jiff::fmt::temporal::Pieces;
use jiff::tz::TimeZone;
use serde::{Deserialize as _, Deserializer, Serializer, de::Error as _};

/// Reads a time with its zone. Where this machine does not know the zone, the time keeps its distance from UTC.
pub(super) fn parse_time(text: &str) -> Option<ZonedDateTime> {
    if let Ok(time) = text.parse() {
        return Some(time);
    }
    let pieces = Pieces::parse(text).ok()?;
    let offset = pieces.to_numeric_offset()?;
    let civil = pieces.date().to_datetime(pieces.time()?);
    TimeZone::fixed(offset).to_zoned_datetime(civil).ok()
}

pub(super) fn serialize<S: Serializer>(time: &ZonedDateTime, to: S) -> Result<S::Ok, S::Error> {
    to.collect_str(time)
}

pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<ZonedDateTime, D::Error> {
    let text = String::deserialize(from)?;
    parse_time(&text).ok_or_else(|| D::Error::custom(format!("'{text}' is not a time with its zone")))
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn a_time_of_an_unknown_zone_keeps_its_offset() {
        let time = parse_time("2026-03-02T10:15:00+02:00[Nowhere/Marrowby]").unwrap();
        assert_eq!(time.to_string(), "2026-03-02T10:15:00+02:00[+02:00]");
        assert_eq!(parse_time("yesterday"), None);
    }
}

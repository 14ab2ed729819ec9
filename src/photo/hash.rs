//! The name a photograph is kept under: the hash of its bytes.

use std::fmt;
use std::str::FromStr;

/// BLAKE3 of a photograph's bytes exactly as they came. Written as 64 small hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PhotoHash([u8; 32]);

impl PhotoHash {
    /// The hash of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(*blake3::hash(bytes).as_bytes())
    }
}

impl fmt::Display for PhotoHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

/// A text that is no hash.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is not the name of a photograph (expected 64 hexadecimal digits)")]
pub struct BadHash(String);

impl FromStr for PhotoHash {
    type Err = BadHash;

    fn from_str(text: &str) -> Result<Self, BadHash> {
        let hash = blake3::Hash::from_hex(text).map_err(|_unsaid| BadHash(text.to_owned()))?;
        Ok(Self(*hash.as_bytes()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_of_nothing_is_the_published_one() {
        // Source: BLAKE3 reference test vectors, input length 0, first 32 bytes.
        let published = "af1349b9f5f9a1a6a0404dea36dcc9499bcb25c9adc112b7cc9a93cae41f3262";
        assert_eq!(PhotoHash::of(b"").to_string(), published);
        assert_eq!(published.parse(), Ok(PhotoHash::of(b"")));
    }

    #[test]
    fn a_bad_hash_says_so() {
        let error = "af13".parse::<PhotoHash>().map_err(|error| error.to_string());
        assert_eq!(error, Err("'af13' is not the name of a photograph (expected 64 hexadecimal digits)".to_owned()));
    }
}

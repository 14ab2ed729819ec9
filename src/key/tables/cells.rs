//! What single cells say.

/// True where a cell says that nothing is known.
pub(super) fn is_missing(cell: &str) -> bool {
    let cell = cell.trim();
    matches!(cell, "" | "-" | "–" | "—" | "?" | ".") || {
        cell.len() <= 14
            && ["n/a", "na", "#n/a", "unknown", "not recorded", "not known", "not looked at", "null"]
                .iter()
                .any(|word| cell.eq_ignore_ascii_case(word))
    }
}

/// The values of a cell, parted by a sign.
pub(super) fn values(cell: &str, split: Option<char>) -> Vec<&str> {
    let whole = cell.trim();
    match split {
        Some(sign) => whole.split(sign).map(str::trim).filter(|value| !is_missing(value)).collect(),
        None => vec![whole],
    }
}

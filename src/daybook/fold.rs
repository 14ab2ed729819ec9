//! Text made comparable: 'Dose, GRÖSSE 2' is found by 'grosse'.

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

/// Small letters without accents, words by single spaces.
pub(super) fn fold(text: &str) -> String {
    let plain: String = text.nfkd().filter(|c| !is_combining_mark(*c)).flat_map(char::to_lowercase).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_capitals_and_spaces_do_not_matter() {
        assert_eq!(fold("  Crème\tBRÛLÉE\n dish "), "creme brulee dish");
        assert_eq!(fold("ﬁnial ½"), "finial 1⁄2");
        assert_eq!(fold(""), "");
    }
}

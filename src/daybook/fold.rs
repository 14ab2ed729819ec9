//! Text made comparable: 'Dose, GRÖSSE 2' is found by 'grosse'.

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

/// Small letters without accents, words by single spaces.
pub(super) fn fold(text: &str) -> String {
    let plain: String = text.nfkd().filter(|c| !is_combining_mark(*c)).flat_map(char::to_lowercase).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The same with every number written out to twelve digits, so that texts sort as people sort them: 'Box 9' before 'Box 14'.
pub(super) fn natural(text: &str) -> String {
    let folded = fold(text);
    let mut sortable = String::with_capacity(folded.len() + 24);
    let mut rest = folded.as_str();
    while let Some(first) = rest.chars().next() {
        let digits = rest.bytes().take_while(u8::is_ascii_digit).count();
        let taken = if digits == 0 { first.len_utf8() } else { digits };
        let (piece, after) = rest.split_at(taken);
        if digits == 0 {
            sortable.push_str(piece);
        } else {
            let number = piece.trim_start_matches('0');
            sortable.extend(std::iter::repeat_n('0', 12_usize.saturating_sub(number.len())));
            sortable.push_str(number);
        }
        rest = after;
    }
    sortable
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_sort_as_people_sort_them() {
        let mut labels = ["Box 14", "box 9", "", "Attic 2b", "Attic 2a", "Box 100", "attic 10"];
        labels.sort_by_cached_key(|label| natural(label));
        assert_eq!(labels, ["", "Attic 2a", "Attic 2b", "attic 10", "box 9", "Box 14", "Box 100"]);
        assert_eq!(natural("Kiste ٣ 007"), "kiste ٣ 000000000007");
    }

    #[test]
    fn accents_capitals_and_spaces_do_not_matter() {
        assert_eq!(fold("  Crème\tBRÛLÉE\n dish "), "creme brulee dish");
        assert_eq!(fold("ﬁnial ½"), "finial 1⁄2");
        assert_eq!(fold(""), "");
    }
}

//! Text as bare letters: no case, no accents, no spaces or points.

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

/// The bare capital letters and figures of one character: 'é' is E, 'ß' is SS, 'Æ' is AE; a space or a point is nothing.
pub(super) fn bare(c: char) -> Vec<char> {
    let spelled = match c {
        'Ø' | 'ø' => "O",
        'Æ' | 'æ' => "AE",
        'Œ' | 'œ' => "OE",
        'Ł' | 'ł' => "L",
        'Đ' | 'đ' | 'Ð' | 'ð' => "D",
        'Þ' | 'þ' => "TH",
        'ı' => "I",
        _ => "",
    };
    if !spelled.is_empty() {
        return spelled.chars().collect();
    }
    std::iter::once(c).nfkd().filter(|c| !is_combining_mark(*c)).flat_map(char::to_uppercase).filter(|c| c.is_alphanumeric()).collect()
}

/// True for what parts words: a blank, a dash, a stroke, a dot in the middle.
pub(super) fn parts_words(c: char) -> bool {
    c.is_whitespace() || matches!(c, '-' | '‐' | '–' | '—' | '/' | '·' | '•')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_case_and_points_fall_away() {
        let folded: String = "Fenlight — Crème ‘Nº 12’ ßtraße Œuf Ångström".chars().flat_map(bare).collect();
        assert_eq!(folded, "FENLIGHTCREMENO12SSTRASSEOEUFANGSTROM");
    }
}

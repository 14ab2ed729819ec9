//! Published values of the edit distances of `strsim`, by which names with typing mistakes are found.
//!
//! Pairs: Winkler 1990 (ASA Survey Research Methods Section, 354–359) and Winkler 1994 (US Census Bureau report RR94/05, table 2.1), by the plain formula
//! (prefix scale 0.1, at most four letters), three places; where the prints disagree, the plain formula. Levenshtein: Dokl. 1966; Damerau: CACM 7,
//! 1964, with the well-known case that parts the unrestricted distance from optimal string alignment.

#[test]
fn jaro_and_winkler_and_edits() {
    for (one, other, jaro, winkler, levenshtein, alignment) in [
        ("MARTHA", "MARHTA", 0.944, 0.961, 2, 1),
        ("DIXON", "DICKSONX", 0.767, 0.813, 4, 4),
        ("DWAYNE", "DUANE", 0.822, 0.840, 2, 2),
        ("SHACKLEFORD", "SHACKELFORD", 0.970, 0.982, 2, 1),
        ("DUNNINGHAM", "CUNNIGHAM", 0.896, 0.896, 2, 2),
        ("NICHLESON", "NICHULSON", 0.926, 0.956, 2, 2),
        ("JONES", "JOHNSON", 0.790, 0.832, 4, 4),
        ("MASSEY", "MASSIE", 0.889, 0.933, 2, 2),
        ("ABROMS", "ABRAMS", 0.889, 0.922, 1, 1),
        ("JERALDINE", "GERALDINE", 0.926, 0.926, 1, 1),
        ("MICHELLE", "MICHAEL", 0.869, 0.921, 3, 3),
        ("JULIES", "JULIUS", 0.889, 0.933, 1, 1),
        ("TANYA", "TONYA", 0.867, 0.880, 1, 1),
        ("SEAN", "SUSAN", 0.783, 0.805, 2, 2),
        ("JON", "JOHN", 0.917, 0.933, 1, 1),
        ("CRATE", "TRACE", 0.733, 0.733, 2, 2),
        ("BROOKHAVEN", "BRROKHAVEN", 0.933, 0.947, 1, 1),
        ("HARDIN", "MARTINEZ", 0.722, 0.722, 4, 4),
        ("ITMAN", "SMITH", 0.467, 0.467, 5, 5),
        ("JON", "JAN", 0.778, 0.800, 1, 1),
    ] {
        // 0.7905 is printed as 0.790.
        let close = |got: f64, want: f64| (got - want).abs() < 6e-4;
        assert!(close(strsim::jaro(one, other), jaro), "{one} {other}: {}", strsim::jaro(one, other));
        assert!(close(strsim::jaro_winkler(one, other), winkler), "{one} {other}: {}", strsim::jaro_winkler(one, other));
        assert_eq!(strsim::levenshtein(one, other), levenshtein, "{one} {other}");
        assert_eq!(strsim::osa_distance(one, other), alignment, "{one} {other}");
    }
}

#[test]
fn levenshtein_and_damerau() {
    for (one, other, want) in [("kitten", "sitting", 3), ("Saturday", "Sunday", 3), ("", "abc", 3)] {
        assert_eq!(strsim::levenshtein(one, other), want, "{one} {other}");
    }
    for (one, other, want) in [("CA", "ABC", 2), ("fuor", "four", 1), ("abcd", "acb", 2), ("jellyifhs", "jellyfish", 2)] {
        assert_eq!(strsim::damerau_levenshtein(one, other), want, "{one} {other}");
    }
    assert_eq!(strsim::osa_distance("CA", "ABC"), 3);
}

//! Dates from marks: published tables and worked examples, wordings, house codes, clashes, and what must always hold.
#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]

use footring::key::{CodeDates, CodePart, DateCode, How, Years};
use footring::marks::dates::code::{CodeError, evidence as code_evidence, read_code, try_codes};
use footring::marks::dates::diamond::Corners;
use footring::marks::dates::{
    Cause, Dating, Edge, Evidence, Firmness, Known, LoadedRules, MarkPut, Origin, Rules, Span, Spans, Thing, Weighs, of_sale,
};
use proptest::prelude::*;

fn rules() -> &'static Rules {
    Rules::published()
}

fn diamond(text: &str) -> Vec<String> {
    match rules().read_diamond(&text.parse::<Corners>().unwrap()) {
        Ok(found) => found.registered.iter().map(footring::marks::dates::diamond::Registration::words).collect(),
        Err(unread) => vec![format!("! {}", unread.why)],
    }
}

/// The making that a text alone gives.
fn made(text: &str) -> String {
    let read = rules().read(text);
    let evidence = read.readings.into_iter().flat_map(|r| r.evidence).collect();
    Dating::of(evidence, MarkPut::WithTheMaking).made.when.words()
}

fn fired(text: &str) -> Vec<String> {
    rules().read(text).readings.into_iter().map(|r| r.rule).collect()
}

#[test]
fn the_published_rules_are_sound() {
    let loaded = LoadedRules::of_text("dating.ron", include_str!("../assets/dating.ron"));
    assert_eq!(loaded.problems.iter().map(ToString::to_string).collect::<Vec<_>>(), Vec::<String>::new());
    assert!(loaded.rules.len() >= 50, "{} rules", loaded.rules.len());
}

// The National Archives (UK), research guide on diamond marks, and public guides that carry its tables.
#[test]
fn diamonds_of_public_guides_read_as_there() {
    for (corners, reads) in [
        ("class IV, top K, left H, right 7", "7 April 1857"),
        ("class III, top N, left A, right 2", "2 December 1864"),
        ("class I, top E, left K, right 9", "9 November 1855"),
        ("top D, left K, right 12", "12 November 1852"),
        ("class IV, top A, left M, right 19, bottom 1", "19 June 1845"),
        ("class IV, top D, left M, right 14", "14 June 1852"),
        ("class III, top 1, right K, bottom R", "1 August 1883"),
        ("class IV, top 28, right Y, bottom K", "28 November 1879"),
        ("class IV, top 9, left 9, right C, bottom R", "9 August 1870"),
        ("class XII, top 6, right A, bottom I", "6 July 1871"),
        ("class IV, top 14, right S, bottom M", "14 June 1875"),
    ] {
        assert_eq!(diamond(corners), [reads], "{corners}");
    }
    let found = rules().read_diamond(&"class IV, top K, left H, right 7, bottom 2".parse().unwrap()).unwrap();
    assert_eq!(found.evidence.says, "the diamond reads ceramics, 7 April 1857, parcel 2, so the piece is of 7 April 1857 or later");
    assert_eq!(found.goods.as_deref(), Some("ceramics"));
}

// The same guide; every letter of both tables written out.
#[test]
fn every_year_and_month_letter_reads() {
    let first = "XHCAIFUSVPDYJELKBMZROGNWQT";
    for (letter, year) in first.chars().zip(1842..=1867) {
        assert_eq!(diamond(&format!("top {letter}, left M, right 20")), [format!("20 June {year}")]);
    }
    for (letter, year) in "XHCAIFUSVPDYJELK".chars().zip(1868..=1883) {
        assert_eq!(diamond(&format!("top 20, right {letter}, bottom M")), [format!("20 June {year}")]);
    }
    let months = [
        ('C', "January"),
        ('G', "February"),
        ('W', "March"),
        ('H', "April"),
        ('E', "May"),
        ('M', "June"),
        ('I', "July"),
        ('R', "August"),
        ('D', "September"),
        ('B', "October"),
        ('K', "November"),
        ('A', "December"),
    ];
    for (letter, month) in months {
        assert_eq!(diamond(&format!("top P, left {letter}, right 20")), [format!("20 {month} 1851")]);
        assert_eq!(diamond(&format!("top 20, right P, bottom {letter}")), [format!("20 {month} 1877")]);
    }
    for never in "FJLNPQSTUVXYZ".chars() {
        let why = format!("! '{never}' is never a month letter (look again at the letter)");
        assert_eq!(diamond(&format!("top P, left {never}, right 20")), [why.as_str()]);
        assert_eq!(diamond(&format!("top 20, right P, bottom {never}")), [why.as_str()]);
    }
    for never in "BGMNOQRTWZ".chars() {
        assert!(diamond(&format!("top 20, right {never}, bottom M"))[0].contains("is no year letter of 1868 to 1883"), "{never}");
    }
}

// Exceptions: the same guides; where they disagree both are kept.
#[test]
fn exceptions_are_read_both_ways() {
    assert_eq!(diamond("top K, left R, right 5"), ["5 August 1857", "5 September 1857"]);
    assert_eq!(diamond("top K, left R, right 19"), ["19 August 1857", "19 September 1857"]);
    assert_eq!(diamond("top K, left R, right 20"), ["20 August 1857"]);
    assert_eq!(diamond("top Z, left K, right 10"), ["10 November 1860", "10 December 1860"]);
    assert_eq!(diamond("top Z, left K, right 31"), ["31 December 1860"]);
    assert_eq!(diamond("top 3, right W, bottom G"), ["3 March 1878"]);
    assert_eq!(diamond("top 7, right W, bottom G"), ["7 March 1878"]);
    assert!(diamond("top 8, right W, bottom G")[0].contains("days 1 to 7 only"), "{:?}", diamond("top 8, right W, bottom G"));
    let o = rules().read_diamond(&"top P, left O, right 20".parse().unwrap()).unwrap();
    assert_eq!(o.registered[0].words(), "20 January 1851");
    assert_eq!(o.remarks, ["O for January stands in one table only; C is usual"]);
    let early = rules().read_diamond(&"top X, left C, right 20".parse().unwrap()).unwrap();
    assert!(early.remarks[0].contains("from memory"), "{:?}", early.remarks);
    assert_eq!(diamond("top K, left H"), ["1 April 1857 to 30 April 1857"]);
    assert_eq!(diamond("top K"), ["in 1857"]);
    assert_eq!(diamond("left H, right 7"), ["1842 to 1867"]);
}

#[test]
fn what_no_diamond_can_be_is_refused_with_what_it_may_have_been() {
    let read = |text: &str| rules().read_diamond(&text.parse().unwrap()).unwrap_err();
    assert_eq!(
        read("top K, left H, right 31").why,
        "there is no 31 April 1857, the month has 30 days (look again at the day and the month letter)"
    );
    let misread = read("top 0, left H, right 7");
    assert!(misread.did_you_mean.contains(&"top O for 0: 7 April 1862".to_owned()), "{misread:?}");
    assert_eq!(read("top K, left H, right 45").why, "right '45' is no day of a month (1 to 31 was expected there)");
    let refused = |text: &str| text.parse::<Corners>().unwrap_err().to_string();
    assert_eq!(refused("apex K"), "'apex K' names no place of a diamond (write: class IV, top K, left H, right 7, bottom 2)");
    assert_eq!(refused("top K, top H"), "'top' is given twice (give each corner once)");
    assert_eq!(refused("class IV"), "no corner of the diamond is given (write: class IV, top K, left H, right 7, bottom 2)");
    assert_eq!(refused(""), refused("class IV, top ?"));
}

// Public dating list 1884 to 1965, first number of each January; 821265 and 10057 also on a second page.
#[test]
fn registered_numbers_fall_into_their_years() {
    let year = |number: &str| rules().read_number("registered-number", number).readings[0].evidence[1].says.clone();
    assert_eq!(year("52300"), "registered design number 52300: 1886 by the list, so the piece 1885 or later");
    for (number, year_by_list) in
        [("543765", 1909), ("821265", 1937), ("919606", 1964), ("10057", 1884), ("1", 1884), ("19755", 1884), ("19756", 1885)]
    {
        assert!(year(number).contains(&format!("{year_by_list} by the list")), "{}", year(number));
    }
    assert!(year("919607").contains("1965 or later, beyond this list"), "{}", year("919607"));
    assert!(year("54?765").contains("54?765: 1909 by the list"), "{}", year("54?765"));
    assert_eq!(made("Rd No 543,765"), "1908 or later");
    assert_eq!(made("Rd No 10"), "1 January 1884 or later");
    let none = |number: &str| rules().read_number("registered-number", number).unread[0].why.clone();
    assert_eq!(none("0"), "there is no registered design number 0 (the numbers begin at 1)");
    assert_eq!(none("twelve"), "it is no whole number (write figures, '?' for one that can't be read)");
    assert_eq!(none("123456789"), "'123456789' has 9 figures, no registered design number has more than 8 (look again)");
}

// Sources of each rule stand in assets/dating.ron.
#[test]
fn every_wording_gives_its_interval() {
    for (text, when) in [
        ("England", "1880 or later"),
        ("MADE IN ENGLAND", "1900 or later"),
        ("made in", "1900 or later"),
        ("Nippon", "1891 to 1921"),
        ("Japan", "at any time"),
        ("Made in Japan", "at any time"),
        ("Made in Occupied Japan", "20 February 1947 to 28 April 1952"),
        ("Made in Germany", "1887 or later"),
        ("Foreign", "1888 or later"),
        ("Germany US Zone", "at any time"),
        ("W. Germany", "1949 to 1990"),
        ("Made in Western Germany", "1949 to 1990"),
        ("G.D.R.", "1949 to 1990"),
        ("Czechoslovakia", "at any time"),
        ("Made in USSR", "1924 to 1993"),
        ("Hong Kong", "at any time"),
        ("Trade Mark", "1862 or later"),
        ("Marrowby Pottery Ltd", "14 August 1855 or later"),
        ("Royal", "1848 or later"),
        ("©", "1909 or later"),
        ("(c)", "1909 or later"),
        ("© 1936", "1936 or later"),
        ("Copyright", "1874 or later"),
        ("Fenlight ®", "1947 or later"),
        ("Fenlight (R)", "1947 or later"),
        ("Fenlight ™", "at any time"),
        ("Pat. Pend.", "at any time"),
        ("Fenwick 16, Ill.", "1943 to 1963"),
        ("Fenwick, OH 43701", "1 July 1963 or later"),
        ("Fenwick, OH 43701-1234", "1983 or later"),
        ("Fenwick FW6 4AX", "1 October 1959 or later"),
        ("oven proof", "1930 or later"),
        ("OVENPROOF", "1930 or later"),
        ("detergent proof", "1930 or later"),
        ("Dishwasher safe", "1930 or later"),
        ("craze proof", "1958 to 1972"),
        ("oven to table", "at any time"),
        ("microwave safe", "1968 or later"),
        ("English Bone China", "1913 or later"),
        ("Ironstone", "1813 or later"),
        ("Semi-Porcelain", "at any time"),
        ("Est. 1834", "at any time"),
        ("New England", "at any time"),
        ("Pat. No. 1,985,878", "1935 or later"),
        ("Des. Pat. 32055", "1900 or later"),
    ] {
        assert!(!rules().read(text).readings.is_empty(), "no rule fired for {text}");
        assert_eq!(made(text), when, "{text}");
    }
}

#[test]
fn the_longest_wording_wins_and_worn_letters_are_allowed_for() {
    assert_eq!(fired("Made in Occupied Japan"), ["occupied-japan"]);
    assert_eq!(fired("MADE IN ENGLAND / oven proof"), ["made-in", "oven-proof"]);
    assert_eq!(fired("W. Germany"), ["west-germany"]);
    assert_eq!(fired("Made in Germany"), ["made-in-germany"]);
    assert_eq!(fired("Made in France"), ["made-in"]);
    assert_eq!(fired("MADE IN ENGL?ND"), ["made-in"]);
    assert_eq!(fired("MADE IN ENC1AND"), ["made-in"]);
    assert_eq!(fired("MADE IN OCC… JAPAN"), ["occupied-japan"]);
    assert_eq!(fired("MADE IN ENGLAN(D)"), ["made-in"]);
    assert_eq!(fired("beltdrive limitedness"), [""; 0]);
    assert_eq!(fired("Rd No 543765 England"), ["registered-number", "england-alone"]);
    assert_eq!(fired("Rd No"), ["registered-number-unread"]);
    let read = rules().read("MADE IN ENGL?ND");
    assert_eq!((read.readings[0].taken_for.as_str(), read.readings[0].doubtful), ("made in england", 1));
}

#[test]
fn what_is_from_memory_is_weak_and_bounds_nothing() {
    for text in ["US Zone", "Czechoslovakia", "Pat. Pend.", "www", "25 cm"] {
        for evidence in rules().read(text).readings.into_iter().flat_map(|r| r.evidence) {
            assert_eq!((evidence.firmness, evidence.bounds()), (Firmness::Weak, false), "{text}");
            assert!(evidence.firmness_words().starts_with("weak, "), "{text}: {}", evidence.firmness_words());
        }
    }
}

#[test]
fn text_without_a_date_in_it_gives_none() {
    let why = |text: &str| rules().read(text).unread.iter().map(|u| u.why.clone()).collect::<Vec<_>>();
    assert_eq!(why("blue roses 1842"), ["no dating rule knows these words"]);
    assert_eq!(why(""), ["there is no letter, figure or sign in it (type what can be read)"]);
    assert_eq!(why("?? …"), ["there is no letter, figure or sign in it (type what can be read)"]);
    assert_eq!(why("© 36"), ["that is no year of four figures from 1500 to 2100 (look again)"]);
    assert!(why(&"A…B?".repeat(5000))[0].contains("more than the 1000"), "long");
    assert_eq!(rules().read("oven prof").readings.len(), 0);
    for odd in ["صنع في انجلترا", "日本製", "\u{202e}dnalgne ni edam", "🏺🏺", "……………………", &"MADE…".repeat(190)]
    {
        let read = rules().read(odd);
        assert!(read.readings.len() + read.unread.len() > 0, "{odd}");
    }
}

fn code(pattern: &str, parts: Vec<(&str, CodePart)>) -> DateCode {
    DateCode {
        name: "date code".to_owned(),
        pattern: pattern.to_owned(),
        parts: parts.into_iter().map(|(name, part)| (name.to_owned(), part)).collect(),
        dates: CodeDates::Making,
        how: How::Seen,
        papers: Vec::new(),
        note: String::new(),
    }
}

fn words(code: &DateCode, made: Years, sample: &str) -> Vec<String> {
    match read_code(code, made, sample) {
        Ok(readings) => readings.into_iter().map(|r| r.words).collect(),
        Err(e) => vec![format!("! {e}")],
    }
}

#[test]
fn house_codes_are_read_in_every_way_they_can_be() {
    let used = Years { from: Some(1948), to: Some(1975) };
    let month_year =
        code("{month}{year}", vec![("month", CodePart::MonthLetters("ABCDEFGHIJKL".to_owned())), ("year", CodePart::YearDigits(2))]);
    assert_eq!(words(&month_year, used, "c 52"), ["March 1952"]);
    assert_eq!(words(&month_year, used, "C-52"), ["March 1952"]);
    assert_eq!(words(&month_year, used, "L5?").len(), 10);
    assert_eq!(
        words(&month_year, Years::default(), "C52"),
        ["! the figures of 'date code' can't be placed in a century (give the mark its years of use, from and to)"]
    );
    let one_figure = code("{year}", vec![("year", CodePart::YearDigits(1))]);
    assert_eq!(words(&one_figure, used, "9"), ["1949", "1959", "1969"]);
    let cyclic = code("{year}", vec![("year", CodePart::YearLetters { letters: "ABCDE".to_owned(), first: 1950, last: Some(1961) })]);
    assert_eq!(words(&cyclic, used, "B"), ["1951", "1956", "1961"]);
    assert_eq!(words(&cyclic, used, "C"), ["1952", "1957"]);
    let quarter = code("{q}.{year}", vec![("q", CodePart::QuarterNumber), ("year", CodePart::YearDigits(2))]);
    assert_eq!(words(&quarter, used, "3.52"), ["third quarter of 1952"]);
    assert_eq!(read_code(&quarter, used, "352").unwrap()[0].when.words(), "1 July 1952 to 30 September 1952");
    let full = code(
        "{works}{day}{month}{year}",
        vec![
            ("works", CodePart::Words([("N".to_owned(), "north works".to_owned())].into_iter().collect())),
            ("day", CodePart::DayNumber),
            ("month", CodePart::MonthNumber),
            ("year", CodePart::YearDigits(2)),
        ],
    );
    // The figures can be parted in two ways, and both are kept.
    assert_eq!(words(&full, used, "N 1 12 52"), ["11 February 1952, north works", "1 December 1952, north works"].map(str::to_owned));
    assert_eq!(words(&full, used, "N 31 4 52"), ["! 'N 31 4 52' reads 31 April 1952, north works, and there is no such date (look again)"]);
    let week = code("{week}/{year}", vec![("week", CodePart::WeekNumber), ("year", CodePart::YearDigits(2))]);
    // ISO 8601: 1953 has 53 weeks, 1954 has not.
    assert_eq!(read_code(&week, used, "53/53").unwrap()[0].when.words(), "28 December 1953 to 3 January 1954");
    assert!(words(&week, used, "53/54")[0].contains("no such date"), "{:?}", words(&week, used, "53/54"));
}

#[test]
fn a_code_that_fits_nothing_is_told_with_what_it_may_be() {
    let used = Years { from: Some(1948), to: Some(1975) };
    let letters = code("{year}", vec![("year", CodePart::YearLetters { letters: "ABCDEFGH".to_owned(), first: 1951, last: None })]);
    assert_eq!(words(&letters, Years::default(), "8"), ["! '8' is not a date code (expected {year}); did you mean B (1952)?"]);
    let tried = try_codes(&letters, used, &["A", "H", "W", ""]);
    assert_eq!(tried.len(), 4);
    assert!(tried[0].1.is_ok() && tried[1].1.is_ok() && tried[2].1.is_err());
    assert_eq!(tried[3].1, Err(CodeError::Empty));
    assert_eq!(read_code(&letters, used, &"A".repeat(10_000)), Err(CodeError::TooLong(10_000)));
    assert_eq!(words(&code("{yaer", vec![]), used, "A"), ["! the pattern '{yaer' makes no sense: '{' is never closed (add '}')"]);
    assert_eq!(
        words(&code("{y}", vec![]), used, "A"),
        ["! the pattern '{y}' makes no sense: there is no part 'y' (describe it in 'parts')"]
    );
    assert_eq!(words(&code("", vec![]), used, "A").len(), 1);
}

fn piece(dates: Thing, origin: Origin, firmness: Firmness, span: Span) -> Evidence {
    Evidence {
        dates,
        origin,
        when: span.into(),
        weighs: Weighs::Bounds,
        firmness,
        known: Known::Checked,
        says: format!("{} {}", origin.words(), span.words()),
        because: String::new(),
        source: String::new(),
    }
}

fn years(from: i16, to: i16) -> Span {
    Span { from: Some(Edge::Year(from)), to: Some(Edge::Year(to)) }
}

#[test]
fn a_decorated_piece_keeps_two_dates() {
    let form = piece(Thing::Making, Origin::FormYears, Firmness::Custom, years(1934, 1941));
    let decoration = piece(Thing::Decoration, Origin::DecorationYears, Firmness::Paper, years(1946, 1952));
    let dating = Dating::of(vec![form, decoration], MarkPut::WithTheMaking);
    assert_eq!(dating.made.when.words(), "1934 to 1941");
    assert_eq!(dating.decorated.as_ref().unwrap().when.words(), "1946 to 1952");
    assert!(dating.clashes().is_empty());
    let sold = Dating::of(
        vec![of_sale(Edge::Year(1936), "a bill"), rules().read("made in england").readings[0].evidence[0].clone()],
        MarkPut::WithTheMaking,
    );
    assert_eq!(sold.made.when.words(), "1900 to 1936");
    assert_eq!(sold.sold.unwrap().when.words(), "in 1936");
}

#[test]
fn a_mark_over_the_glaze_dates_the_decoration() {
    let mark = piece(Thing::Mark, Origin::MarkYears, Firmness::Paper, years(1950, 1955));
    let over = Dating::of(vec![mark.clone()], MarkPut::PerhapsLater);
    assert_eq!((over.made.when.words(), over.decorated.unwrap().when.words()), ("not after 1955".to_owned(), "1950 to 1955".to_owned()));
    let under = Dating::of(vec![mark], MarkPut::WithTheMaking);
    assert_eq!((under.made.when.words(), under.decorated), ("1950 to 1955".to_owned(), None));
}

#[test]
fn what_excludes_each_other_is_shown_and_not_averaged() {
    let form = piece(Thing::Making, Origin::FormYears, Firmness::Paper, years(1934, 1941));
    let zip = piece(Thing::Mark, Origin::Wording, Firmness::Law, Span::since(Edge::Year(1963)));
    let dating = Dating::of(vec![zip.clone(), form.clone()], MarkPut::WithTheMaking);
    assert!(dating.made.is_disputed() && dating.made.when.is_empty());
    let clash = dating.clashes()[0].clone();
    assert_eq!(clash.between, [1, 0]);
    assert_eq!(
        clash.says,
        "the years of the form 1934 to 1941 and the wording 1963 or later can't both be right of the making of the piece"
    );
    assert_eq!(clash.explanations.iter().map(|e| e.cause).collect::<Vec<_>>(), [Cause::OldStock, Cause::Misread, Cause::Marriage]);
    // Custom gives way to law, and is shown.
    let custom = piece(Thing::Mark, Origin::MarkYears, Firmness::Custom, years(1934, 1941));
    let dating = Dating::of(vec![custom.clone(), zip.clone()], MarkPut::WithTheMaking);
    assert_eq!(dating.made.when.words(), "1963 or later");
    assert_eq!(dating.clashes()[0].explanations[0].cause, Cause::MarkPastItsDate);
    // Two customs that exclude each other: neither wins.
    let other = piece(Thing::Mark, Origin::DateCode, Firmness::Custom, years(1951, 1951));
    let dating = Dating::of(vec![custom, other], MarkPut::WithTheMaking);
    assert_eq!((dating.made.when.words(), dating.clashes().len()), ("at any time".to_owned(), 1));
    // A weak hint never clashes.
    let hint = piece(Thing::Mark, Origin::Wording, Firmness::Weak, years(1900, 1910));
    assert!(Dating::of(vec![hint, zip], MarkPut::WithTheMaking).clashes().is_empty());
}

#[test]
fn a_cyclic_code_keeps_each_candidate_until_something_rules_it_out() {
    let used = Years { from: Some(1948), to: Some(1975) };
    let cyclic = code("{year}", vec![("year", CodePart::YearLetters { letters: "ABCDE".to_owned(), first: 1950, last: Some(1964) })]);
    let read = code_evidence(&cyclic, "B", &read_code(&cyclic, used, "B").unwrap()).unwrap();
    let alone = Dating::of(vec![read.clone()], MarkPut::WithTheMaking);
    assert_eq!(alone.made.when.words(), "in 1951, or in 1956, or in 1961");
    let sold = Dating::of(vec![read, of_sale(Edge::Year(1957), "a bill")], MarkPut::WithTheMaking);
    assert_eq!(sold.made.when.words(), "in 1951, or in 1956");
}

#[test]
fn years_are_weighed_softly_and_sum_to_one() {
    let read = rules().read("MADE IN ENGLAND").readings.remove(0).evidence;
    let dating = Dating::of(read, MarkPut::WithTheMaking);
    let p = dating.years(Thing::Making, 1850..=1980);
    assert!((p.iter().map(|(_, p)| p).sum::<f64>() - 1.0).abs() < 1e-9);
    let of = |year: i16| p.iter().find(|(y, _)| *y == year).unwrap().1;
    assert!(of(1950) > of(1910) && of(1910) > of(1890) && of(1890) > 0.0, "{} {} {}", of(1950), of(1910), of(1890));
    assert!(dating.likelihood_ratio(Thing::Making, &years(1930, 1940), 1850..=1980) > 1.0);
    assert!(dating.likelihood_ratio(Thing::Making, &years(1850, 1870), 1850..=1980) < 0.2);
    assert!(
        (Dating::of(Vec::new(), MarkPut::WithTheMaking).likelihood_ratio(Thing::Making, &years(1850, 1870), 1850..=1980) - 1.0).abs()
            < 1e-9
    );
    assert!(dating.years(Thing::Making, std::ops::RangeInclusive::new(1980, 1850)).is_empty());
}

fn told(text: &str) -> Vec<String> {
    LoadedRules::of_text("mine.ron", text).problems.iter().map(ToString::to_string).collect()
}

#[test]
fn a_rule_file_with_something_wrong_in_it_says_what_and_where() {
    assert_eq!(
        told("[\n  (id: \"a\", finds: Words([\"kiln no\"]), bonds: []),\n]"),
        ["a dating rule has no field 'bonds' (did you mean 'bounds'?)\nmine.ron:2:40"]
    );
    assert_eq!(
        told(
            "[(id: \"a\", finds: Words([\"kiln no\"]), bounds: [(from: Day(1957, 2, 30), firmness: Law, because: \"b\", source: \"s\")])]"
        ),
        ["there is no 30.2.1957 (check the day and the month)\nmine.ron:1:55"]
    );
    assert_eq!(
        told("[(id: \"a\", finds: Words([\"kiln no\"]), bounds: [(from: Year(1957), firmness: Lore, because: \"b\", source: \"s\")])]")[0],
        "'Lore' means nothing here (it can be Law, Paper, Custom or Weak)\nmine.ron:1:77"
    );
    assert!(
        told("[(id: \"a\", finds: Words([\"kiln\"]), bounds: [(from: Year(1957), firmness: Law, known: FromMemory, because: \"b\")])]")[0]
            .starts_with("'Law' was found where Weak was expected (what is from memory or disputed is never more)")
    );
    assert!(
        told("[(id: \"a\", finds: Words([\"kiln\"]), bounds: [(from: Year(1957), to: Year(1900), firmness: Law, because: \"b\", source: \"s\")])]")[0]
            .starts_with("the dates run from 1957 down to 1900 (write the smaller first)")
    );
    assert!(told("[(id: \"a\", finds: Words([\"made in {cuontry}\"]))]")[0].starts_with("there is no list of names 'cuontry'"));
    assert!(
        told("[(id: \"a\", finds: Words([\"x\"])), (id: \"a\", finds: Words([\"y\"]))]")[0].starts_with("'a' is named twice in the rules")
    );
    assert!(told("not a list")[0].contains("expected '[' at the start of a list of entries"));
    assert!(
        told("[(id: \"a\", finds: Words([\"kiln no #\"]), reads: Number(what: \"kiln\", first: [(1900, 5), (1899, 9)]))]")[0]
            .starts_with("the numbers run from")
    );
}

#[test]
fn rules_of_ones_own_are_added_and_take_the_place_of_published_ones() {
    let own = "[(id: \"kiln\", finds: Words([\"kiln seven\", \"fired in {country}\"]), bounds: [(from: Year(1950), firmness: Custom, known: CommonPractice, because: \"told\")]),
                (id: \"nippon\", finds: Words([\"nippon\"]), note: \"nothing follows here\")]";
    let loaded = LoadedRules::added_to(rules(), "mine.ron", own);
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    assert_eq!(loaded.rules.read("Fired in England").readings[0].rule, "kiln");
    assert!(loaded.rules.read("nippon").readings[0].evidence.is_empty());
    assert_eq!(loaded.rules.read("made in england").readings[0].rule, "made-in");
}

fn any_evidence() -> impl Strategy<Value = Evidence> {
    let thing = prop::sample::select(vec![Thing::Making, Thing::Mark, Thing::Decoration, Thing::Sale]);
    let firmness = prop::sample::select(vec![Firmness::Law, Firmness::Paper, Firmness::Custom, Firmness::Weak]);
    let origin = prop::sample::select(vec![Origin::Diamond, Origin::Wording, Origin::DateCode, Origin::MarkYears, Origin::FormYears]);
    let span = (1800_i16..1990, 0_i16..80, 0..3).prop_map(|(from, long, open)| match open {
        0 => Span::since(Edge::Year(from)),
        1 => Span::until(Edge::Year(from + 80)),
        _ => years(from, from + long),
    });
    let when = prop::collection::vec(span, 1..3).prop_map(Spans::of);
    (thing, firmness, origin, when).prop_map(|(dates, firmness, origin, when)| {
        let mut evidence = piece(dates, origin, firmness, Span::OPEN);
        evidence.says = format!("{} {}", origin.words(), when.words());
        evidence.when = when;
        evidence
    })
}

proptest! {
    #[test]
    fn firm_evidence_never_widens(evidence in prop::collection::vec(any_evidence(), 0..6), more in any_evidence()) {
        let before = Dating::of(evidence.clone(), MarkPut::WithTheMaking);
        let mut with = evidence;
        with.push(Evidence { firmness: Firmness::Law, ..more });
        let after = Dating::of(with, MarkPut::WithTheMaking);
        prop_assert!(after.made.firm.within(&before.made.firm));
        // What custom left can only grow where a clash says why.
        if after.made.clashes.is_empty() && before.made.clashes.is_empty() {
            prop_assert!(after.made.when.within(&before.made.when));
        }
        prop_assert!(after.made.when.within(&after.made.firm));
        if after.made.is_disputed() {
            prop_assert!(!after.made.clashes.is_empty());
        }
    }

    #[test]
    fn order_never_matters(evidence in prop::collection::vec(any_evidence(), 0..6), turn in 0_usize..6) {
        let mut turned = evidence.clone();
        turned.rotate_left(turn.min(evidence.len()));
        turned.reverse();
        let (one, other) = (Dating::of(evidence, MarkPut::WithTheMaking), Dating::of(turned, MarkPut::WithTheMaking));
        for (a, b) in [(Some(&one.made), Some(&other.made)), (one.decorated.as_ref(), other.decorated.as_ref()), (one.sold.as_ref(), other.sold.as_ref())] {
            prop_assert_eq!(a.map(|d| (&d.firm, &d.when, d.clashes.len())), b.map(|d| (&d.firm, &d.when, d.clashes.len())));
        }
        let (p, q) = (one.years(Thing::Making, 1750..=2030), other.years(Thing::Making, 1750..=2030));
        prop_assert!(p.iter().zip(&q).all(|(a, b)| (a.1 - b.1).abs() < 1e-12));
    }

    #[test]
    fn any_text_is_read_without_a_fall(text in "\\PC{0,80}", corners in "(top|left|right|bottom|class)[ =][A-Z0-9?]{0,3}(, ?(top|left|right|bottom)[ =][A-Z0-9?]{0,3}){0,4}") {
        let read = rules().read(&text);
        prop_assert!(read.readings.len() + read.unread.len() > 0);
        rules().read_number("registered-number", &text);
        if let Ok(corners) = corners.parse::<Corners>() {
            let _ = rules().read_diamond(&corners);
        }
    }

    #[test]
    fn no_year_is_made_up(number in 1_u64..919_607) {
        let read = rules().read_number("registered-number", &number.to_string());
        let since = read.readings[0].evidence[1].when.hull().from.unwrap().in_year();
        prop_assert!((1883..=1963).contains(&since));
    }
}

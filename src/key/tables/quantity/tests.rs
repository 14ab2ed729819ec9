#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "tests")]
use super::*;
use proptest::prelude::*;

/// Reads a measure in millimetres, a bare number being in centimetres.
fn mm(text: &str) -> (f64, f64) {
    parse(text, Decimal::Guess).unwrap().in_unit(Unit::Mm, ListUnit::Cm, Customary::Imperial, text).unwrap()
}

fn one(text: &str, expected: f64) {
    assert_eq!(mm(text), (expected, expected), "{text}");
}

#[test]
fn inches_with_fractions() {
    for text in [
        "9 1/4\"",
        "9¼ in",
        "9-1/4 in",
        "9 1/4 inches",
        "9.25 in.",
        "9 ¼″",
        "9 1/4 in. (23.5 cm)",
        "9,25\"",
        "9¼''",
        "H: 9 1/4”",
        "37/4 in",
    ] {
        one(text, 234.95);
    }
    for text in ["6-5/8 in", "6 5/8 inches", "6⅝\"", "6 5⁄8 in", "about 6.625 ins"] {
        one(text, 168.275);
    }
    one("½ in", 12.7);
    one("1 ft 2 in", 355.6);
    one("5' 6 1/2\"", 1689.1);
    one("1'", 304.8);
}

#[test]
fn metric_and_plain() {
    for text in ["92 mm", "9.2 cm", "9,2cm", "9.2", "0.092 m", "92mm", "92 MM", "~92 mm", "c. 92 mm", "h 9.2"] {
        one(text, 92.0);
    }
    one("1,250 mm", 1250.0);
    one("1.250,5 mm", 1250.5);
    one("1 250 mm", 1250.0);
    one("12\u{202f}345.5 mm", 12345.5);
    one("0,125 mm", 0.125);
    one("1.250 mm", 1.25);
    assert_eq!(parse("1.250 mm", Decimal::Comma).unwrap().low.to_bits(), 1250.0_f64.to_bits());
    assert_eq!(parse("1,250 mm", Decimal::Comma).unwrap().low.to_bits(), 1.25_f64.to_bits());
}

#[test]
fn ranges() {
    for text in [
        "92-95 mm",
        "92 to 95 mm",
        "92–95 mm",
        "92 mm - 95 mm",
        "9.2-9.5",
        "92..95 mm",
        "92 mm to 9.5 cm",
        "93.5 ± 1.5 mm",
        "93.5+-1.5mm",
        "93.5 mm +/- 1.5",
    ] {
        assert_eq!(mm(text), (92.0, 95.0), "{text}");
    }
    assert_eq!(mm("9 1/4-9 1/2 in"), (234.95, 241.3));
    assert_eq!(mm("5/8-3/4 in"), (15.875, 19.05));
    assert_eq!(mm("6-5/8 - 7 in"), (168.275, 177.8));
}

/// Figures from the definitions, as printed by NIST (Handbook 44, appendix C) and the UK's Units of Measurement Regulations 1995.
#[test]
fn weights_and_volumes() {
    let check = |text: &str, unit: Unit, customary: Customary, expected: f64| {
        let found = parse(text, Decimal::Guess).unwrap().in_unit(unit, ListUnit::Plain, customary, text).unwrap();
        assert!((found.0 - expected).abs() < 1e-9 * expected, "{text}: {found:?} and not {expected}");
    };
    let (us, imperial) = (Customary::Us, Customary::Imperial);
    check("1 lb 4 oz", Unit::G, imperial, 566.990_462_5);
    check("12 oz", Unit::G, us, 340.194_277_5);
    check("1.2 kg", Unit::G, us, 1200.0);
    check("1 pint", Unit::Ml, imperial, 568.261_25);
    check("1 pint", Unit::Ml, us, 473.176_473);
    check("1½ pts", Unit::Ml, imperial, 852.391_875);
    check("1 US pint", Unit::Ml, imperial, 473.176_473);
    check("1 imp. pint", Unit::Ml, us, 568.261_25);
    check("10 fl. oz.", Unit::Ml, us, 295.735_295_625);
    check("10 fl oz", Unit::Ml, imperial, 284.130_625);
    check("10 UK fl oz", Unit::Ml, us, 284.130_625);
    check("10 U.S. fluid ounces", Unit::Ml, imperial, 295.735_295_625);
    check("10 oz", Unit::Ml, us, 295.735_295_625);
    check("2 US cups", Unit::Ml, us, 473.176_473);
    check("0.75 l", Unit::Ml, us, 750.0);
    check("75 cl", Unit::Ml, us, 750.0);
    check("3", Unit::Count, us, 3.0);
}

#[test]
fn what_is_no_measure_says_why() {
    let check = |text: &str, expected: &str| assert_eq!(parse(text, Decimal::Guess).unwrap_err().to_string(), expected, "{text}");
    let plain =
        |text: &str| check(text, &format!("'{text}' is not a measure (write a number with or without its unit: 92, 92-95 mm, 9 1/4 in)"));
    for text in ["tall", "-5 mm", "1/0 in", "92 furlongs", "92 95", "92 mm wide", "1,2,3", "12.34.56", "92%"] {
        plain(text);
    }
    check("9 x 5 in", "'9 x 5 in' holds several dimensions (give each a column of its own)");
    check("9 × 5 × 3 cm", "'9 × 5 × 3 cm' holds several dimensions (give each a column of its own)");
    check("95-92 mm", "'95-92 mm' runs backwards (write the lesser number first)");
    let oz = parse("12 oz", Decimal::Guess).unwrap().in_unit(Unit::Mm, ListUnit::Mm, Customary::Us, "12 oz").unwrap_err();
    assert_eq!(oz.to_string(), "'12 oz' is in ounces, and a length was expected");
    let long = parse(&"9".repeat(5_000_000), Decimal::Guess).unwrap_err().to_string();
    assert!(long.len() < 200, "a long text is cut in the message: {long}");
}

proptest! {
    #[test]
    fn any_text_is_a_quantity_or_none(text in "\\PC{0,40}", decimal in 0..3_u8) {
        let decimal = [Decimal::Guess, Decimal::Point, Decimal::Comma][usize::from(decimal)];
        if let Ok(found) = parse(&text, decimal) {
            prop_assert!(found.low >= 0.0 && found.low <= found.high && found.high.is_finite(), "{found:?}");
        }
    }

    #[test]
    fn likely_texts_are_a_quantity_or_none(text in "[0-9 ./,'\"¼½inmfoztlb±–-]{0,16}") {
        if let Ok(found) = parse(&text, Decimal::Guess) {
            prop_assert!(found.low >= 0.0 && found.low <= found.high && found.high.is_finite(), "{found:?}");
        }
    }

    #[test]
    fn what_is_written_is_read_again(low in 0_u32..2_000_000, more in 0_u32..10_000, unit in 0..ListUnit::ALL.len()) {
        let unit = ListUnit::ALL[unit];
        let unit = (unit != ListUnit::Plain).then_some(unit);
        let quantity = Quantity { low: f64::from(low) / 100.0, high: f64::from(low + more) / 100.0, unit };
        prop_assert_eq!(parse(&quantity.to_string(), Decimal::Point), Ok(quantity));
    }

    #[test]
    fn sixteenths_of_an_inch_are_read_however_written(whole in 0_u32..40, above in 1_u32..16, form in 0..5_u8) {
        let text = match form {
            0 => format!("{whole} {above}/16\""),
            1 => format!("{whole}-{above}/16 in"),
            2 => format!("{}/16 inches", whole * 16 + above),
            3 => format!("{} in", f64::from(whole) + f64::from(above) / 16.0),
            _ => format!("{whole} {above}⁄16″"),
        };
        let found = mm(&text).0;
        prop_assert!((found - f64::from(whole * 16 + above) * 1.5875).abs() < 1e-8, "{} gave {}", text, found);
    }
}

//! Colours against colour-science 0.4.7 (`tests/reference/colour_values.py`, which says what was given to it explicitly).
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::colour::{Adaptation, Lab, Munsell, WHITE_D65, Xyz, delta_e00, linear_from_srgb, srgb_from_linear};
use serde::Deserialize;

#[derive(Deserialize)]
struct Row {
    srgb: [f64; 3],
    lab: Lab,
    white: [f64; 3],
    adapted: [f64; 3],
    /// Step, value, chroma and the family's code: 1 B, 2 BG, 3 G, 4 GY, 5 Y, 6 YR, 7 R, 8 RP, 9 P, 10 PB.
    munsell: Option<[f64; 4]>,
}

fn rows() -> Vec<Row> {
    let rows: Vec<Row> = serde_json::from_str(include_str!("reference/colour_values.json")).unwrap();
    assert_eq!(rows.len(), 60);
    rows
}

fn near(got: [f64; 3], want: [f64; 3], by: f64) -> bool {
    got.iter().zip(want).all(|(g, w)| (g - w).abs() < by)
}

#[test]
fn srgb_and_lab_agree_both_ways_to_a_millionth() {
    for row in rows() {
        let lab = Lab::from_linear(row.srgb.map(linear_from_srgb));
        assert!(near(<(f64, f64, f64)>::from(lab).into(), <(f64, f64, f64)>::from(row.lab).into(), 1e-6), "{:?}: {lab:?}", row.srgb);
        assert!(near(row.lab.to_linear().map(srgb_from_linear), row.srgb, 1e-6), "{:?}", row.lab);
        assert!(row.lab.is_in_srgb());
    }
    assert!(!Lab::new(50.0, 200.0, 0.0).is_in_srgb() && !Lab::new(f64::NAN, 0.0, 0.0).is_in_srgb());
}

#[test]
fn a_tinted_light_is_taken_away_alike_to_a_millionth() {
    for row in rows() {
        let [x, y, z] = row.white;
        let got = Adaptation::new(Xyz { x, y, z }, WHITE_D65).unwrap().apply(Xyz::from_linear(row.srgb.map(linear_from_srgb)));
        assert!(near([got.x, got.y, got.z], row.adapted, 1e-6), "{got:?} {:?}", row.adapted);
    }
}

/// The reference follows the standard’s straight and round lines between hues; ours are all round: up to half a step of hue and 2 % of chroma.
#[test]
fn munsell_agrees_within_what_is_stated() {
    let mut compared = 0;
    for row in rows() {
        let Some([step, value, chroma, code]) = row.munsell.filter(|m| m.iter().all(|x| x.is_finite())) else { continue };
        let ours = Munsell::from_lab(row.lab).unwrap();
        let theirs = Munsell { hue: step + 10.0 * (7.0 - code).rem_euclid(10.0), value, chroma };
        let turned = (ours.hue - theirs.hue + 50.0).rem_euclid(100.0) - 50.0;
        assert!((ours.value - value).abs() < 1e-4, "{ours} {theirs}");
        assert!(turned.abs() < 0.5 && (ours.chroma - chroma).abs() < 0.1 + 0.02 * chroma, "{ours:?} {theirs:?}");
        assert!(delta_e00(ours.to_lab(), theirs.to_lab()) < 0.6, "{ours:?} {theirs:?}");
        compared += 1;
    }
    assert!(compared >= 50, "{compared}");
}

//! Draws every form of a house key at one scale, or every value drawing, as one SVG picture: for looking at the profiles critically.
//!
//! `cargo run --example contact_sheet -- forms keys/marrowby > forms.svg`
//! `cargo run --example contact_sheet -- above keys/marrowby > above.svg`
//! `cargo run --example contact_sheet -- values keys/marrowby > values.svg`
//! `cargo run --example contact_sheet -- glyphs > glyphs.svg`

use footring::key::outline::{Glyph, Ink, Silhouette};
use footring::key::shape::{Drawing, FinialKind, FootKind, HandleKind, Plan, Point, SpoutKind, Surface};
use footring::key::{Feature, FeatureKind, Form, Part};
use std::error::Error;
use std::fmt::Write as _;
use std::io::Write as _;

fn main() -> Result<(), Box<dyn Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    let svg = match words.as_slice() {
        ["forms", key] => forms(&read::<Vec<Form>>(key, "forms.ron")?, 1.0)?,
        ["above", key] => other_views(&read::<Vec<Form>>(key, "forms.ron")?)?,
        ["forms", key, line] => {
            let forms: Vec<Form> =
                read::<Vec<Form>>(key, "forms.ron")?.into_iter().filter(|form| form.id.as_str().starts_with(line)).collect();
            self::forms(&forms, 1.6)?
        }
        ["values", key] => glyph_sheet(&values(&read::<Vec<Feature>>(key, "features.ron")?))?,
        ["glyphs"] => glyph_sheet(&all_drawings())?,
        _ => return Err("write 'forms KEY', 'forms KEY LINE', 'above KEY', 'values KEY' or 'glyphs'".into()),
    };
    std::io::stdout().write_all(svg.as_bytes())?;
    Ok(())
}

fn read<T: serde::de::DeserializeOwned>(key: &str, file: &str) -> Result<T, Box<dyn Error>> {
    use ron::extensions::Extensions;
    let text = std::fs::read_to_string(std::path::Path::new(key).join(file))?;
    let dialect = Extensions::IMPLICIT_SOME | Extensions::UNWRAP_NEWTYPES | Extensions::UNWRAP_VARIANT_NEWTYPES;
    Ok(ron::Options::default().with_default_extension(dialect).from_str(&text).map_err(|e| format!("{file}:{e}"))?)
}

/// All forms on shelves, `scale` pictures' units a millimetre.
fn forms(forms: &[Form], scale: f64) -> Result<String, std::fmt::Error> {
    const WIDE: f64 = 1900.0;
    let mut body = String::new();
    let (mut x, mut shelf, mut row_high) = (20.0, 0.0, 0.0_f64);
    let mut row: Vec<(f64, &Form, Silhouette)> = Vec::new();
    let flush = |row: &mut Vec<(f64, &Form, Silhouette)>, shelf: f64, body: &mut String| -> std::fmt::Result {
        writeln!(body, r##"<rect x="10" y="{shelf}" width="{}" height="5" fill="#b99a72"/>"##, WIDE - 20.0)?;
        for (i, (at, form, silhouette)) in row.drain(..).enumerate() {
            vessel(body, form, &silhouette, at, shelf, scale)?;
            let middle = at + silhouette.bounds.width() * scale / 2.0;
            let drop = if i % 2 == 0 { 18.0 } else { 30.0 };
            writeln!(body, r#"<text x="{middle:.1}" y="{:.1}" font-size="10" text-anchor="middle">{}</text>"#, shelf + drop, form.id)?;
        }
        Ok(())
    };
    for form in forms {
        let silhouette = form.shape.silhouette();
        let wide = silhouette.bounds.width() * scale + 26.0;
        if x + wide > WIDE {
            shelf += row_high + 56.0;
            flush(&mut row, shelf, &mut body)?;
            (x, row_high) = (20.0, 0.0);
        }
        row_high = row_high.max(silhouette.bounds.height() * scale);
        row.push((x, form, silhouette));
        x += wide;
    }
    shelf += row_high + 56.0;
    flush(&mut row, shelf, &mut body)?;
    Ok(page(WIDE, shelf + 50.0, &body))
}

fn vessel(body: &mut String, form: &Form, silhouette: &Silhouette, at: f64, shelf: f64, scale: f64) -> std::fmt::Result {
    let shift = at - silhouette.bounds.x0 * scale;
    writeln!(
        body,
        r##"<g transform="translate({shift:.2},{shelf:.2}) scale({scale},{})" stroke="#2a2622" stroke-width="0.9" stroke-linejoin="round">"##,
        -scale
    )?;
    for (part, path) in &silhouette.parts {
        let fill = match part {
            Part::Lid | Part::Finial => "#d9c6a3",
            Part::Handle | Part::Spout => "#a98f6b",
            Part::Foot => "#8d7757",
            _ => "#c8b48f",
        };
        writeln!(body, r#"<path d="{}" fill="{fill}"/>"#, path.to_svg())?;
    }
    for line in form.shape.surface_lines() {
        writeln!(body, r#"<path d="{}" fill="none" stroke-width="0.5" stroke-opacity="0.6"/>"#, line.to_svg())?;
    }
    writeln!(body, r##"<path d="{}" fill="#5b4a38" fill-opacity="0.55" stroke="none"/>"##, form.shape.section().to_svg())?;
    writeln!(body, "</g>")
}

/// All forms from above and from underneath, each pair in a cell of its own.
fn other_views(forms: &[Form]) -> Result<String, std::fmt::Error> {
    let mut body = String::new();
    for (i, form) in forms.iter().enumerate() {
        let (x, y) = (10.0 + (i % 9) as f64 * 210.0, 10.0 + (i / 9) as f64 * 130.0);
        for (side, view) in [(0.0, form.shape.above()), (104.0, form.shape.underneath())] {
            let scale = 98.0 / view.bounds.width().max(view.bounds.height()).max(1.0);
            let middle = view.bounds.center();
            let (cx, cy) = (x + side + 50.0 - middle.x * scale, y + 50.0 + middle.y * scale);
            writeln!(
                body,
                r##"<g transform="translate({cx:.2},{cy:.2}) scale({scale:.4},{:.4})" stroke="#2a2622" stroke-width="{:.2}">"##,
                -scale,
                1.0 / scale
            )?;
            for (part, path) in &view.parts {
                let fill = match part {
                    Part::Lid | Part::Finial => "#d9c6a3",
                    Part::Handle | Part::Spout => "#a98f6b",
                    Part::Foot => "#8d7757",
                    _ => "#c8b48f",
                };
                writeln!(body, r#"<path d="{}" fill="{fill}" fill-rule="evenodd"/>"#, path.to_svg())?;
            }
            writeln!(body, "</g>")?;
        }
        writeln!(body, r#"<text x="{x}" y="{}" font-size="10">{}</text>"#, y + 114.0, form.id)?;
    }
    Ok(page(1910.0, 30.0 + forms.len().div_ceil(9) as f64 * 130.0, &body))
}

fn page(wide: f64, high: f64, body: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{wide}\" height=\"{high}\" font-family=\"sans-serif\"><rect width=\"{wide}\" height=\"{high}\" fill=\"#fbf7ef\"/>\n{body}</svg>\n"
    )
}

fn values(features: &[Feature]) -> Vec<(String, Drawing)> {
    let mut all = Vec::new();
    for feature in features {
        if let FeatureKind::Choice(values) = &feature.kind {
            all.extend(values.iter().map(|value| (format!("{} {}", feature.id, value.id), value.drawing.clone())));
        }
    }
    all
}

fn glyph_sheet(all: &[(String, Drawing)]) -> Result<String, std::fmt::Error> {
    let mut body = String::new();
    for (i, (name, drawing)) in all.iter().enumerate() {
        let (x, y) = (20.0 + (i % 8) as f64 * 230.0, 20.0 + (i / 8) as f64 * 128.0);
        let glyph = drawing.glyph();
        draw_glyph(&mut body, &glyph, x, y, 96.0)?;
        draw_glyph(&mut body, &glyph, x + 104.0, y + 6.0, 40.0)?;
        draw_glyph(&mut body, &glyph, x + 152.0, y + 12.0, 28.0)?;
        writeln!(body, r#"<text x="{x}" y="{}" font-size="11">{name}</text>"#, y + 110.0)?;
    }
    Ok(page(1870.0, 40.0 + all.len().div_ceil(8) as f64 * 128.0, &body))
}

fn draw_glyph(body: &mut String, glyph: &Glyph, x: f64, y: f64, size: f64) -> std::fmt::Result {
    writeln!(body, r##"<rect x="{x}" y="{y}" width="{size}" height="{size}" fill="#f3ece0"/>"##)?;
    let line = (size / 40.0 * 1.8).max(1.4) / size;
    for (path, ink) in &glyph.paths {
        let paint = match ink {
            Ink::Stroke => format!(r##"fill="none" stroke="#2a2622" stroke-width="{line}""##),
            Ink::Fill => r##"fill="#2a2622""##.to_owned(),
            Ink::Faint => format!(r##"fill="none" stroke="#9a8f80" stroke-width="{}""##, line * 0.8),
            Ink::Wash => r##"fill="#e2d3b8""##.to_owned(),
        };
        writeln!(
            body,
            r#"<path transform="translate({x},{y}) scale({size})" d="{}" {paint} stroke-linejoin="round" stroke-linecap="round"/>"#,
            path.to_svg()
        )?;
    }
    Ok(())
}

fn all_drawings() -> Vec<(String, Drawing)> {
    use Point::{Corner, Curve};
    let mut all: Vec<(String, Drawing)> = Vec::new();
    let plans = [
        Plan::Round,
        Plan::Oval(1.35),
        Plan::RoundedSquare,
        Plan::Oblong(1.6),
        Plan::Sided(6),
        Plan::Sided(8),
        Plan::Sided(5),
        Plan::Lobed(5),
        Plan::Lobed(8),
    ];
    all.extend(plans.into_iter().map(|plan| (format!("{plan:?}"), Drawing::Plan(plan))));
    let handles =
        [HandleKind::Loop, HandleKind::Ear, HandleKind::Angular, HandleKind::Lug, HandleKind::Stick, HandleKind::Bail, HandleKind::Pierced];
    all.extend(handles.into_iter().map(|kind| (format!("{kind:?}"), Drawing::Handle(kind))));
    all.extend((0..=4).map(|n| (format!("Handles {n}"), Drawing::Handles(n))));
    let spouts = [SpoutKind::Lip, SpoutKind::Beak, SpoutKind::Tube, SpoutKind::Swan];
    all.extend(spouts.into_iter().map(|kind| (format!("{kind:?}"), Drawing::Spout(kind))));
    let finials =
        [FinialKind::Ball, FinialKind::Button, FinialKind::Cone, FinialKind::Ring, FinialKind::Strap, FinialKind::Bar, FinialKind::Sunk];
    all.extend(finials.into_iter().map(|kind| (format!("{kind:?}"), Drawing::Finial(kind))));
    let feet = [FootKind::Ring, FootKind::Flat, FootKind::Pedestal, FootKind::Stumps, FootKind::Hollow];
    all.extend(feet.into_iter().map(|kind| (format!("{kind:?}"), Drawing::Foot(kind))));
    let surfaces = [Surface::Plain, Surface::Ribs(8, 5.0, 40.0), Surface::Flutes(24), Surface::Facets(8)];
    all.extend(surfaces.into_iter().map(|surface| (format!("{surface:?}"), Drawing::Surface(surface))));
    all.push(("Body globular".into(), Drawing::Body(vec![Corner(18.0, 0.0), Curve(40.0, 30.0), Corner(24.0, 62.0)])));
    all.push((
        "Body stepped".into(),
        Drawing::Body(vec![Corner(24.0, 0.0), Corner(24.0, 6.0), Corner(38.0, 20.0), Corner(38.0, 52.0), Corner(34.0, 58.0)]),
    ));
    all.push(("Lid dome".into(), Drawing::Lid(vec![Corner(40.0, 0.0), Curve(30.0, 14.0), Curve(0.0, 22.0)])));
    all.push(("Lid flat".into(), Drawing::Lid(vec![Corner(40.0, 0.0), Corner(40.0, 5.0), Corner(34.0, 9.0)])));
    all.push(("Rim flared".into(), Drawing::Rim(vec![Corner(30.0, 0.0), Curve(30.5, 5.0), Corner(36.0, 10.0)])));
    all.push(("Rim straight".into(), Drawing::Rim(vec![Corner(30.0, 0.0), Corner(30.0, 10.0)])));
    all.push(("Absent".into(), Drawing::Absent));
    all.push(("Strokes".into(), Drawing::Strokes(vec![vec![(0.1, 0.9), (0.5, 0.1), (0.9, 0.9)], vec![(0.3, 0.5), (0.7, 0.5)]])));
    all
}

//! Colours, sizes and type of the window. Colours come from `assets/theme.ron`; no other file of the desk makes one up.

use crate::colour::Lab;
use egui::{Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, TextStyle, Theme, Ui, Vec2};
use serde::{Deserialize, Deserializer};
use std::sync::{Arc, OnceLock};

/// Least height and width of anything to be clicked or touched, in points.
pub const TARGET: f32 = 34.0;
/// Gap between neighbouring cards, in points.
pub const GAP: f32 = 12.0;
/// Corner radius of cards, in points.
pub const ROUND: u8 = 10;

/// The colours of one theme. The file says what each is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
#[expect(missing_docs, reason = "assets/theme.ron says what each colour is for")]
pub struct Colours {
    #[serde(deserialize_with = "hex")]
    pub table: Color32,
    #[serde(deserialize_with = "hex")]
    pub bar: Color32,
    #[serde(deserialize_with = "hex")]
    pub paper: Color32,
    #[serde(deserialize_with = "hex")]
    pub paper_warm: Color32,
    #[serde(deserialize_with = "hex")]
    pub grid: Color32,
    #[serde(deserialize_with = "hex")]
    pub edge: Color32,
    #[serde(deserialize_with = "hex")]
    pub ink: Color32,
    #[serde(deserialize_with = "hex")]
    pub ink_soft: Color32,
    #[serde(deserialize_with = "hex")]
    pub ink_faint: Color32,
    #[serde(deserialize_with = "hex")]
    pub on_ink: Color32,
    #[serde(deserialize_with = "hex")]
    pub clay: Color32,
    #[serde(deserialize_with = "hex")]
    pub clay_dark: Color32,
    #[serde(deserialize_with = "hex")]
    pub moss: Color32,
    #[serde(deserialize_with = "hex")]
    pub on_moss: Color32,
    #[serde(deserialize_with = "hex")]
    pub moss_faint: Color32,
    #[serde(deserialize_with = "hex")]
    pub glow: Color32,
    #[serde(deserialize_with = "hex")]
    pub glow_text: Color32,
    #[serde(deserialize_with = "hex")]
    pub glow_wash: Color32,
    #[serde(deserialize_with = "hex")]
    pub slip: Color32,
    #[serde(deserialize_with = "hex")]
    pub alarm: Color32,
    #[serde(deserialize_with = "hex")]
    pub alarm_wash: Color32,
    #[serde(deserialize_with = "hex")]
    pub shelf: Color32,
    #[serde(deserialize_with = "hex")]
    pub wood: Color32,
    #[serde(deserialize_with = "hex")]
    pub shade: Color32,
    #[serde(deserialize_with = "six_hex")]
    pub forms: [Color32; 6],
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Themes {
    light: Colours,
    dark: Colours,
}

fn six_hex<'de, D: Deserializer<'de>>(deserializer: D) -> Result<[Color32; 6], D::Error> {
    let texts = <[String; 6]>::deserialize(deserializer)?;
    let mut colours = [Color32::TRANSPARENT; 6];
    for (colour, text) in colours.iter_mut().zip(&texts) {
        *colour = Color32::from_hex(text).map_err(|_bad| serde::de::Error::custom(format!("'{text}' is not a colour")))?;
    }
    Ok(colours)
}

fn hex<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Color32, D::Error> {
    let text = String::deserialize(deserializer)?;
    Color32::from_hex(&text).map_err(|_bad| serde::de::Error::custom(format!("'{text}' is not a colour such as \"#F5EFE4\"")))
}

fn themes() -> &'static Themes {
    static THEMES: OnceLock<Themes> = OnceLock::new();
    THEMES.get_or_init(|| {
        #[expect(clippy::expect_used, reason = "the file is part of the program and a test reads it")]
        ron::from_str(include_str!("../../assets/theme.ron")).expect("assets/theme.ron is well formed")
    })
}

/// The colours of a theme.
pub fn colours_of(theme: Theme) -> &'static Colours {
    match theme {
        Theme::Light => &themes().light,
        Theme::Dark => &themes().dark,
    }
}

/// The colours of the theme that is showing.
pub fn colours(ui: &Ui) -> &'static Colours {
    colours_of(ui.theme())
}

/// A colour of clay, glaze or ink as the screen shows it.
pub fn of_lab(lab: Lab) -> Color32 {
    let [r, g, b] = lab.to_srgb();
    Color32::from_rgb(r, g, b)
}

/// Relative luminance, WCAG 2.2 (W3C Recommendation, definition 'relative luminance').
fn luminance(colour: Color32) -> f64 {
    let channel = |c: u8| {
        let c = f64::from(c) / 255.0;
        if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * channel(colour.r()) + 0.7152 * channel(colour.g()) + 0.0722 * channel(colour.b())
}

/// Contrast of two colours, 1 to 21 (WCAG 2.2, definition 'contrast ratio').
pub fn contrast(a: Color32, b: Color32) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

/// Gives the window its type and both its themes.
pub fn install(ctx: &Context) {
    ctx.set_fonts(fonts());
    for theme in [Theme::Light, Theme::Dark] {
        ctx.style_mut_of(theme, |style| dress(style, colours_of(theme)));
    }
}

/// The name of the bold family.
pub fn bold() -> FontFamily {
    FontFamily::Name("bold".into())
}

/// The name of the family for written names.
pub fn script() -> FontFamily {
    FontFamily::Name("script".into())
}

fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let ours = [
        ("text", include_bytes!("../../assets/fonts/AtkinsonHyperlegibleNext-Regular.ttf").as_slice()),
        ("text-bold", include_bytes!("../../assets/fonts/AtkinsonHyperlegibleNext-Bold.ttf").as_slice()),
        ("text-italic", include_bytes!("../../assets/fonts/AtkinsonHyperlegibleNext-Italic.ttf").as_slice()),
        ("signs", include_bytes!("../../assets/fonts/FootringSigns.ttf").as_slice()),
    ];
    for (name, bytes) in ours {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    let bundled = fonts.families.get(&FontFamily::Proportional).cloned().unwrap_or_default();
    let chain = |first: &str| [first, "signs"].into_iter().map(str::to_owned).chain(bundled.iter().cloned()).collect::<Vec<_>>();
    let (regular, heavy, slanted) = (chain("text"), chain("text-bold"), chain("text-italic"));
    fonts.families.insert(FontFamily::Proportional, regular);
    fonts.families.insert(bold(), heavy);
    fonts.families.insert(script(), slanted);
    if let Some(mono) = fonts.families.get_mut(&FontFamily::Monospace) {
        mono.push("signs".to_owned());
    }
    fonts
}

fn dress(style: &mut egui::Style, c: &Colours) {
    style.text_styles = [
        (TextStyle::Small, FontId::new(13.0, FontFamily::Proportional)),
        (TextStyle::Body, FontId::new(15.5, FontFamily::Proportional)),
        (TextStyle::Button, FontId::new(15.5, FontFamily::Proportional)),
        (TextStyle::Heading, FontId::new(19.0, bold())),
        (TextStyle::Monospace, FontId::new(14.0, FontFamily::Monospace)),
    ]
    .into();
    let spacing = &mut style.spacing;
    spacing.item_spacing = Vec2::new(8.0, 6.0);
    spacing.button_padding = Vec2::new(12.0, 6.0);
    spacing.interact_size = Vec2::new(TARGET, TARGET);
    spacing.icon_width = 18.0;
    spacing.menu_margin = Margin::same(6);
    spacing.scroll = egui::style::ScrollStyle::thin();
    let v = &mut style.visuals;
    v.override_text_color = Some(c.ink);
    v.weak_text_color = Some(c.ink_soft);
    v.panel_fill = c.table;
    v.window_fill = c.paper;
    v.window_stroke = Stroke::new(1.0, c.edge);
    v.window_corner_radius = CornerRadius::same(ROUND);
    v.menu_corner_radius = CornerRadius::same(ROUND);
    v.extreme_bg_color = c.paper;
    v.text_edit_bg_color = Some(c.paper);
    v.faint_bg_color = c.paper_warm;
    v.code_bg_color = c.paper_warm;
    v.hyperlink_color = c.glow_text;
    v.warn_fg_color = c.glow_text;
    v.error_fg_color = c.alarm;
    v.selection.bg_fill = c.glow_wash;
    v.selection.stroke = Stroke::new(1.5, c.glow_text);
    let shadow = egui::Shadow { offset: [0, 4], blur: 14, spread: 0, color: c.shade };
    v.window_shadow = shadow;
    v.popup_shadow = shadow;
    let round = CornerRadius::same(7);
    let widgets = &mut v.widgets;
    for (state, fill, stroke) in [
        (&mut widgets.noninteractive, c.paper, Stroke::new(1.0, c.edge)),
        (&mut widgets.inactive, c.paper_warm, Stroke::new(1.0, c.edge)),
        (&mut widgets.hovered, c.glow_wash, Stroke::new(1.5, c.glow)),
        (&mut widgets.active, c.glow_wash, Stroke::new(2.0, c.glow)),
        (&mut widgets.open, c.glow_wash, Stroke::new(1.0, c.glow)),
    ] {
        state.bg_fill = fill;
        state.weak_bg_fill = fill;
        state.bg_stroke = stroke;
        state.fg_stroke = Stroke::new(1.5, c.ink);
        state.corner_radius = round;
        state.expansion = 0.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_on_white_is_twenty_one_to_one() {
        let ratio = contrast(Color32::BLACK, Color32::WHITE);
        assert!((ratio - 21.0).abs() < 1e-9, "WCAG 2.2 gives 21 for black on white, here {ratio}");
    }

    #[test]
    fn the_lines_of_six_forms_stand_out_from_each_other() {
        for (name, theme) in [("light", Theme::Light), ("dark", Theme::Dark)] {
            let c = colours_of(theme);
            let lab = |colour: &Color32| Lab::from_srgb([colour.r(), colour.g(), colour.b()]);
            for (i, line) in c.forms.iter().enumerate() {
                for (ground_name, ground) in [("paper_warm", c.paper_warm), ("glow_wash", c.glow_wash)] {
                    let ratio = contrast(*line, ground);
                    assert!(ratio >= 3.0, "{name}: line {i} on {ground_name} has {ratio:.2} : 1");
                }
                for (j, other) in c.forms.iter().enumerate().skip(i + 1) {
                    let apart = crate::colour::delta_e00(lab(line), lab(other));
                    assert!(apart >= 15.0, "{name}: lines {i} and {j} are only ΔE00 {apart:.1} apart");
                }
            }
        }
    }

    #[test]
    fn text_can_be_read_on_every_ground_it_stands_on() {
        for (name, theme) in [("light", Theme::Light), ("dark", Theme::Dark)] {
            let c = colours_of(theme);
            let grounds = [("paper", c.paper), ("paper_warm", c.paper_warm), ("table", c.table), ("shelf", c.shelf), ("bar", c.bar)];
            for (ground_name, ground) in grounds {
                for (text_name, text) in [("ink", c.ink), ("ink_soft", c.ink_soft)] {
                    let ratio = contrast(text, ground);
                    assert!(ratio >= 4.5, "{name}: {text_name} on {ground_name} has {ratio:.2} : 1");
                }
            }
            for (what, text, ground) in [
                ("on_ink on ink", c.on_ink, c.ink),
                ("on_moss on moss", c.on_moss, c.moss),
                ("glow_text on glow_wash", c.glow_text, c.glow_wash),
                ("glow_text on paper", c.glow_text, c.paper),
                ("glow_text on shelf", c.glow_text, c.shelf),
                ("ink on glow_wash", c.ink, c.glow_wash),
                ("ink_soft on glow_wash", c.ink_soft, c.glow_wash),
                ("alarm on alarm_wash", c.alarm, c.alarm_wash),
                ("alarm on paper", c.alarm, c.paper),
            ] {
                let ratio = contrast(text, ground);
                assert!(ratio >= 4.5, "{name}: {what} has {ratio:.2} : 1");
            }
            for (i, ink) in c.forms.into_iter().enumerate() {
                let ratio = contrast(ink, c.paper);
                assert!(ratio >= 4.5, "{name}: the ink of form {i} on paper has {ratio:.2} : 1");
            }
            // Drawn lines and the edges of targets: 3 : 1 (WCAG 2.2, 1.4.11).
            for (what, line, ground) in
                [("glow on paper", c.glow, c.paper), ("ink on paper", c.ink, c.paper), ("moss on shelf", c.moss, c.shelf)]
            {
                let ratio = contrast(line, ground);
                assert!(ratio >= 3.0, "{name}: {what} has {ratio:.2} : 1");
            }
        }
    }
}

//! `footring measure`

use super::cli_measure::{Measure as Asked, OnCoins, SaidTop, View};
use super::measure_side;
use super::outcome::{Outcome, Trouble};
use super::page::plain;
use super::photograph::{LensBelieved, camera_named, cameras, opened};
use crate::key::percent;
use crate::photo::camera::Measured;
use crate::photo::outline::{Above, AboveOptions, Model};
use crate::photo::side::{self, Top, Wall};
use crate::photo::{AboveAgain, OUTLINE_COLOUR, Overlay, Photo, Prepared, Progress, SCALE_COLOUR, ScaleBy, Scaled};
use kurbo::Point;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// Of `--bootstrap`: the same photograph and number of rounds always give the same.
const SEED: u64 = 1;

pub(super) fn run(asked: &Asked, out: &mut dyn Write, err: &mut dyn Write) -> Result<Outcome, Trouble> {
    let photo = opened(&asked.photo, err)?;
    let wrong = |e: crate::photo::MeasureError| Trouble::Problem(format!("'{}': {e}", photo.name()));
    let prepared = Prepared::of(&photo, &Progress::new()).map_err(wrong)?;
    let prepared = match &asked.cameras {
        Some(file) => {
            let cameras = cameras(file)?;
            let taken_with = asked.taken_with.as_deref().map(|name| camera_named(&cameras, name)).transpose()?;
            prepared.with_known(&cameras, taken_with, &photo.hash().to_string())
        }
        None => prepared,
    };
    let by = match (asked.card, asked.scale_mm.zip(asked.points), asked.coin.zip(asked.coin_mm)) {
        (Some(corners), ..) => ScaleBy::Corners(corners),
        (None, Some((mm, points)), _) => ScaleBy::Length(points, mm),
        (None, None, Some((OnCoins::One(px), mm))) => ScaleBy::Coin(px, mm),
        (None, None, Some((OnCoins::Two(px), mm))) => ScaleBy::Coins(px, mm),
        (None, None, None) => ScaleBy::FoundCard,
    };
    let scaled = prepared.scaled(&by).map_err(wrong)?;
    match asked.view {
        View::Above => {
            let options = AboveOptions { rim_height_mm: asked.rim_height_mm, ..AboveOptions::default() };
            let found = prepared.above(&scaled, &options, &Progress::new()).map_err(wrong)?;
            if let Some(file) = &asked.overlay {
                save_overlay(&photo, &scaled, &found, file)?;
            }
            let again = match asked.bootstrap {
                Some(rounds) => Some(prepared.above_again(&scaled, &found, rounds, SEED, &Progress::new()).map_err(wrong)?),
                None => None,
            };
            if asked.json {
                super::json(&AboveReport { bootstrap: again, ..AboveReport::of(&prepared, &scaled, &found) }, out)
            } else {
                let lens = asked.cameras.as_ref().map(|_| LensBelieved::of(&prepared));
                print_above(&scaled, &found, again.as_ref(), lens.as_ref(), out)
            }
        }
        View::Side => {
            let Some(card) = &scaled.card else {
                return Err(Trouble::Misuse(
                    "from the side a card is needed, not a length or a coin (stand one upright beside the piece)".to_owned(),
                ));
            };
            let wall = asked.wall_mm.map_or(Wall::Usual, Wall::Mm);
            let mut found = side::measure(photo.pixels(), card, wall, &Progress::new())
                .map_err(|e| Trouble::Problem(format!("'{}': {e}", photo.name())))?;
            found.measured = found.measured.told(match asked.top {
                None => Top::Unsaid,
                Some(SaidTop::Open) => Top::Open,
                Some(SaidTop::Closed) => Top::Closed,
            });
            if let Some(file) = &asked.overlay {
                measure_side::save_overlay(&photo, &scaled, &found, file)?;
            }
            let again = match asked.bootstrap {
                Some(rounds) => Some(
                    found.again(card, rounds, SEED, &Progress::new()).map_err(|e| Trouble::Problem(format!("'{}': {e}", photo.name())))?,
                ),
                None => None,
            };
            let asked_for_lens = asked.cameras.is_some();
            let told = measure_side::Told { prepared: &prepared, scaled: &scaled, found: &found, again, asked_for_lens };
            measure_side::report(&told, asked.json, out)
        }
    }
}

#[derive(Serialize)]
struct AboveReport {
    view: &'static str,
    /// Corners of the card, round it; null where there was none.
    card_px: Option<[[f64; 2]; 4]>,
    /// Middles of the coins and their half axes as they are seen; null where there was none.
    coins_px: Option<Vec<CoinSeen>>,
    /// Relative standard deviation of a length beside the card.
    scale_sd: f64,
    /// Whether it is known which way the camera was tilted; of one coin it is not.
    tilt_known: bool,
    lens: LensBelieved,
    outline: Outline,
    centre_px: [f64; 2],
    /// Robust standard deviation of the rim's points about the curve.
    residual_mm: f64,
    /// Share of the outline at which an edge was seen.
    seen: f64,
    outline_px: Vec<[f64; 2]>,
    /// What measuring again and again gave; absent where that was not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    bootstrap: Option<AboveAgain>,
}

#[derive(Serialize)]
struct CoinSeen {
    centre: [f64; 2],
    half_axes: [f64; 2],
}

#[derive(Serialize)]
struct Outline {
    model: Model,
    major_mm: f64,
    minor_mm: f64,
    /// The larger of the two axes' standard deviations.
    sd_mm: f64,
    major_sd_mm: f64,
    minor_sd_mm: f64,
    aspect: f64,
    aspect_sd: f64,
    p_round: f64,
    p_cornered: f64,
    exponent: Option<f64>,
    corner_mm: f64,
    area_mm2: f64,
    perimeter_mm: f64,
}

impl AboveReport {
    fn of(prepared: &Prepared, scaled: &Scaled, found: &Above) -> Self {
        let pair = |p: &Point| [p.x, p.y];
        Self {
            view: "above",
            card_px: scaled.card.as_ref().map(|card| card.corners_px.map(|p| [p.x, p.y])),
            coins_px: scaled
                .coins
                .as_ref()
                .map(|coins| coins.edges_px.iter().map(|e| CoinSeen { centre: pair(&e.centre), half_axes: [e.a, e.b] }).collect()),
            scale_sd: scaled.scale_sd,
            tilt_known: scaled.tilt_known(),
            lens: LensBelieved::of(prepared),
            outline: Outline {
                model: found.model,
                major_mm: found.major_mm.value,
                minor_mm: found.minor_mm.value,
                sd_mm: found.major_mm.sd.max(found.minor_mm.sd),
                major_sd_mm: found.major_mm.sd,
                minor_sd_mm: found.minor_mm.sd,
                aspect: found.aspect.value,
                aspect_sd: found.aspect.sd,
                p_round: found.p_round,
                p_cornered: found.p_cornered,
                exponent: (found.model == Model::Superellipse).then_some(found.exponent.value),
                corner_mm: found.corner_mm.value,
                area_mm2: found.area_mm2.value,
                perimeter_mm: found.perimeter_mm.value,
            },
            centre_px: pair(&found.centre_px),
            residual_mm: found.residual_mm,
            seen: found.seen,
            outline_px: found.outline_px.iter().map(pair).collect(),
            bootstrap: None,
        }
    }
}

fn print_above(
    scaled: &Scaled,
    found: &Above,
    again: Option<&AboveAgain>,
    lens: Option<&LensBelieved>,
    out: &mut dyn Write,
) -> Result<Outcome, Trouble> {
    let mut line = |name: &str, text: String| writeln!(out, "{}", plain(&format!("{name:<13}{text}")));
    let shape = match found.model {
        Model::Circle => "round",
        Model::Ellipse => "oval",
        Model::Superellipse => "rounded square or oblong",
    };
    line("outline", format!("{shape} (round with {})", percent(found.p_round)))?;
    let mm = |m: Measured| format!("{m} mm");
    line("major axis", mm(found.major_mm))?;
    line("minor axis", mm(found.minor_mm))?;
    line("aspect", format!("{:.3} ± {:.3}", found.aspect.value, found.aspect.plus_minus()))?;
    if found.model == Model::Superellipse {
        line("corners", mm(found.corner_mm))?;
    }
    line("perimeter", mm(found.perimeter_mm))?;
    let cm2 = Measured::new(found.area_mm2.value / 100.0, found.area_mm2.sd / 100.0);
    line("area", format!("{cm2} cm²"))?;
    line("seen", format!("{} of the outline, {:.2} mm beside the curve", percent(found.seen), found.residual_mm))?;
    line("scale", format!("± {:.2} % {}", 200.0 * scaled.scale_sd, by_what(scaled)))?;
    if let Some(lens) = lens {
        line("lens", lens.words())?;
    }
    if let Some(a) = again {
        let (major, minor) = (2.0 * a.major_sd_mm, 2.0 * a.minor_sd_mm);
        let text = format!(
            "{} times: major axis ± {major:.1} mm, minor axis ± {minor:.1} mm, aspect ± {:.3}, round with {}",
            a.rounds,
            2.0 * a.aspect_sd,
            percent(a.p_round)
        );
        line("again", text)?;
    }
    Ok(Outcome::Well)
}

/// What gave the scale, in words.
fn by_what(scaled: &Scaled) -> &'static str {
    match &scaled.coins {
        _ if scaled.card.is_some() => "by the card, which is taken to lie flat in the plane of the rim",
        Some(coins) if coins.edges_px.len() > 1 && coins.other.is_none() => "by two coins",
        Some(coins) if coins.edges_px.len() > 1 => {
            "by two coins; which way the camera was tilted is still not known, and each ± says so (lay them further apart)"
        }
        Some(_) => "by one coin; it does not tell which way the camera was tilted, and each ± says so (lay a second one on the other side)",
        None => "by the length given; the tilt of the camera is not known",
    }
}

/// The photograph with the card or the coins drawn over it.
pub(super) fn with_card(photo: &Photo, scaled: &Scaled) -> Overlay {
    let mut overlay = Overlay::of(photo.pixels());
    if let Some(card) = &scaled.card {
        let [a, b, c, d] = card.corners_px;
        overlay.line(&[a, b, c, d, a], SCALE_COLOUR);
    }
    for coin in scaled.coins.iter().flat_map(|coins| &coins.edges_px) {
        let mut round = coin.points(90);
        round.extend(round.first().copied());
        overlay.line(&round, SCALE_COLOUR);
    }
    overlay
}

/// Writes a picture as PNG.
pub(super) fn save(overlay: &Overlay, file: &Path) -> Result<(), Trouble> {
    overlay
        .picture()
        .save_with_format(file, image::ImageFormat::Png)
        .map_err(|e| Trouble::Misuse(format!("'{}' can't be written: {e}", file.display())))
}

fn save_overlay(photo: &Photo, scaled: &Scaled, found: &Above, file: &Path) -> Result<(), Trouble> {
    let mut overlay = with_card(photo, scaled);
    let mut round = found.outline_px.clone();
    round.extend(found.outline_px.first().copied());
    overlay.line(&round, OUTLINE_COLOUR);
    overlay.cross(found.centre_px, OUTLINE_COLOUR);
    save(&overlay, file)
}

//! `footring measure --view side`

use super::measure::{save, with_card};
use super::outcome::{Outcome, Trouble};
use super::page::plain;
use super::photograph::LensBelieved;
use crate::photo::camera::Measured;
use crate::photo::side::{At, SideAgain, SideSeen, TRUST};
use crate::photo::{OUTLINE_COLOUR, Photo, Prepared, SCALE_COLOUR, Scaled};
use serde::Serialize;
use std::io::Write;
use std::path::Path;

#[derive(Serialize)]
struct SideReport<'a> {
    view: &'static str,
    card_px: Option<[[f64; 2]; 4]>,
    scale_sd: f64,
    lens: LensBelieved,
    height_mm: Option<f64>,
    rim_mm: Option<f64>,
    max_mm: f64,
    foot_mm: Option<f64>,
    capacity_ml: Option<f64>,
    /// Radius and height above the table, from the foot up.
    profile_mm: &'a [(f64, f64)],
    sds: Sds<'a>,
    wall_mm: f64,
    /// How well the edge was seen all round, 0 to 1.
    seen: f64,
    notes: Vec<&'a str>,
    /// What measuring again and again gave; absent where that was not asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    bootstrap: Option<SideAgain>,
}

/// One standard deviation of each.
#[derive(Serialize)]
struct Sds<'a> {
    height_mm: Option<f64>,
    rim_mm: Option<f64>,
    max_mm: f64,
    foot_mm: Option<f64>,
    capacity_ml: Option<f64>,
    profile_mm: &'a [f64],
}

/// What was seen of a piece from the side, and on what.
pub(super) struct Told<'a> {
    pub(super) prepared: &'a Prepared,
    pub(super) scaled: &'a Scaled,
    pub(super) found: &'a SideSeen,
    pub(super) again: Option<SideAgain>,
    /// Whether it was asked what is known of the camera.
    pub(super) asked_for_lens: bool,
}

pub(super) fn report(told: &Told<'_>, json: bool, out: &mut dyn Write) -> Result<Outcome, Trouble> {
    if json {
        return super::json(&side_report(told), out);
    }
    let Told { prepared, scaled, found, again, asked_for_lens } = *told;
    let m = &found.measured;
    let mut line = |name: &str, text: String| writeln!(out, "{}", plain(&format!("{name:<13}{text}")));
    let mm = |m: Option<Measured>, hidden: &str| m.map_or_else(|| hidden.to_owned(), |m| format!("{m} mm"));
    line("height", mm(m.height, "not seen"))?;
    line("rim", mm(m.rim, "not told"))?;
    line("greatest", mm(Some(m.greatest), ""))?;
    line("foot", mm(m.foot, "not seen"))?;
    let capacity = m.capacity.as_ref().map_or_else(
        || "not known".to_owned(),
        |c| {
            let (us, imperial) = (c.us_fl_oz(), c.imperial_fl_oz());
            format!(
                "{} ml to the brim ({us} US fl oz, {imperial} imperial fl oz; {} imperial pints), wall {:.1} mm",
                c.ml,
                c.imperial_pints(),
                m.wall_mm
            )
        },
    );
    line("capacity", capacity)?;
    for part in &m.left_out {
        let side = match part.at {
            At::Left => "left",
            At::Right => "right",
        };
        let text = format!("at the {side}, {:.0} to {:.0} mm above the table, reaching {:.0} mm", part.from_mm, part.to_mm, part.reach_mm);
        line("stands out", text)?;
    }
    line("scale", format!("± {:.2} % by the card", 200.0 * scaled.scale_sd))?;
    if asked_for_lens {
        line("lens", LensBelieved::of(prepared).words())?;
    }
    if let Some(a) = again {
        let mm = |name: &str, sd: Option<f64>| sd.map(|sd| format!("{name} ± {:.1} mm", 2.0 * sd));
        let all = [mm("height", a.height_sd_mm), mm("rim", a.rim_sd_mm), mm("greatest", Some(a.max_sd_mm)), mm("foot", a.foot_sd_mm)];
        let all: Vec<String> =
            all.into_iter().flatten().chain(a.capacity_sd_ml.map(|sd| format!("capacity ± {:.0} ml", 2.0 * sd))).collect();
        line("again", format!("{} times: {}", a.rounds, all.join(", ")))?;
    }
    for note in m.notes.iter().map(String::as_str).chain([TRUST]) {
        line("note", note.to_owned())?;
    }
    Ok(Outcome::Well)
}

fn side_report<'a>(told: &Told<'a>) -> SideReport<'a> {
    let Told { scaled, found, again, .. } = *told;
    let m = &found.measured;
    let value = |m: &Option<Measured>| m.map(|m| m.value);
    let sd = |m: &Option<Measured>| m.map(|m| m.sd);
    SideReport {
        view: "side",
        card_px: scaled.card.as_ref().map(|card| card.corners_px.map(|p| [p.x, p.y])),
        scale_sd: scaled.scale_sd,
        lens: LensBelieved::of(told.prepared),
        height_mm: value(&m.height),
        rim_mm: value(&m.rim),
        max_mm: m.greatest.value,
        foot_mm: value(&m.foot),
        capacity_ml: m.capacity.as_ref().map(|c| c.ml.value),
        profile_mm: &m.profile_mm,
        sds: Sds {
            height_mm: sd(&m.height),
            rim_mm: sd(&m.rim),
            max_mm: m.greatest.sd,
            foot_mm: sd(&m.foot),
            capacity_ml: m.capacity.as_ref().map(|c| c.ml.sd),
            profile_mm: &m.profile_sd_mm,
        },
        wall_mm: m.wall_mm,
        seen: found.seen,
        notes: m.notes.iter().map(String::as_str).chain([TRUST]).collect(),
        bootstrap: again,
    }
}

pub(super) fn save_overlay(photo: &Photo, scaled: &Scaled, found: &SideSeen, file: &Path) -> Result<(), Trouble> {
    let mut overlay = with_card(photo, scaled);
    overlay.line(&found.axis_px, SCALE_COLOUR);
    for p in &found.solid_px {
        overlay.line(&[*p, *p + (0.5, 0.0)], OUTLINE_COLOUR);
    }
    save(&overlay, file)
}

//! The photographs of the demo: lids and pots of the demo key's forms in its glazes, every hard case among them, each from a seed of its own.

use crate::chosen::{BLACK, Coat, WHITE, Wish, Yes};
use crate::form::Pot;
use crate::lid::{self, LidShape};
use crate::phone::Phone;
use crate::plan::{Model, Plan};
use crate::side;
use crate::truth::Photograph;
use crate::{card, cloth};
use footring::key::shape::{Plan as KeyPlan, Point, Shape};
use footring::key::{Finish, Form, Key, outline};
use std::error::Error;

use card::Kind::{Dark as DarkCard, Patterned, White};
use cloth::Kind::{Dark, Gingham, Linen, Newsprint, Pale, Stone, TeaTowel, Towel, Wood};

/// What makes a picture hard beside its cloth and card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hard {
    Glare,
    Specks,
    Shade,
    Gap,
    Covered,
    Band,
    Lugs,
}
use Hard::{Band, Covered, Gap, Glare, Lugs, Shade, Specks};

/// A line of the demo.
struct Line {
    /// A form of the key, or what it is instead.
    form: &'static str,
    /// A glaze of the key; 'white' and 'black' are none of it.
    glaze: &'static str,
    cloth: cloth::Kind,
    card: card::Kind,
    hard: &'static [Hard],
}

const fn line(form: &'static str, glaze: &'static str, cloth: cloth::Kind, card: card::Kind, hard: &'static [Hard]) -> Line {
    Line { form, glaze, cloth, card, hard }
}

const LIDS: [Line; 26] = [
    line("fenlight-covered-sugar", "fen-cream", Linen, White, &[]),
    line("quoin-casserole-one", "moss", Linen, White, &[]),
    line("quoin-covered-sugar", "sedge", Gingham, White, &[]),
    line("quoin-casserole-one", "flint", Pale, Patterned, &[Glare]),
    line("fenlight-teapot", "reed-green", Newsprint, White, &[]),
    line("fenlight-teapot-small", "mere-blue", Newsprint, DarkCard, &[Shade]),
    line("fenlight-coffee-pot", "fen-cream", Pale, White, &[]),
    line("fenlight-jam-pot", "white", Pale, White, &[Glare]),
    line("fenlight-vegetable-dish", "white", Pale, Patterned, &[Lugs]),
    line("fenlight-vegetable-dish", "lamplight", Wood, White, &[Glare]),
    line("fenlight-biscuit-barrel", "fen-cream", Gingham, Patterned, &[Shade]),
    line("stannard-teapot", "saffron", TeaTowel, White, &[]),
    line("quoin-casserole-two-pint", "black", Dark, White, &[]),
    line("quoin-casserole-four-pint", "slate", Dark, Patterned, &[Glare]),
    line("quoin-casserole-four-pint", "ember", Stone, White, &[Gap]),
    line("quoin-coffee-pot", "moss", Wood, DarkCard, &[Gap]),
    line("quoin-teapot", "ember", Newsprint, Patterned, &[Gap]),
    line("stannard-covered-sugar", "oatmeal", Linen, White, &[Specks]),
    line("stannard-jar-small", "oatmeal", Towel, Patterned, &[Specks, Shade]),
    line("stannard-jar-large", "harbour", Stone, White, &[Specks]),
    line("stannard-casserole-one", "peat", Dark, White, &[Gap]),
    line("stannard-casserole-three-pint", "saffron", Gingham, White, &[Gap, Band]),
    line("stannard-casserole-five-pint", "peat", Wood, Patterned, &[Shade]),
    line("stannard-casserole-five-pint", "harbour", TeaTowel, DarkCard, &[Covered]),
    line("a rounded square", "sedge", Towel, White, &[Shade]),
    line("round, warped by one in a hundred", "saffron", Linen, Patterned, &[Band]),
];

const SIDES: [Line; 14] = [
    line("fenlight-quart-jug", "fen-cream", Linen, White, &[]),
    line("quoin-pint-jug", "moss", Wood, White, &[]),
    line("stannard-jug", "harbour", Pale, Patterned, &[Specks]),
    line("fenlight-teapot", "reed-green", TeaTowel, White, &[]),
    line("quoin-teapot", "slate", Stone, White, &[Glare]),
    line("stannard-coffee-pot", "peat", Dark, White, &[Glare]),
    line("fenlight-mug", "white", Pale, White, &[]),
    line("quoin-mug", "flint", Gingham, DarkCard, &[Gap]),
    line("stannard-soup-mug", "oatmeal", Newsprint, White, &[Specks]),
    line("fenlight-salad-bowl", "mere-blue", Towel, White, &[Glare]),
    line("stannard-souffle", "saffron", Wood, Patterned, &[Shade]),
    line("quoin-casserole-two-pint", "black", Dark, White, &[]),
    line("fenlight-covered-sugar", "lamplight", Linen, Patterned, &[Shade]),
    line("stannard-casserole-one", "oatmeal", Stone, White, &[Band]),
];

fn coat(key: &Key, glaze: &str) -> Result<Coat, Box<dyn Error>> {
    match glaze {
        "white" => return Ok(WHITE),
        "black" => return Ok(BLACK),
        _ => {}
    }
    let known = key.glazes.iter().find(|g| g.id.as_str() == glaze).ok_or_else(|| format!("there is no glaze '{glaze}' in the key"))?;
    let rough = match known.finish {
        Finish::Gloss => 0.02,
        Finish::Satin => 0.12,
        Finish::Matt => 0.4,
    };
    Ok(Coat { lab: [known.lab.l, known.lab.a, known.lab.b], rough })
}

/// Everything that chance may not choose here.
fn wish(key: &Key, line: &Line) -> Result<Wish, Box<dyn Error>> {
    let yes = |hard: Hard| Some(if line.hard.contains(&hard) { Yes::Yes } else { Yes::No });
    Ok(Wish {
        cloth: Some(line.cloth),
        card: Some(line.card),
        glaze: Some(coat(key, line.glaze)?),
        specks: Some(if line.hard.contains(&Specks) { 0.16 } else { 0.0 }),
        shade: yes(Shade),
        glare: yes(Glare),
        covered: yes(Covered),
        gap_mm: line.hard.contains(&Gap).then_some(2.0).or(Some(12.0)),
        lugs: yes(Lugs),
        decor: Some(if line.hard.contains(&Band) { 0 } else { 9 }),
        jpeg_quality: Some(87),
        ..Wish::default()
    })
}

/// A lid's outline and dome. The upright band that some lids have below the dome is left out: the widest line lies in the card's plane.
fn lid_shape(shape: &Shape) -> Option<LidShape> {
    let line = outline::polyline(&shape.lid, 0.001);
    let radius = line.iter().map(|p| p.0).fold(0.0, f64::max);
    let band = line.iter().filter(|p| p.0 > radius - 0.05).map(|p| p.1).fold(0.0, f64::max);
    let dome = line.into_iter().filter(|p| p.1 >= band).map(|(r, h)| (r, h - band)).collect();
    let (major_mm, plan) = (2.0 * radius, shape.lid_plan.as_ref().unwrap_or(&shape.plan));
    let (model, aspect) = match plan {
        KeyPlan::Round => (Model::Circle { two: 0.0, three: 0.0 }, 1.0),
        KeyPlan::Oval(aspect) => (Model::Ellipse, *aspect),
        KeyPlan::RoundedSquare => (Model::Superellipse { exponent: 4.0 }, 1.0),
        KeyPlan::Oblong(_) | KeyPlan::Sided(_) | KeyPlan::Lobed(_) => return None,
    };
    (radius > 0.0).then(|| LidShape { plan: Plan { model, major_mm, minor_mm: major_mm / aspect }, dome })
}

/// Lids that are of no form.
fn planted(name: &str) -> Option<LidShape> {
    let (model, major_mm) = match name {
        "a rounded square" => (Model::Superellipse { exponent: 4.0 }, 152.0),
        "round, warped by one in a hundred" => (Model::Circle { two: 0.005, three: 0.001 }, 168.0),
        _ => return None,
    };
    let radius = major_mm / 2.0;
    let body = [Point::Corner(radius, 0.0), Point::Curve(radius * 0.8, radius * 0.16), Point::Curve(0.0, radius * 0.3)];
    Some(LidShape { plan: Plan { model, major_mm, minor_mm: major_mm }, dome: outline::polyline(&body, 0.001) })
}

/// A picture of the demo: its file, the form it shows and the glaze, where they are of the key, and whether it tells the focal length.
pub(crate) struct Shot {
    pub(crate) photograph: Photograph,
    pub(crate) file: String,
    pub(crate) form: Option<&'static str>,
    pub(crate) glaze: Option<&'static str>,
    pub(crate) exif: bool,
}

/// How many there are: lids first, then sides.
pub(crate) const COUNT: usize = LIDS.len() + SIDES.len();

/// The picture of that number, from 0, in that size.
pub(crate) fn shot(key: &Key, n: usize, size: (u32, u32)) -> Result<Shot, Box<dyn Error>> {
    let above = n < LIDS.len();
    let line = if above { &LIDS[n] } else { SIDES.get(n - LIDS.len()).ok_or_else(|| format!("there is no picture {n}"))? };
    let [kitchen, workshop] = Phone::household();
    let phone = if (n / 2).is_multiple_of(2) { kitchen } else { workshop };
    let wish = Wish { phone: Some(phone), ..wish(key, line)? };
    let form: Option<&Form> = key.forms.iter().find(|f| f.id.as_str() == line.form);
    let no_shape = || format!("'{}' has no shape to photograph", line.form);
    let seed = 40_000 + n as u64;
    let photograph = if above {
        let shape = form.map_or_else(|| planted(line.form), |f| lid_shape(&f.shape)).ok_or_else(no_shape)?;
        Photograph::Above(Box::new(lid::lid(seed, size, &wish, Some(&shape))))
    } else {
        let pot = form.and_then(Pot::of).ok_or_else(no_shape)?;
        Photograph::Side(Box::new(side::side(seed, size, &wish, |_| pot)))
    };
    let number = if above { n + 1 } else { n + 1 - LIDS.len() };
    let short = if above { "lid" } else { "side" };
    let name = form.map_or_else(|| line.form.replace(", ", "-").replace(' ', "-"), |f| f.id.to_string());
    let file = format!("{short}-{number:02}-{name}-{}.jpg", line.cloth.name());
    let own = key.glazes.iter().any(|g| g.id.as_str() == line.glaze);
    Ok(Shot { photograph, file, form: form.map(|_| line.form), glaze: own.then_some(line.glaze), exif: n % 3 != 2 })
}

//! What a service lacks: a list to take along.

use super::flow::{BODY, CheckBar, Flow, HEADING, Strip, text};
use super::lists::{form_head, want};
use super::setup::Setup;
use super::{PrintError, draw, finished};
use crate::daybook::census::{Set, Wanted};
use crate::key::{Form, Key, capital};
use crate::sheets::page::{Colour, Document, Paper};
use crate::{say, say_count};

/// Lays out what is missing of a service, then what is over. `held` is what there is of it.
///
/// # Errors
/// [`PrintError::EmptyService`] where nothing belongs to it.
pub fn service_list(key: &Key, set: &Set, held: &[Wanted], setup: &Setup) -> Result<Document, PrintError> {
    let name = &set.service.name;
    if held.is_empty() {
        return Err(PrintError::EmptyService(name.clone()));
    }
    let number = |of: fn(&Wanted) -> u64| usize::try_from(held.iter().map(of).sum::<u64>()).unwrap_or(usize::MAX);
    let (missing, spare) = (number(|wanted| wanted.missing), number(|wanted| wanted.spare));
    let places = say_count!(n = usize::try_from(set.places).unwrap_or(usize::MAX), "{n} place", "{n} places");
    let pieces = say_count!(n = missing, "{n} piece", "{n} pieces");
    let about = say!("{title}: {places}, {pieces} missing, {spare} over", title = key.about.title, places, pieces, spare);
    let columns = if setup.paper == Paper::Phone || setup.is_booklet() { 1 } else { 2 };
    let mut flow = Flow::new(*setup, &say!("Wanted for {name}", name), &about, columns, CheckBar::No);
    if missing == 0 {
        flow.place(text(BODY, say!("Nothing is missing."), flow.width()));
    }
    let lines = |wanted: &Wanted| (wanted.missing > 0).then(|| say!("{n} of {all} missing", n = wanted.missing, all = wanted.want.count));
    place(key, held, &lines, &mut flow);
    if spare > 0 {
        flow.space(3.0);
        flow.place(text(HEADING, say!("Over, to give or to change"), flow.width()));
        place(key, held, &|wanted| (wanted.spare > 0).then(|| say!("{n} over", n = wanted.spare)), &mut flow);
    }
    Ok(finished(flow.end(), *setup))
}

/// Places a line for each want of which there is something to say, under its form.
fn place(key: &Key, held: &[Wanted], says: &dyn Fn(&Wanted) -> Option<String>, flow: &mut Flow) {
    let mut forms: Vec<(&Wanted, Vec<(&Wanted, String)>)> = Vec::new();
    for wanted in held {
        let Some(line) = says(wanted) else { continue };
        match forms.iter_mut().find(|(first, _)| first.want.form == wanted.want.form) {
            Some((_, lines)) => lines.push((wanted, line)),
            None => forms.push((wanted, vec![(wanted, line)])),
        }
    }
    for (first, lines) in forms {
        let width = flow.width();
        let form: Option<&Form> = key.form(&first.want.form);
        // A form that the key no longer has is told by its id.
        let mut strips = match form {
            Some(form) => vec![form_head(key, form, lines.len(), width)],
            None => text(super::flow::STRONG, &capital(first.want.form.as_str()), width),
        };
        for (wanted, line) in lines {
            let glaze = wanted.want.glaze.as_ref();
            let known = glaze.and_then(|id| key.glazes.iter().find(|glaze| glaze.id == *id));
            let name = match (glaze, known) {
                (None, _) => say!("any glaze").to_owned(),
                (Some(_), Some(glaze)) => glaze.name.clone(),
                (Some(id), None) => id.to_string(),
            };
            let colour: Option<Colour> = known.map(|glaze| draw::of_lab(glaze.lab));
            strips.push(want(&name, colour, &line, width));
        }
        strips.push(Strip::space(3.5));
        flow.place(strips);
    }
}

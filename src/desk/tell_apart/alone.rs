//! By these alone: the smallest set of features that tells each form that is compared from all others of the key, and each form of its line
//! from each other. It is searched for off the frame.

use super::{Compared, Lids, TellApartView};
use crate::desk::command::Command;
use crate::desk::document::Document;
use crate::desk::jobs::{Done as JobDone, Jobs};
use crate::desk::theme;
use crate::desk::widgets::{self, chip, remark};
use crate::identify::all_of;
use crate::identify::cover::{Among, Ask, Cover, Goal};
use crate::key::{FormId, Key, LineId, Part, capital};
use crate::{say, say_count};
use egui::{Context, Label, RichText, Ui};
use std::ops::ControlFlow;
use std::sync::Arc;

/// Pairs that nothing tells apart which are named; the rest are counted.
const NAMED: usize = 5;

/// A question: of these forms, and of the lines they are of.
#[derive(Debug, Clone)]
pub struct Asked {
    key: Arc<Key>,
    forms: Vec<FormId>,
    lids: Lids,
    goal: Goal,
}

impl PartialEq for Asked {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.key, &other.key) && (&self.forms, self.lids, self.goal) == (&other.forms, other.lids, other.goal)
    }
}

/// One answer.
#[derive(Debug, Clone)]
pub struct Answer {
    of: Of,
    /// The set, or why there is none.
    cover: Result<Cover, String>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Of {
    /// One form from all others of the key.
    Form(FormId),
    /// Each form of a line from each other.
    Line(LineId, usize),
}

/// What the job sends: the question, and the answers; none where it was stopped.
pub type Done = (Asked, Option<Vec<Answer>>);

/// What is shown.
#[derive(Debug, Default)]
pub struct AloneView {
    /// Whether it is shown in place of the tells.
    pub(super) is_open: bool,
    least_effort: bool,
    answered: Option<(Asked, Option<Vec<Answer>>)>,
    asked: Option<Asked>,
}

/// Searches for what is asked, unless that is being done.
pub fn search(view: &mut AloneView, jobs: &mut Jobs, ctx: &Context, doc: &Document, asked: Asked) {
    if view.asked.as_ref() == Some(&asked) {
        return;
    }
    view.asked = Some(asked.clone());
    let index = Arc::clone(&doc.index);
    jobs.start(ctx, say!("Looking for the fewest features"), move |progress| {
        let missing = if asked.lids == Lids::Off { [Part::Lid].into() } else { std::collections::BTreeSet::new() };
        let questions = questions(&asked);
        let all = questions.len().max(1) as f64;
        let mut answers = Vec::new();
        for (at, (of, among)) in questions.into_iter().enumerate() {
            let ask = Ask { goal: asked.goal, missing: missing.clone(), ..Ask::new(among) };
            let cover = index.cover(&ask, |share| {
                progress.set(((at as f64 + share) / all) as f32);
                if progress.is_cancelled() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
            });
            if progress.is_cancelled() {
                return JobDone::Alone(Box::new((asked, None)));
            }
            answers.push(Answer { of, cover: cover.map_err(|error| error.to_string()) });
        }
        JobDone::Alone(Box::new((asked, Some(answers))))
    });
}

/// Each form from all others, then each line of these forms within itself.
fn questions(asked: &Asked) -> Vec<(Of, Among)> {
    let mut questions: Vec<(Of, Among)> =
        asked.forms.iter().map(|form| (Of::Form(form.clone()), Among::FromOthers(vec![form.clone()]))).collect();
    let mut lines: Vec<&LineId> = Vec::new();
    for form in asked.key.forms.iter().filter(|form| asked.forms.contains(&form.id)) {
        if !lines.contains(&&form.line) {
            lines.push(&form.line);
        }
    }
    for line in lines {
        let of_line: Vec<FormId> = asked.key.forms.iter().filter(|form| form.is_sold_in(line)).map(|form| form.id.clone()).collect();
        if of_line.len() > 1 {
            questions.push((Of::Line(line.clone(), of_line.len()), Among::EachOther(of_line)));
        }
    }
    questions
}

/// Takes the answers in, unless something else has been asked since.
pub fn take_in(view: &mut AloneView, (asked, answers): Done) {
    if view.asked.as_ref() == Some(&asked) {
        view.asked = None;
        view.answered = Some((asked, answers));
    }
}

/// A job ended by a fault of the program: no answer comes.
pub fn broke(view: &mut AloneView) {
    if let Some(asked) = view.asked.take() {
        view.answered = Some((asked, None));
    }
}

/// Draws the answers.
pub(super) fn alone_ui(ui: &mut Ui, doc: &Document, view: &mut TellApartView, compared: &Compared, commands: &mut Vec<Command>) {
    let alone = &mut view.alone;
    ui.horizontal_wrapped(|ui| {
        if chip(ui, say!("Fewest looks"), !alone.least_effort).clicked() {
            alone.least_effort = false;
        }
        if chip(ui, say!("Least effort"), alone.least_effort).clicked() {
            alone.least_effort = true;
        }
    });
    if compared.lids == Lids::Off {
        remark(ui, say!("Without what only the lid can tell."));
    }
    let goal = if alone.least_effort { Goal::LeastEffort } else { Goal::Fewest };
    let asked = Asked { key: Arc::clone(&doc.key), forms: view.forms.clone(), lids: compared.lids, goal };
    let answers = alone.answered.as_ref().filter(|(of, _)| *of == asked).map(|(_, answers)| answers);
    match answers {
        None => {
            if alone.asked.as_ref() != Some(&asked) {
                commands.push(Command::FindAlone(asked));
            }
            remark(ui, say!("Looking for the smallest sets …"));
        }
        Some(None) => {
            remark(ui, say!("It was stopped before there was an answer."));
            if widgets::button(ui, crate::desk::icons::Icon::Redo, say!("Look again")).clicked() {
                commands.push(Command::FindAlone(asked));
            }
        }
        Some(Some(answers)) => {
            for answer in answers {
                ui.add_space(8.0);
                answer_ui(ui, doc, answer, goal);
            }
        }
    }
}

fn answer_ui(ui: &mut Ui, doc: &Document, answer: &Answer, goal: Goal) {
    let c = theme::colours(ui);
    let title = match &answer.of {
        Of::Form(form) => match doc.key.forms.len() {
            0 | 1 => capital(&doc.key.form_name(form)),
            n => {
                let form = capital(&doc.key.form_name(form));
                say_count!(n = n - 1, "{form} from the other form", "{form} from the {n} other forms", form)
            }
        },
        Of::Line(line, forms) => {
            let name = doc.key.line(line).map_or_else(|| line.to_string(), |line| line.name.clone());
            say!("Each of the {forms} forms of {name} from each other", forms, name)
        }
    };
    widgets::strong(ui, title);
    let cover = match &answer.cover {
        Ok(cover) => cover,
        Err(why) => {
            ui.label(capital(why));
            return;
        }
    };
    if cover.features.is_empty() {
        ui.label(if cover.pairs == 0 { say!("There is nothing to tell apart.") } else { say!("Nothing that is recorded tells it apart.") });
    }
    for (at, used) in cover.features.iter().enumerate() {
        let has = match &answer.of {
            Of::Form(form) => doc.index.recorded(form, &used.feature).map(|has| format!(": {has}")).unwrap_or_default(),
            Of::Line(..) => String::new(),
        };
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing.x = 8.0;
            ui.add(Label::new(RichText::new(format!("{}. {}{has}", at + 1, capital(&used.name))).color(c.ink)).wrap());
            remark(ui, say_count!(n = used.pairs, "tells {n} more pair apart", "tells {n} more pairs apart"));
        });
    }
    if !cover.features.is_empty() {
        remark(ui, format!("{}.", capital(&cover.sentence(goal))));
    }
    for pair in cover.untold.iter().take(NAMED) {
        let names = all_of(&[doc.key.form_name(&pair.form), doc.key.form_name(&pair.other)]);
        let record: Vec<String> = pair.to_record.iter().take(3).map(|id| doc.key.feature_name(id)).collect();
        let words = if record.is_empty() {
            say!("add a feature in which they differ").to_owned()
        } else {
            say!("record {features}", features = record.join(say!(" or ")))
        };
        ui.label(RichText::new(say!("Nothing tells {names} apart: {words}.", names, words)).color(c.alarm));
    }
    let more = cover.untold_pairs.saturating_sub(NAMED);
    if more > 0 {
        remark(ui, say!("and {more} more that nothing tells apart", more));
    }
}

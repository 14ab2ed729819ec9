//! The jobs: laying a sheet out, drawing one of its pages, writing it.

use crate::daybook::census::{By, Set, Tally, TallyQuestion, census};
use crate::daybook::{Daybook, Find, FindId, Page, Photograph};
use crate::desk::daybook_work::SharedDaybook;
use crate::identify::Index;
use crate::identify::cover::Goal;
use crate::identify::sequence::{Method, SequenceAsk};
use crate::key::{FormId, Key};
use crate::photo::{Limits, Progress, Store};
use crate::say;
use crate::sheets::page::{Document, Paper};
use crate::sheets::print::{self, Lot, LotOf, Setup, files_words, write_files};
use egui::ColorImage;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, PoisonError};

/// Longest side of a photograph on a list, in pixels.
const SMALL_PIXELS: u32 = 360;
/// Pixels to the inch of a PNG that is saved.
const SAVED_PPI: f64 = 200.0;

/// What is to be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Order {
    /// The whole key as numbered looks.
    BenchKey,
    /// Look-alikes side by side.
    Plate(Vec<FormId>),
    /// Sheets of forms.
    Forms(Vec<FormId>),
    /// The marks.
    Marks,
    /// A list of finds.
    Lot(Whose),
    /// Labels of finds.
    Labels(Whose),
    /// What is wanted.
    Wants,
    /// What a service lacks.
    Service(Box<Set>),
    /// The census.
    Census,
}

/// Which finds are listed or labelled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    /// All of the daybook.
    All,
    /// Those of the box with that label.
    Box(String),
    /// These.
    These(Arc<[FindId]>),
}

/// The most finds that are laid out on one list. A limit of this program: some four hundred pages.
const MOST_FINDS: usize = 5000;

impl Order {
    /// What it is called.
    pub fn words(&self) -> &'static str {
        match self {
            Self::BenchKey => say!("Bench key"),
            Self::Plate(_) => say!("Comparison plate"),
            Self::Forms(_) => say!("Form sheet"),
            Self::Marks => say!("Mark sheet"),
            Self::Lot(Whose::Box(_)) => say!("Lot list"),
            Self::Lot(_) => say!("List of finds"),
            Self::Labels(_) => say!("Labels"),
            Self::Wants => say!("Wants list"),
            Self::Service(_) => say!("Wants of a service"),
            Self::Census => say!("Census"),
        }
    }

    /// The sheets it is offered together with, itself among them.
    pub(super) fn kin(&self) -> Vec<Self> {
        match self {
            Self::Plate(_) => Vec::new(),
            Self::Forms(forms) => vec![Self::Forms(forms.clone()), Self::BenchKey, Self::Marks],
            Self::BenchKey | Self::Marks => vec![Self::BenchKey, Self::Marks],
            Self::Lot(whose) | Self::Labels(whose) => {
                vec![Self::Lot(whose.clone()), Self::Labels(whose.clone()), Self::Wants, Self::Census]
            }
            Self::Wants | Self::Census => vec![Self::Lot(Whose::All), Self::Labels(Whose::All), Self::Wants, Self::Census],
            Self::Service(_) => vec![self.clone(), Self::Wants],
        }
    }

    /// The name a file of it is offered under.
    pub(super) fn file_name(&self) -> String {
        format!("{}.pdf", self.words().to_lowercase().replace(' ', "-"))
    }
}

/// What a job found.
#[derive(Debug)]
pub enum Done {
    /// A sheet was laid out; the number says for which asking.
    LaidOut(u64, Result<Arc<Document>, String>),
    /// A page of it was drawn.
    Drawn(u64, usize, Result<ColorImage, String>),
    /// It was written, or nothing was chosen.
    Saved(Result<Option<String>, String>),
}

/// What a sheet is laid out of.
pub(super) struct Asked {
    pub(super) key: Arc<Key>,
    pub(super) index: Arc<Index>,
    pub(super) folder: String,
    pub(super) daybook: SharedDaybook,
    pub(super) order: Order,
    pub(super) setup: Setup,
}

/// Lays a sheet out.
pub(super) fn lay_out(asked: &Asked) -> Result<Arc<Document>, String> {
    let (key, setup) = (&asked.key, &asked.setup);
    let document = match &asked.order {
        Order::BenchKey => {
            let ask = SequenceAsk { method: Method::Greedy, goal: Goal::Fewest, missing: BTreeSet::new(), finds: Vec::new() };
            print::bench_key(key, &asked.index, &ask, setup)
        }
        Order::Plate(forms) => print::plate(key, &asked.index, forms, setup),
        Order::Forms(forms) => print::form_sheets(key, forms, setup),
        Order::Marks => print::mark_sheets(key, &[], setup),
        Order::Lot(whose) => {
            let (finds, folder) = finds(asked, whose)?;
            let of = match whose {
                Whose::All => LotOf::Daybook,
                Whose::Box(label) => LotOf::Box(label.clone()),
                Whose::These(_) => LotOf::Chosen,
            };
            let store = Store::at(&folder);
            let small = |photograph: &Photograph| {
                let made =
                    store.preview(photograph.hash, photograph.format, photograph.edit, SMALL_PIXELS, &Limits::USUAL, &Progress::new());
                made.ok().map(Arc::new)
            };
            print::lot_list(&Lot::of(key, of, &finds, &small), setup)
        }
        Order::Labels(whose) => {
            let (finds, _) = finds(asked, whose)?;
            // Labels come on sheets of these two.
            let paper = if setup.paper == Paper::Letter { Paper::Letter } else { Paper::A4 };
            match print::grids().iter().find(|grid| grid.paper == paper) {
                Some(grid) => print::labels(&print::labels_of_finds(&finds), grid, 0),
                None => return Err(say!("there is no grid of labels for this paper").to_owned()),
            }
        }
        Order::Service(set) => print::service_list(key, set, &set.held(&tallies(asked)?), setup),
        Order::Wants | Order::Census => {
            let tallies = tallies(asked)?;
            let counted = census(key, &tallies, By::Glaze);
            if asked.order == Order::Wants {
                print::wants_list(key, &counted, setup)
            } else {
                print::census_sheet(key, &counted, By::Glaze, setup)
            }
        }
    };
    document.map(Arc::new).map_err(|e| e.to_string())
}

fn with<T>(daybook: &SharedDaybook, work: impl FnOnce(&Daybook) -> Result<T, String>) -> Result<T, String> {
    let daybook = daybook.lock().unwrap_or_else(PoisonError::into_inner);
    match daybook.as_ref() {
        Some(daybook) => work(daybook),
        None => Err(say!("the daybook could not be opened").to_owned()),
    }
}

fn tallies(asked: &Asked) -> Result<Vec<Tally>, String> {
    with(&asked.daybook, |daybook| daybook.tally(&TallyQuestion::of(&asked.key, &asked.folder)).map_err(|e| e.to_string()))
}

/// The finds that are asked for; those that can't be read are left out. And where the daybook is.
fn finds(asked: &Asked, whose: &Whose) -> Result<(Vec<Find>, PathBuf), String> {
    with(&asked.daybook, |daybook| {
        let many = |all: u64| {
            (all <= MOST_FINDS as u64).then_some(()).ok_or_else(|| {
                say!("{all} finds are too many for one list (at most {most}: narrow the list, or export it)", all, most = MOST_FINDS)
            })
        };
        let found = match whose {
            Whose::These(ids) => {
                many(ids.len() as u64)?;
                daybook.several(ids)
            }
            Whose::All | Whose::Box(_) => {
                let box_label = if let Whose::Box(label) = whose { Some(label.clone()) } else { None };
                let page = Page { box_label, most: u32::MAX, ..Page::default() };
                many(daybook.count(&page).map_err(|e| e.to_string())?)?;
                daybook.newest_first(&page)
            }
        };
        Ok((found.map_err(|e| e.to_string())?.into_iter().filter_map(Result::ok).collect(), daybook.folder().to_owned()))
    })
}

/// Draws a page so large.
pub(super) fn draw(document: &Document, page: usize, pixels_per_inch: f64) -> Result<ColorImage, String> {
    let page = document.pages.get(page).ok_or(say!("there is no such page"))?;
    let (width, height, rgb) = page.pixels(pixels_per_inch).map_err(|e| e.to_string())?;
    Ok(ColorImage::from_rgb([width as usize, height as usize], &rgb))
}

/// Asks where to, and writes it.
pub(super) fn save_as(document: &Document, name: &str) -> Result<Option<String>, String> {
    let dialog = rfd::FileDialog::new().set_title(say!("Save the sheet")).set_file_name(name);
    let dialog = dialog.add_filter("PDF", &["pdf"]).add_filter("SVG", &["svg"]).add_filter("PNG", &["png"]);
    match dialog.save_file() {
        Some(file) => save(document, &file).map(Some),
        None => Ok(None),
    }
}

/// Writes it, and says where.
pub(super) fn save(document: &Document, file: &Path) -> Result<String, String> {
    let file = if file.extension().is_some() { file.to_owned() } else { file.with_extension("pdf") };
    write_files(document, SAVED_PPI, &file).map(|files| files_words(&files)).map_err(|e| e.to_string())
}

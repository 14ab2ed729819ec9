//! The window. The only room that names egui.
//!
//! [`document`] is what the window is about and changes only through [`command`]s, which [`apply`] carries out after the frame; each screen
//! has a folder of its own with a view struct and drawing functions that report commands and change nothing else.

pub mod action;
pub mod app;
pub mod apply;
pub mod bench;
pub mod board;
pub mod bring_in;
mod canvas;
pub mod cautions;
pub mod clash;
pub mod comfort;
pub mod command;
pub mod condition;
pub mod dating;
pub mod daybook;
pub mod daybook_work;
pub mod document;
pub mod doing;
pub mod finds_work;
pub mod help;
pub mod icons;
pub mod jobs;
pub mod jump;
pub mod kept;
pub mod key_book;
pub mod key_pictures;
pub mod key_work;
pub mod log;
pub mod mark_drawer;
pub mod measuring;
mod offered;
pub mod photographs;
pub mod printing;
pub mod reading;
pub mod settings;
mod start;
mod steps;
pub mod tell_apart;
pub mod theme;
pub mod top_bar;
pub mod unsaved;
pub mod widgets;

pub use app::Footring;
pub use start::{Start, system_language};

use thiserror::Error;

/// Why the window did not open.
#[derive(Debug, Error)]
pub enum DeskError {
    /// There is no screen, or no graphics on it.
    #[error("the window can't open: {0}; the terminal verbs work without a screen (footring --help)")]
    NoWindow(String),
    /// The folder for the program's data can't be used.
    #[error("{0}")]
    Data(String),
}

/// Opens the window and stays until it is closed.
///
/// # Errors
///
/// [`DeskError::Data`] where the data folder can't be made or read, [`DeskError::NoWindow`] where there is no display.
pub fn run(start: Start) -> Result<(), DeskError> {
    let desk = app::Desk::prepare(start).map_err(DeskError::Data)?;
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Footring")
            .with_app_id("footring")
            .with_inner_size([1280.0, 800.0])
            .with_min_inner_size([560.0, 400.0])
            .with_icon(app_icon()),
        ..Default::default()
    };
    eframe::run_native("Footring", options, Box::new(|cc| Ok(Box::new(Footring::new(&cc.egui_ctx, desk)))))
        .map_err(|error| DeskError::NoWindow(error.to_string()))
}

fn app_icon() -> egui::IconData {
    let picture = image::load_from_memory(include_bytes!("../../assets/app-icon.png"));
    match picture {
        Ok(picture) => {
            let picture = picture.into_rgba8();
            egui::IconData { width: picture.width(), height: picture.height(), rgba: picture.into_raw() }
        }
        Err(_broken) => egui::IconData::default(),
    }
}

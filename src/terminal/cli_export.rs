//! What may be said after `footring export`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// What is exported.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Exported {
    /// The forms of the key
    #[default]
    Forms,
    /// The finds of a daybook
    Finds,
}

/// How it is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum ExportAs {
    /// Comma-separated values
    #[default]
    Csv,
    /// A workbook
    Xlsx,
    /// JSON
    Json,
    /// LIDO 1.1, the XML of museums (finds)
    Lido,
    /// Linked Art, the JSON-LD of museums (finds)
    LinkedArt,
    /// A zip of each find with its photographs (finds)
    Zip,
}

/// `footring export`
#[derive(Debug, Clone, PartialEq, Default, Args)]
#[command(
    after_help = "Cells that a spreadsheet would take for a formula get an apostrophe before them in CSV; a workbook holds them as words.\n\n\
    Examples:\n  \
    footring export demo --csv forms.csv\n  \
    footring export demo --what finds --as xlsx --daybook ~/.local/share/footring --out finds.xlsx\n  \
    footring export demo --what finds --as lido --daybook ~/.local/share/footring --source 'Village crockery library' --out finds.xml"
)]
pub struct Export {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// The forms as CSV to this file: the same as --what forms --as csv --out
    #[arg(long, value_name = "FILE", conflicts_with_all = ["what", "form", "out"])]
    pub csv: Option<PathBuf>,
    /// What is exported
    #[arg(long, value_enum, default_value_t)]
    pub what: Exported,
    /// How it is written
    #[arg(long = "as", id = "form", value_enum, default_value_t, value_name = "KIND")]
    pub form: ExportAs,
    /// The daybook's folder, which holds finds.db
    #[arg(long, value_name = "DIR")]
    pub daybook: Option<PathBuf>,
    /// Only finds of the box with this label
    #[arg(long = "box", value_name = "LABEL", requires = "daybook")]
    pub box_label: Option<String>,
    /// Who keeps the records, as LIDO asks for (left out: the title of the key)
    #[arg(long, value_name = "NAME")]
    pub source: Option<String>,
    /// The address that the ids of Linked Art begin with
    #[arg(long, value_name = "ADDRESS")]
    pub base: Option<String>,
    /// The file to write; '-' prints it
    #[arg(long, value_name = "FILE", required_unless_present = "csv")]
    pub out: Option<PathBuf>,
}

//! What may be said after `footring pack` and `footring unpack`.

use clap::Args;
use std::path::PathBuf;

/// `footring pack`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "A packed key is a ZIP archive of the key's files and pictures, without its earlier versions.\n\nExample:\n  footring pack keys/mine"
)]
pub struct Pack {
    /// The key: its folder
    pub key: PathBuf,
    /// The file to make; left out, it has the name of the folder and the ending .footring, and lies beside it
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// `footring unpack`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Example:\n  footring unpack mine.footring --out keys/from-the-library")]
pub struct Unpack {
    /// The packed key
    pub file: PathBuf,
    /// The folder to make; left out, it has the name of the file without its ending, and lies beside it
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
}

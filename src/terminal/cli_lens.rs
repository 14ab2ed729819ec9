//! What may be said to `footring lens`.

use clap::Args;
use std::path::PathBuf;

/// `footring lens`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Examples:\n  \
    footring lens squared-paper.jpg newspaper.jpg\n  \
    footring lens squared-paper.jpg --cameras ~/.local/share/footring/cameras.ron\n  \
    footring lens --cameras cameras.ron --forget 'kitchen phone'\n\n\
    Photograph something with long straight lines all over the picture: squared paper, a newspaper, a tiled floor, from any distance. A lens bends them all \
    alike, and a camera's pictures are then measured the better for it ('footring measure --cameras FILE'). The window keeps its own file, cameras.ron, in \
    its data folder, and adds to it whatever is measured there. A camera is known by what it writes into its pictures.")]
pub struct Lens {
    /// Photographs: JPEG, PNG, WebP or TIFF
    #[arg(required_unless_present = "cameras")]
    pub photos: Vec<PathBuf>,
    /// A file of cameras: what the photographs say is added to it. Without photographs, what it says is printed
    #[arg(long, value_name = "FILE")]
    pub cameras: Option<PathBuf>,
    /// Forget a camera of that file, by its model
    #[arg(long, value_name = "CAMERA", requires = "cameras", conflicts_with = "photos")]
    pub forget: Option<String>,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

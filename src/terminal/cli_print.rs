//! What may be said after `footring print`.

use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// What is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Printed {
    /// The whole key as numbered looks, for the bench
    BenchKey,
    /// Two to six look-alikes side by side, with what tells them apart
    Plate,
    /// A sheet for each form
    Forms,
    /// The marks with what is known of them
    Marks,
    /// Labels of finds, or of forms where no daybook is given
    Labels,
    /// What lies in a box
    Lot,
    /// What papers list or the key claims and the daybook does not hold
    Wants,
    /// What a service lacks, of those that are kept with the daybook
    Service,
    /// Which form is known in which glaze
    Census,
}

/// What is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum On {
    /// 210 × 297 mm
    #[default]
    A4,
    /// 297 × 420 mm: look-alikes larger than a sugar bowl at true size
    A3,
    /// 8½ × 11 in
    Letter,
    /// A page for the screen of a phone
    Phone,
}

/// `footring print`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "The ending of the file says what is written: .pdf, .svg or .png. Of several pages SVG and PNG make a file each: plate-1.png, plate-2.png.\n\
    Where a sheet says that it is drawn 1 : 1, print it at 'actual size' and lay a rule along its bar of 100 mm.\n\
    A grid of labels is its measures in mm: columns x rows, width x height, left x upper margin, and gaps where there are any:\n\
    3x8,70x36,0x4.5 or 3x7,63.5x38.1,7.2x15.1,2.5x0. --grid list names those that are built in.\n\n\
    Examples:\n  \
    footring print demo bench-key --booklet --out key.pdf\n  \
    footring print demo plate --forms quoin-covered-sugar --forms quoin-casserole-one --out plate.pdf\n  \
    footring print demo labels --daybook ~/.local/share/footring --box 14 --grid 'A4, 3 × 8, full width' --out labels.pdf"
)]
pub struct Print {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// What is printed
    #[arg(value_enum)]
    pub what: Printed,
    /// Forms, by name or id; several parted by ';', ids by ',' too (may be given many times)
    #[arg(long, value_name = "FORMS")]
    pub forms: Vec<String>,
    /// Marks, by name or id, in the same way
    #[arg(long, value_name = "MARKS")]
    pub marks: Vec<String>,
    /// The daybook's folder, which holds finds.db
    #[arg(long, value_name = "DIR")]
    pub daybook: Option<PathBuf>,
    /// Only finds of the box with this label
    #[arg(long = "box", value_name = "LABEL", requires = "daybook")]
    pub box_label: Option<String>,
    /// The service, by its name (left out: the first)
    #[arg(long, value_name = "NAME", requires = "daybook")]
    pub service: Option<String>,
    /// The paper
    #[arg(long, value_enum, default_value_t)]
    pub paper: On,
    /// Half-size pages in the order of a booklet, two to a side
    #[arg(long)]
    pub booklet: bool,
    /// The grid of labels: a name, or its measures; 'list' names those that are built in
    #[arg(long, value_name = "GRID")]
    pub grid: Option<String>,
    /// Labels of the first sheet that are used up
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub skip: usize,
    /// Census and wants by glaze or by decoration
    #[arg(long, value_parser = ["glaze", "decoration"], default_value = "glaze")]
    pub by: String,
    /// The bench key with the least effort of looking on average, in place of the fewest looks
    #[arg(long)]
    pub least_effort: bool,
    /// Pixels to the inch of a PNG
    #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u16).range(30..=1200))]
    pub dpi: u16,
    /// The day written on it, as 2026-11-26, in place of today's; 'none' for no day
    #[arg(long, value_name = "DAY")]
    pub day: Option<String>,
    /// The file to write: .pdf, .svg or .png
    #[arg(long, value_name = "FILE", required_unless_present = "grid")]
    pub out: Option<PathBuf>,
}

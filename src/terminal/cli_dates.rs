//! What may be said of the dates of a piece while it is named.

use clap::Args;

/// What is read underneath that dates the piece.
#[derive(Debug, Clone, PartialEq, Eq, Default, Args)]
#[command(next_help_heading = "What dates it (see 'footring date')")]
pub struct DatedBy {
    /// Words read on the piece (may be given many times)
    #[arg(long, value_name = "TEXT")]
    pub dates_words: Vec<String>,
    /// A date code of the house (may be given many times)
    #[arg(long, value_name = "CODE")]
    pub dates_code: Vec<String>,
    /// The corners of a British registration diamond
    #[arg(long, value_name = "CORNERS")]
    pub dates_diamond: Option<String>,
    /// A British registered design number
    #[arg(long, value_name = "NUMBER")]
    pub dates_rd: Option<String>,
    /// When it was sold: a year, or a day as 1957-04-07
    #[arg(long, value_name = "DATE")]
    pub dates_sold: Option<String>,
}

//! What may be said after `footring pair`.

use clap::Args;
use std::path::PathBuf;

/// `footring pair`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "Each table has a row for each piece: a column 'id', 'flange major mm' for lids and 'gallery major mm' for bases, for ovals '… minor mm', and\n\
    as far as they are known 'glaze', 'clay', 'outline', 'line', 'decoration', 'made' (years). A measure may be written 92, 92±1, 9 1/4 in.\n\
    The probability of a pair is that just these two belong together, over everything else that may; what fits although its clay, glaze or years\n\
    disagree is called a marriage. The rules with their reasons are in assets/pairing.ron; entries of your own file go before those of the same id.\n\n\
    Examples:\n  \
    footring pair lids.csv bases.csv\n  \
    footring pair lids.csv bases.csv --key demo --pin L3=B7 --json"
)]
pub struct Pair {
    /// The table of lids: CSV, XLSX or ODS
    #[arg(value_name = "LIDS")]
    pub lids: PathBuf,
    /// The table of bases
    #[arg(value_name = "BASES")]
    pub bases: PathBuf,
    /// A house key, its folder or 'demo': glazes are then known by all their names and by their colours
    #[arg(long)]
    pub key: Option<String>,
    /// A file of pairing rules that go before the built-in ones of the same id
    #[arg(long, value_name = "FILE")]
    pub rules: Option<PathBuf>,
    /// A pair that is made in any case (may be given many times)
    #[arg(long, value_name = "LID=BASE", value_parser = ids)]
    pub pin: Vec<(String, String)>,
    /// A pair that is never made (may be given many times)
    #[arg(long, value_name = "LID=BASE", value_parser = ids)]
    pub forbid: Vec<(String, String)>,
    /// The file to write, in place of printing: CSV, or JSON with --json
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// JSON for another program
    #[arg(long)]
    pub json: bool,
}

fn ids(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((lid, base)) if !lid.trim().is_empty() && !base.trim().is_empty() => Ok((lid.trim().to_owned(), base.trim().to_owned())),
        _ => Err("that is not the id of a lid, '=' and the id of a base (write L3=B7)".to_owned()),
    }
}

/// `footring census`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "A find counts where it was named by this key; in the tally of a cell it is 'seen' where its verdict was settled. A share is given with the interval\n\
    that holds it 95 times in 100 (beta distribution, Jeffreys' prior). How many pairs nobody has seen yet is Chao's lower bound of 1984; it holds where\n\
    finds come at random, not where only what is lacking is bought.\n\n\
    Example:\n  \
    footring census ~/.local/share/footring keys/mine"
)]
pub struct Census {
    /// The daybook's folder, which holds finds.db
    pub daybook: PathBuf,
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Count by glaze or by decoration
    #[arg(long, value_parser = ["glaze", "decoration"], default_value = "glaze")]
    pub by: String,
    /// List every cell, not only those to look at
    #[arg(long)]
    pub all: bool,
    /// Write every cell as a table to this file; '-' prints it
    #[arg(long, value_name = "FILE", conflicts_with_all = ["all", "json"])]
    pub csv: Option<PathBuf>,
    /// Print JSON for another program
    #[arg(long, conflicts_with = "all")]
    pub json: bool,
}

/// `footring reconcile`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "The list is a table with a column 'written', and 'size', 'price', 'glaze' where it has them. Each entry is matched to the forms of the key by its words\n\
    (names, synonyms, abbreviations, slips of the pen), its sizes, and with --paper by the date of that paper. How the list's sizes go with measured ones\n\
    is learnt from the list, unless --ratio says it: 0.95 where it names 95 mm for every 100 that a rule finds.\n\n\
    Example:\n  \
    footring reconcile demo demo/lists/quoin-1955.csv --paper price-list-1954"
)]
pub struct Reconcile {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// The list: CSV, XLSX or ODS
    #[arg(value_name = "LIST")]
    pub list: PathBuf,
    /// The paper of the key that the list is of, by its id or title
    #[arg(long, value_name = "PAPER")]
    pub paper: Option<String>,
    /// What the list's lengths are beside measured ones
    #[arg(long, value_name = "RATIO", value_parser = ratio)]
    pub ratio: Option<f64>,
    /// The file to write, in place of printing: CSV, or JSON with --json
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// JSON for another program
    #[arg(long)]
    pub json: bool,
}

fn ratio(text: &str) -> Result<f64, String> {
    text.trim()
        .parse::<f64>()
        .ok()
        .filter(|x| (0.5..=2.0).contains(x))
        .ok_or_else(|| "that is not a number from 0.5 to 2 (write 0.95 where the list names 95 for every 100 measured)".to_owned())
}

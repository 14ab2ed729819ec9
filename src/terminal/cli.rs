//! What may be said on the command line.

use super::cli_dates::DatedBy;
use super::cli_daybook::Daybook;
use super::cli_export::Export;
use super::cli_lens::Lens;
use super::cli_measure::Measure;
use super::cli_merge::{Diff, Merge};
use super::cli_pack::{Pack, Unpack};
use super::cli_pair::{Census, Pair, Reconcile};
use super::cli_print::Print;
use super::cli_unroll::Unroll;
use crate::words::Language;
use clap::{Args, Parser, Subcommand};
use std::path::PathBuf;

/// Sort, identify, date and record tableware at a table.
#[derive(Debug, Clone, PartialEq, Parser)]
#[command(
    name = "footring",
    version,
    about,
    long_about = "Sort, identify, date and record tableware at a table.\n\n\
        Without a verb the window opens on the key used last, the first time on the demo key.",
    after_help = "KEY is the folder of a house key, or the word 'demo' for the key of the invented Marrowby Pottery that is built in\n\
        (a folder of that name is ./demo).\n\n\
        The program ends with 0 where all went well, 1 where it found problems, 2 where it was asked for something that cannot be.",
    disable_help_subcommand = true
)]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    call: Option<Call>,
}

impl Cli {
    /// What is asked for: without a word, the window.
    pub fn call(self) -> Call {
        self.call.unwrap_or_else(|| Call::Open(Open::default()))
    }
}

/// What the program can be asked for.
#[derive(Debug, Clone, PartialEq, Subcommand)]
pub enum Call {
    /// Open the window (also done without a verb)
    Open(Open),
    /// Something that needs no window.
    #[command(flatten)]
    Verb(Verb),
}

/// The verbs that need no window.
#[derive(Debug, Clone, PartialEq, Subcommand)]
pub enum Verb {
    /// Read a house key and say everything that is wrong with it
    Check(Check),
    /// Say in words what two versions of a house key have otherwise
    Diff(Diff),
    /// Put two versions of a house key together that both came from a third
    Merge(Merge),
    /// Name a piece from what was seen of it
    Identify(Identify),
    /// Say how forms that look alike are told apart
    Tell(Tell),
    /// Say which forms the key can't tell apart, and what to record next
    Health(Health),
    /// Write the whole key as a sequence of looks, one after the other, as for paper
    Sequence(Sequence),
    /// Write forms or finds for other programs: tables, a workbook, JSON, LIDO, Linked Art, a zip with photographs
    Export(Export),
    /// Bring a list into a house key: a table as CSV, XLSX or ODS
    Import(Import),
    /// Try the key on made-up pieces: how often the right form comes out, and what is taken for what
    Trial(Trial),
    /// Name every piece of a box from a table, one row a piece
    Sort(Sort),
    /// Turn what is read underneath a piece into dates, with reasons
    Date(Date),
    /// Find the marks that what can be read of a wording goes with
    Mark(Mark),
    /// Read the colour of a glaze or clay from a photograph, and say which of the key's it may be
    Colour(Colour),
    /// Measure a piece on a photograph with a bank card beside it
    Measure(Box<Measure>),
    /// Say by photographs of straight lines how a camera's lens bends them, so that its pictures are measured the better
    Lens(Lens),
    /// Lay a round or oval mark on a photograph straight, as strips that read from left to right
    Unroll(Unroll),
    /// Find which loose lids belong to which lidless bases
    Pair(Pair),
    /// Count which form is known in which glaze: by finds, by papers, by neither
    Census(Census),
    /// Pack a house key into one file, to be handed on
    Pack(Pack),
    /// Unpack a key that was packed into one file
    Unpack(Unpack),
    /// Back a daybook up, bring it back, take another person's in
    Daybook(Daybook),
    /// Say which forms the entries of a price list or brochure mean
    Reconcile(Reconcile),
    /// Print sheets from a key and a daybook: bench key, plate, forms, marks, labels, lists, census
    Print(Box<Print>),
}

/// `footring open`
#[derive(Debug, Clone, PartialEq, Default, Args)]
pub struct Open {
    /// The house key to open: its folder, a packed key, or 'demo'. Left out, the one used last
    pub key: Option<String>,
    /// Where the daybook, photographs and settings are kept, in place of the usual folder of this user
    #[arg(long, value_name = "DIR")]
    pub data_dir: Option<PathBuf>,
    /// The language of the window, 'en' or 'de', from now on; left out, the one chosen there, else that of the system
    #[arg(long, value_name = "CODE", value_parser = language)]
    pub language: Option<Language>,
}

fn language(code: &str) -> Result<Language, String> {
    Language::of_locale(code).ok_or_else(|| "the window speaks English (en) and German (de)".to_owned())
}

/// `footring check`
#[derive(Debug, Clone, PartialEq, Args)]
pub struct Check {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring identify`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Examples:\n  \
    footring identify demo --see 'lid outline=oval' --see 'height=92±2'\n  \
    footring identify demo --see 'handle=loop|ear' --missing lid --json\n  \
    footring identify demo --see 'lid outline=oval' --dates-words 'DETERGENT PROOF' --dates-sold 1968\n\n\
    A measure may be written 92, 92±2, 92+-2 or 90..94; several values that it may be are parted by '|'. 'feature=?' means: looked, and can't tell.\n\
    In the wording of a mark '?' is one letter that can't be read and '…' or '...' any number of them.")]
pub struct Identify {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Something seen: the feature's name, '=', and the value (may be given many times)
    #[arg(long, value_name = "FEATURE=VALUE")]
    pub see: Vec<String>,
    /// A part that is gone: lid, handle, foot … (may be given many times)
    #[arg(long, value_name = "PART")]
    pub missing: Vec<String>,
    /// What dates it.
    #[command(flatten)]
    pub dated_by: DatedBy,
    /// List every form, also those that were set aside, with the reason
    #[arg(long)]
    pub all: bool,
    /// Print JSON for another program
    #[arg(long, conflicts_with = "all")]
    pub json: bool,
}

/// `footring tell`
#[derive(Debug, Clone, PartialEq, Args)]
#[expect(clippy::struct_excessive_bools, reason = "each is an option of the command line")]
#[command(after_help = "Examples:\n  \
    footring tell demo 'covered sugar, Quoin' 'one-person casserole'\n  \
    footring tell demo 'covered sugar, Quoin' --alone --missing lid\n  \
    footring tell demo --line Quoin --least-effort\n\n\
    --alone and --line print the smallest set of features that does it. Two forms are told apart by a feature that is recorded of both and that, \
    looked at once, picks the right one of the two in at least 75 of 100 cases.")]
pub struct Tell {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Two to six forms, by name ('covered sugar', 'covered sugar, Quoin') or by id; with --alone one is enough
    #[arg(required_unless_present = "line", num_args = 1..=6, value_name = "FORM")]
    pub forms: Vec<String>,
    /// The smallest set of features that tells the form (or each of the forms) from all others of the key
    #[arg(long)]
    pub alone: bool,
    /// The smallest set of features that tells every form of that line from every other
    #[arg(long, value_name = "LINE", conflicts_with_all = ["forms", "alone"])]
    pub line: Option<String>,
    /// Of all sets, the one with the least effort of looking, in place of the fewest features
    #[arg(long)]
    pub least_effort: bool,
    /// A part that is gone: lid, handle, foot … (may be given many times)
    #[arg(long, value_name = "PART")]
    pub missing: Vec<String>,
    /// Write out every tell, not only the surest, and every pair that nothing tells apart
    #[arg(long)]
    pub all: bool,
    /// Print JSON for another program
    #[arg(long, conflicts_with = "all")]
    pub json: bool,
}

/// `footring health`
#[derive(Debug, Clone, PartialEq, Args)]
pub struct Health {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Write out every list in full, as far as it is kept
    #[arg(long)]
    pub all: bool,
    /// Print JSON for another program
    #[arg(long, conflicts_with = "all")]
    pub json: bool,
}

/// `footring sequence`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "Read 'step 4' as: go on at 4. Readings are taken to be right; where one may be wrong, 'footring identify' forgives it."
)]
pub struct Sequence {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// The best sequence there is (small keys only), in place of taking the best look at each step
    #[arg(long)]
    pub exact: bool,
    /// The least effort of looking on average, in place of the fewest looks
    #[arg(long)]
    pub least_effort: bool,
    /// A part that is gone: lid, handle, foot … (may be given many times)
    #[arg(long, value_name = "PART")]
    pub missing: Vec<String>,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring import`
#[expect(clippy::struct_excessive_bools, reason = "each is a switch of the command line")]
#[derive(Debug, Clone, PartialEq, Default, Args)]
#[command(
    override_usage = "footring import [OPTIONS] <KEY> <TABLE>\n       footring import [OPTIONS] --new <DIR> <TABLE>",
    after_help = "Examples:\n  \
    footring import keys/mine stock.xlsx --sheet 'Shelf 2' --dry-run\n  \
    footring import --new keys/museum list.csv --name-column title\n\n\
    What each column is taken for is guessed and printed; --write-mapping keeps the guess as a text that can be edited and given back with\n\
    --mapping. Rows that share their name (and line) are pieces of one form: values are counted, measures become ranges.\n\
    What the key says otherwise than the table stays as it is, and is listed; --make-changes lets the table widen it."
)]
pub struct Import {
    /// The house key's folder, and the table; with --new, the table alone
    #[arg(required = true, num_args = 1..=2, value_name = "KEY> <TABLE")]
    pub paths: Vec<PathBuf>,
    /// Make a new key in this folder
    #[arg(long, value_name = "DIR")]
    pub new: Option<PathBuf>,
    /// The sheet of a workbook (otherwise the first that holds something)
    #[arg(long)]
    pub sheet: Option<String>,
    /// The column that holds the names of the forms
    #[arg(long, value_name = "NAME")]
    pub name_column: Option<String>,
    /// The line of forms that have none in the table (otherwise one called as the file)
    #[arg(long, value_name = "NAME")]
    pub line: Option<String>,
    /// The table has no header; its columns are called 'column A', 'column B' …
    #[arg(long, conflicts_with = "header")]
    pub no_header: bool,
    /// The first row is the header, whatever it looks like
    #[arg(long)]
    pub header: bool,
    /// Pints and fluid ounces without a word are US ones, not imperial
    #[arg(long)]
    pub us: bool,
    /// Take the columns for what this file says
    #[arg(long, value_name = "FILE")]
    pub mapping: Option<PathBuf>,
    /// Write what the columns are taken for to this file
    #[arg(long, value_name = "FILE")]
    pub write_mapping: Option<PathBuf>,
    /// Let the table widen what the key says otherwise
    #[arg(long)]
    pub make_changes: bool,
    /// Say what would be done, and do nothing
    #[arg(long)]
    pub dry_run: bool,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring trial`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "Each form is made up many times from what the key records of it, looked at with the slips of an honest person, and named.\n\
    A trial shows how well a key can do if its record is right; it can't show whether the record is right.\n\n\
    Examples:\n  \
    footring trial demo --guided\n  \
    footring trial demo --looks 6 --slips 2\n  \
    footring trial demo --pieces 1000 --seed 7 --json"
)]
pub struct Trial {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// Made-up pieces of each form (left out: 100, fewer where there are more than 100 forms)
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    pub pieces: Option<u32>,
    /// Looks at a piece: with --guided the most there may be (left out: 20), else the number there are (left out: 8)
    #[arg(long, value_name = "K", value_parser = clap::value_parser!(u32).range(1..))]
    pub looks: Option<u32>,
    /// Look where Footring would look next, until the name is settled; without it features are looked at in any order
    #[arg(long)]
    pub guided: bool,
    /// How often features are misread: 0 never, 1 as often as the key says, 2 twice as often
    #[arg(long, value_name = "FACTOR", default_value_t = 1.0, value_parser = factor)]
    pub slips: f64,
    /// Share of looks that end in 'can't tell', 0 to 1
    #[arg(long, value_name = "SHARE", default_value_t = 0.05, value_parser = share)]
    pub unread: f64,
    /// Share of lidded pieces that have lost their lid, 0 to 1
    #[arg(long, value_name = "SHARE", default_value_t = 0.05, value_parser = share)]
    pub lost_lids: f64,
    /// Share of marks that are worn, so that only a part of the wording is read, 0 to 1
    #[arg(long, value_name = "SHARE", default_value_t = 0.3, value_parser = share)]
    pub worn: f64,
    /// Forms that are left out of the key in turn, to see whether their pieces are called strange (left out: 20; 3 in a key of over 1000 forms)
    #[arg(long, value_name = "N")]
    pub strangers: Option<u32>,
    /// Where the dice start: the same seed gives the same pieces
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub seed: u64,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring sort`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "The table has a row for each piece and a column for each feature that was looked at, called by the feature's name or id.\n\
    A cell says what was seen, as after the '=' of 'footring identify --see': round, round|oval, 92, 92±2, round~ for probably, ? for looked and\n\
    can't tell, none for no such thing; empty where nobody looked. A column 'missing' names parts that are gone: lid|finial.\n\
    All columns are kept in their order. After them come form, line, probability, runner-up, next look, verdict and problems.\n\n\
    Example:\n  \
    footring sort demo box.csv --out named.csv"
)]
pub struct Sort {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// The table of the box: CSV, XLSX or ODS, its first row the names of the columns
    #[arg(value_name = "TABLE")]
    pub table: PathBuf,
    /// The sheet of a workbook (otherwise the first that holds something)
    #[arg(long)]
    pub sheet: Option<String>,
    /// The file to write; '-' prints it
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
}

/// `footring date`
#[derive(Debug, Clone, PartialEq, Default, Args)]
#[command(after_help = "Examples:\n  \
    footring date --evidence 'MADE IN ENGL?ND' --evidence 'oven proof'\n  \
    footring date --diamond 'class IV, top K, left H, right 7, bottom 2' --rd 543765\n  \
    footring date --key demo --mark 'Quoin square' --mark-code C --sold 1957\n\n\
    The corners of a diamond are given as they are seen, the class circle on top. '?' is one letter that can't be read, '…' or '...' any number.\n\
    Law and makers' papers bound a date, custom narrows it within that, and what is weak only says what was usual.")]
pub struct Date {
    /// The house key: its folder, or 'demo'
    #[arg(long)]
    pub key: Option<String>,
    /// Words read on the piece (may be given many times)
    #[arg(long, value_name = "TEXT")]
    pub evidence: Vec<String>,
    /// A date code of the house (may be given many times)
    #[arg(long, value_name = "CODE", requires = "key")]
    pub mark_code: Vec<String>,
    /// The corners of a British registration diamond
    #[arg(long, value_name = "CORNERS")]
    pub diamond: Option<String>,
    /// A British registered design number
    #[arg(long, value_name = "NUMBER")]
    pub rd: Option<String>,
    /// The mark, by its name in the key
    #[arg(long, requires = "key")]
    pub mark: Option<String>,
    /// The form, by its name in the key
    #[arg(long, requires = "key")]
    pub form: Option<String>,
    /// The decoration, by its name in the key
    #[arg(long, requires = "key")]
    pub decoration: Option<String>,
    /// When it was sold: a year, or a day as 1957-04-07
    #[arg(long, value_name = "DATE")]
    pub sold: Option<String>,
    /// A file of dating rules that are added to the published ones
    #[arg(long, value_name = "FILE")]
    pub rules: Option<PathBuf>,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring mark`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(
    after_help = "In the wording '?' is one letter that can't be read, '…' or '...' any number of them, '[AB]' a letter that is A or B, '(R)' an R in doubt.\n\
    Lines may be given in any order; case, accents and points count for nothing, a blank says that a word ends.\n\n\
    Example:\n  \
    footring mark demo 'OV?N PR… MARROW' --layout oval --colour grey"
)]
pub struct Mark {
    /// The house key: its folder, or 'demo'
    pub key: String,
    /// What can be read
    pub wording: String,
    /// How the wording stands: round, oval, square, script or words
    #[arg(long, value_parser = ["round", "oval", "square", "script", "words"])]
    pub layout: Option<String>,
    /// The name of its ink, as the key has it
    #[arg(long, value_name = "INK")]
    pub colour: Option<String>,
    /// A table of letters that look alike, in place of the one built in
    #[arg(long, value_name = "FILE")]
    pub confusions: Option<PathBuf>,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

/// `footring colour`
#[derive(Debug, Clone, PartialEq, Args)]
#[command(after_help = "Areas are left,top,width,height in pixels of the upright photograph. The white must be lit as the piece is.\n\
    A photograph under a lamp is a hint, not a measurement.\n\n\
    Example:\n  \
    footring colour lid.jpg --white '40,60,80,30' --at '300,220,120,90' --key demo")]
pub struct Colour {
    /// The photograph: JPEG, PNG, WebP or TIFF
    pub photo: PathBuf,
    /// The area of something white or grey: the border of a card, a grey patch, paper
    #[arg(long, value_name = "X,Y,W,H", value_parser = area)]
    pub white: [u32; 4],
    /// The area whose colour is asked for, without glare
    #[arg(long, value_name = "X,Y,W,H", value_parser = area)]
    pub at: [u32; 4],
    /// The house key: its folder, or 'demo'
    #[arg(long, default_value = "demo")]
    pub key: String,
    /// The feature whose colours it is held against (left out: the key's glazes)
    #[arg(long, value_name = "NAME")]
    pub feature: Option<String>,
    /// Share of the light that the white reflects, above 0 to 1 (0.18 for a grey card; left out: 0.88)
    #[arg(long, value_name = "SHARE", value_parser = share)]
    pub reflects: Option<f64>,
    /// The white is any paper, whose own tint nobody knows: the spread is widened
    #[arg(long)]
    pub paper: bool,
    /// Print JSON for another program
    #[arg(long)]
    pub json: bool,
}

fn area(text: &str) -> Result<[u32; 4], String> {
    let numbers: Result<Vec<u32>, _> = text.split(',').map(|n| n.trim().parse()).collect();
    numbers
        .ok()
        .and_then(|n| <[u32; 4]>::try_from(n).ok())
        .ok_or_else(|| "that is not left,top,width,height in whole pixels (write \"40,60,80,30\")".to_owned())
}

fn number(text: &str, most: f64, example: &str) -> Result<f64, String> {
    text.trim()
        .parse::<f64>()
        .ok()
        .filter(|x| (0.0..=most).contains(x))
        .ok_or_else(|| format!("that is not a number from 0 to {most} (write {example})"))
}

fn share(text: &str) -> Result<f64, String> {
    number(text, 1.0, "0.05 for one in twenty")
}

fn factor(text: &str) -> Result<f64, String> {
    number(text, 1000.0, "2 for twice as often")
}

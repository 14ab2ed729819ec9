//! What `footring trial --json` prints.

use super::{Bin, Confusion, FormResult, Key, Report, Share, Strangers, Way};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct Told {
    key: String,
    options: ToldOptions,
    pieces: usize,
    first: ToldShare,
    first_three: ToldShare,
    settled: ToldShare,
    settled_wrongly: ToldShare,
    called_not_in_key: ToldShare,
    called_contradictory: ToldShare,
    looks: ToldLooks,
    calibration: ToldCalibration,
    forms: Vec<ToldForm>,
    taken_for: Vec<ToldConfusion>,
    lines: Vec<String>,
    /// A row for each line: how many of its pieces were taken for a form of each line.
    line_taken_for: Vec<Vec<usize>>,
    strangers: Option<ToldStrangers>,
}

#[derive(Serialize)]
struct ToldOptions {
    pieces_of_each_form: usize,
    guided: bool,
    looks: usize,
    slips: f64,
    unread: f64,
    lost_lids: f64,
    worn: f64,
    strangers: usize,
    seed: u64,
}

/// A share with its 95 % interval.
#[derive(Serialize)]
struct ToldShare {
    share: f64,
    low: f64,
    high: f64,
}

#[derive(Serialize)]
struct ToldLooks {
    mean: f64,
    median: usize,
    most_of_95_percent: usize,
    mean_effort: f64,
    bits_at_the_start: f64,
    bits_at_the_end: f64,
    bits_of_the_best_look: f64,
    fewest_possible: f64,
}

#[derive(Serialize)]
struct ToldCalibration {
    brier: f64,
    brier_blank: f64,
    log_loss_bits: f64,
    log_loss_blank_bits: f64,
    expected_error: f64,
    bins: Vec<ToldBin>,
}

#[derive(Serialize)]
struct ToldBin {
    from: f64,
    to: f64,
    pieces: usize,
    /// Left out where no piece fell into the bin.
    #[serde(skip_serializing_if = "Option::is_none")]
    said: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    right: Option<f64>,
}

#[derive(Serialize)]
struct ToldForm {
    id: String,
    name: String,
    pieces: usize,
    right: usize,
    first: ToldShare,
    first_three: usize,
    looks: f64,
}

#[derive(Serialize)]
struct ToldConfusion {
    form: String,
    taken_for: String,
    pieces: usize,
    settled: usize,
}

#[derive(Serialize)]
struct ToldStrangers {
    forms: usize,
    pieces: usize,
    called_not_in_key: ToldShare,
    called_contradictory: ToldShare,
    named: ToldShare,
    named_though_measured: ToldShare,
    taken_for: Vec<ToldConfusion>,
}

pub(super) fn report(key: &Key, report: &Report) -> Told {
    let options = &report.options;
    let (guided, looks) = match options.way {
        Way::AnyOrder { looks } => (false, looks),
        Way::Guided { most } => (true, most),
    };
    Told {
        key: key.about.title.clone(),
        options: ToldOptions {
            pieces_of_each_form: options.pieces,
            guided,
            looks,
            slips: options.slips,
            unread: options.unread,
            lost_lids: options.lost_lids,
            worn: options.worn,
            strangers: options.left_out,
            seed: options.seed,
        },
        pieces: report.pieces,
        first: share(report.first),
        first_three: share(report.first_three),
        settled: share(report.settled),
        settled_wrongly: share(report.settled_wrongly),
        called_not_in_key: share(report.called_strange),
        called_contradictory: share(report.called_contradictory),
        looks: ToldLooks {
            mean: report.looks.mean,
            median: report.looks.median,
            most_of_95_percent: report.looks.most_of_95,
            mean_effort: report.looks.mean_effort,
            bits_at_the_start: report.looks.start_bits,
            bits_at_the_end: report.looks.end_bits,
            bits_of_the_best_look: report.looks.best_look_bits,
            fewest_possible: report.looks.bound,
        },
        calibration: ToldCalibration {
            brier: report.calibration.brier,
            brier_blank: report.calibration.brier_blank,
            log_loss_bits: report.calibration.log_loss_bits,
            log_loss_blank_bits: report.calibration.log_loss_blank_bits,
            expected_error: report.calibration.expected_error,
            bins: report.calibration.bins.iter().map(bin).collect(),
        },
        forms: report.forms.iter().map(|result| form(key, result)).collect(),
        taken_for: report.confusions.iter().map(confusion).collect(),
        lines: report.lines.iter().map(ToString::to_string).collect(),
        line_taken_for: report.line_taken_for.clone(),
        strangers: report.strangers.as_ref().map(strangers),
    }
}

fn share(share: Share) -> ToldShare {
    ToldShare { share: share.share, low: share.low, high: share.high }
}

fn bin(bin: &Bin) -> ToldBin {
    let some = |x: f64| (bin.pieces > 0).then_some(x);
    ToldBin { from: bin.from, to: bin.to, pieces: bin.pieces, said: some(bin.said), right: some(bin.right) }
}

fn form(key: &Key, result: &FormResult) -> ToldForm {
    ToldForm {
        id: result.form.to_string(),
        name: key.form_name(&result.form),
        pieces: result.pieces,
        right: result.right,
        first: share(result.first),
        first_three: result.first_three,
        looks: result.looks,
    }
}

fn confusion(confusion: &Confusion) -> ToldConfusion {
    ToldConfusion {
        form: confusion.form.to_string(),
        taken_for: confusion.taken_for.to_string(),
        pieces: confusion.pieces,
        settled: confusion.settled,
    }
}

fn strangers(strangers: &Strangers) -> ToldStrangers {
    ToldStrangers {
        forms: strangers.forms,
        pieces: strangers.pieces,
        called_not_in_key: share(strangers.called_strange),
        called_contradictory: share(strangers.called_contradictory),
        named: share(strangers.named),
        named_though_measured: share(strangers.named_though_measured),
        taken_for: strangers.taken_for.iter().map(confusion).collect(),
    }
}

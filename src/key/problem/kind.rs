//! The kinds of problem, each with what was found, and its sentence.

use super::Severity;
use super::or_list;
use crate::key::syntax::SyntaxErrorKind;
use crate::say;
use crate::words::of_data;
use thiserror::Error;

fn hint(nearest: Option<&String>) -> String {
    nearest.map_or_else(String::new, |name| say!(" (did you mean '{name}'?)", name))
}

fn hint_or_known<S: AsRef<str>>(nearest: Option<&String>, known: &[S]) -> String {
    match nearest {
        Some(name) => say!(" (did you mean '{name}'?)", name),
        None if known.is_empty() => String::new(),
        None => say!(" (it can be {words})", words = or_list(known)),
    }
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ProblemKind {
    /// The folder is not there.
    #[error("{}", say!("there is no folder '{what}' (choose the folder of a house key)", what = _0))]
    NoFolder(String),
    /// It is a file, not a folder.
    #[error("{}", say!("'{what}' is a file (choose the folder that holds 'key.ron')", what = _0))]
    NotAFolder(String),
    /// `key.ron` is missing.
    #[error("{}", say!("there is no 'key.ron', so this folder is no house key (choose the folder that holds it, or make one)"))]
    NoKeyFile,
    /// The system won't let it be read.
    #[error("{}", say!("this file can't be read: {what}", what = _0))]
    CannotRead(String),
    /// A folder has the name of a file.
    #[error("{}", say!("this is a folder, a file was expected (rename the folder)"))]
    FolderForFile,
    /// The text is not UTF-8.
    #[error("{}", say!("this is not UTF-8 text from here on (save it as UTF-8; until then it is read as far as it goes and never written)"))]
    NotUtf8,
    /// The file is too large.
    #[error("{}", say!("this file has {megabytes} megabytes, more than the {limit} this program reads (divide the key)", megabytes, limit))]
    TooLarge {
        /// Its size.
        megabytes: u64,
        /// The limit.
        limit: u64,
    },
    /// A newer program wrote this key.
    #[error("{}", say!("this key has format {found}, this program knows up to {known} (it can be read but not changed; get a newer Footring)", found, known))]
    NewerFormat {
        /// The format of the key.
        found: u32,
        /// The newest known.
        known: u32,
    },
    /// An older program wrote this key.
    #[error("{}", say!("this key has format {found}, the present one is {known} (it is read as it was meant; saving it brings it up and keeps a copy)", found, known))]
    OlderFormat {
        /// The format of the key.
        found: u32,
        /// The newest known.
        known: u32,
    },
    /// A link that leads out of the key's folder.
    #[error("{}", say!("this is a link that leads out of the key's folder, so it is not followed (put the file itself there)"))]
    LinkOutside,
    /// Something that is no file: a pipe, a device.
    #[error("{}", say!("this is no plain file, so it is not read (put one in its place)"))]
    NoPlainFile,
    /// A name with signs that nobody sees, or that turn the writing round.
    #[error("{}", say!("the {field} of the {of} '{id}' holds {sign}, which can't be seen and can make one name look like another (take it out)", field = of_data(field), of = of_data(of), id, sign))]
    UnseenSign {
        /// What it is.
        of: &'static str,
        /// Its id.
        id: String,
        /// The field.
        field: &'static str,
        /// The sign, as U+202E.
        sign: String,
    },
    /// Brackets, commas or quotes.
    #[error("{0}")]
    Syntax(SyntaxErrorKind),
    /// A field that this sort of entry does not have.
    #[error("{}", say!("a {of} has no field '{found}'{hint}", of = of_data(of), found, hint = hint_or_known(nearest.as_ref(), known)))]
    UnknownField {
        /// As written.
        found: String,
        /// What it is a field of.
        of: &'static str,
        /// The fields there are.
        known: Vec<&'static str>,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// A word that is none of the words possible here.
    #[error("{}", say!("'{found}' means nothing here{hint}", found, hint = hint_or_known(nearest.as_ref(), known)))]
    UnknownWord {
        /// As written.
        found: String,
        /// The words there are.
        known: Vec<&'static str>,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// A field that must be there.
    #[error("{}", say!("the field '{field}' is missing (add '{field}: …')", field))]
    MissingField {
        /// Its name.
        field: &'static str,
    },
    /// A field written twice.
    #[error("{}", say!("'{field}' is written twice (take one out)", field))]
    WrittenTwice {
        /// Its name.
        field: String,
    },
    /// Something of the wrong sort.
    #[error("{}", say!("{found} was found where {expected} was expected{advice}", found, expected, advice))]
    WrongSort {
        /// As written, in quotes.
        found: String,
        /// What belongs here.
        expected: String,
        /// What to do, in brackets, or nothing.
        advice: String,
    },
    /// Two entries of one id.
    #[error("{}", say!("two {of} have the id '{id}', the first at {first} (give one of them another)", of = of_data(of), id, first))]
    DoubleId {
        /// What they are, in the plural.
        of: &'static str,
        /// Their id.
        id: String,
        /// Where the first is.
        first: super::Place,
    },
    /// An id that is no id.
    #[error("{}", say!("'{id}' is no id (write small letters, figures and hyphens, like '{instead}')", id, instead))]
    OddId {
        /// As written.
        id: String,
        /// A right one.
        instead: String,
    },
    /// A name left empty.
    #[error("{}", say!("the {of} '{id}' has an empty {field} (write one)", of = of_data(of), id, field = of_data(field)))]
    Empty {
        /// What it is.
        of: &'static str,
        /// Its id.
        id: String,
        /// The empty field.
        field: &'static str,
    },
    /// Two entries that cannot be told apart by name.
    #[error("{}", say!("two {of} are called '{name}'{within}, the first at {first} (give one of them another name)", of = of_data(of), name, within, first))]
    DoubleName {
        /// What they are, in the plural.
        of: &'static str,
        /// Their name.
        name: String,
        /// ' in the line …', or nothing.
        within: String,
        /// Where the first is.
        first: super::Place,
    },
    /// An id that no entry has.
    #[error("{}", say!("there is no {of} '{id}'{hint}", of = of_data(of), id, hint = hint(nearest.as_ref())))]
    Unknown {
        /// What was looked for.
        of: &'static str,
        /// As written.
        id: String,
        /// The nearest there is.
        nearest: Option<String>,
    },
    /// A value that the feature does not have.
    #[error("{}", say!("'{value}' is no value of the feature '{feature}'{hint}", value, feature, hint = hint_or_known(nearest.as_ref(), known)))]
    UnknownValue {
        /// As written.
        value: String,
        /// The feature.
        feature: String,
        /// Its values, where there are few.
        known: Vec<String>,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// A record of the wrong kind.
    #[error("{}", say!("'{feature}' is {is}, {recorded} can't be recorded of it (write {instead})", feature, is, recorded, instead))]
    WrongRecord {
        /// The feature.
        feature: String,
        /// 'measured' or 'chosen from values'.
        is: &'static str,
        /// What was recorded.
        recorded: &'static str,
        /// How it is written.
        instead: &'static str,
    },
    /// A feature of a part that the form does not have.
    #[error("{}", say!("'{feature}' is a feature of the {part}, which this form does not have (write DoesNotApply, or add {part_word} to parts)", feature, part, part_word))]
    FeatureOfLackingPart {
        /// The feature.
        feature: String,
        /// The part.
        part: &'static str,
        /// As written in `parts`.
        part_word: String,
    },
    /// A feature whose condition the form does not meet.
    #[error("{}", say!("'{feature}' only applies {condition}, which is not so of this form (write DoesNotApply, or change the other)", feature, condition))]
    FeatureDoesNotApply {
        /// The feature.
        feature: String,
        /// 'if …'.
        condition: String,
    },
    /// A number outside its limits.
    #[error("{}", say!("{what} {found} is out of bounds (expected {expected})", what, found, expected))]
    OutOfBounds {
        /// The quantity.
        what: &'static str,
        /// As read.
        found: String,
        /// Its limits.
        expected: &'static str,
    },
    /// A range that runs backwards.
    #[error("{}", say!("{what} run from {from} down to {to} (write the smaller first)", what, from, to))]
    Backwards {
        /// The quantity, in the plural.
        what: &'static str,
        /// The first number.
        from: String,
        /// The second number.
        to: String,
    },
    /// A list that may not be empty.
    #[error("{}", say!("{what} is empty (expected {expected})", what, expected))]
    NothingIn {
        /// What is empty.
        what: &'static str,
        /// What belongs there.
        expected: &'static str,
    },
    /// A record in which some values have a count and some a word.
    #[error("{}", say!("the record of '{feature}' mixes counts and words (give every value a count, Times(7), or every value a word: Usually)", feature))]
    CountsAndWords {
        /// The feature.
        feature: String,
    },
    /// A thing named twice in one list.
    #[error("{}", say!("'{what}' is named twice in {list} (take one out)", what, list))]
    Twice {
        /// The thing.
        what: String,
        /// The list.
        list: &'static str,
    },
    /// The body is not among the parts.
    #[error("{}", say!("the parts of this form do not name the body (add Body)"))]
    NoBody,
    /// A part without its drawing.
    #[error("{}", say!("this form has a {part}, but its shape draws none (add '{field}' to shape, or take {part_word} out of parts)", part, field, part_word))]
    PartNotDrawn {
        /// The part.
        part: &'static str,
        /// The field of the shape.
        field: &'static str,
        /// As written in `parts`.
        part_word: String,
    },
    /// A drawing without its part.
    #[error("{}", say!("the shape draws a {part}, but the parts of this form do not name it (add {part_word} to parts, or take '{field}' out of shape)", part, part_word, field))]
    DrawnPartLacking {
        /// The part.
        part: &'static str,
        /// The field of the shape.
        field: &'static str,
        /// As written in `parts`.
        part_word: String,
    },
    /// A half profile of fewer than two points.
    #[error("{}", say!("the {what} has {points}, a half profile needs at least 2 points (list them from the table up)", what, points))]
    TooFewPoints {
        /// Which profile.
        what: &'static str,
        /// How many, in words.
        points: String,
    },
    /// A half profile without height or width.
    #[error("{}", say!("the {what} has no {lacks} (give its points in millimetres: radius, then height)", what, lacks))]
    FlatProfile {
        /// Which profile.
        what: &'static str,
        /// Height or width.
        lacks: &'static str,
    },
    /// There is no such day.
    #[error("{}", say!("there is no {date} (check the day and the month)", date))]
    NoSuchDate {
        /// As written.
        date: String,
    },
    /// A picture that is not there.
    #[error("{}", say!("there is no picture '{file}' in 'pictures'{hint}", file, hint = hint(nearest.as_ref())))]
    NoPicture {
        /// As written.
        file: String,
        /// The nearest there is.
        nearest: Option<String>,
    },
    /// A picture outside the key.
    #[error("{}", say!("'{file}' is not inside 'pictures' (copy the picture there and write its name alone)", file))]
    PictureOutside {
        /// As written.
        file: String,
    },
    /// A picture that cannot be read.
    #[error("{}", say!("the picture '{file}' can't be read: {why}", file, why))]
    UnreadablePicture {
        /// As written.
        file: String,
        /// What the system or the decoder says.
        why: String,
    },
    /// One word for two things.
    #[error("{}", say!("'{word}' means both {one} and {other} (rename one of them)", word, one, other))]
    WordForTwo {
        /// The word.
        word: String,
        /// One thing.
        one: String,
        /// The other.
        other: String,
    },
    /// A form borrowed by the line it is of.
    #[error("{}", say!("the line '{line}' can't borrow a form of its own (take it out of borrowed_by)", line))]
    BorrowedByItsOwn {
        /// The line.
        line: String,
    },
    /// Two forms that nothing separates.
    #[error("{}", say!("no feature tells '{one}' from '{other}' at {first} (record one that does)", one, other, first))]
    NotToldApart {
        /// A form, with its line.
        one: String,
        /// The other, with its line.
        other: String,
        /// Where the other is.
        first: super::Place,
    },
    /// A feature that is never recorded.
    #[error("{}", say!("no form records the feature '{feature}' (record it of some, or take it out)", feature))]
    NeverRecorded {
        /// The feature.
        feature: String,
    },
    /// More problems than are worth reading.
    #[error("{}", say!("and {what} more of this file (mend the ones above first)", what = _0))]
    More(usize),
}

impl ProblemKind {
    /// A short name that does not change between versions.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoFolder(_) => "no-folder",
            Self::NotAFolder(_) => "not-a-folder",
            Self::NoKeyFile => "no-key-file",
            Self::CannotRead(_) => "cannot-read",
            Self::FolderForFile => "folder-for-file",
            Self::NotUtf8 => "not-utf8",
            Self::TooLarge { .. } => "too-large",
            Self::NewerFormat { .. } => "newer-format",
            Self::OlderFormat { .. } => "older-format",
            Self::LinkOutside => "link-outside",
            Self::NoPlainFile => "no-plain-file",
            Self::UnseenSign { .. } => "unseen-sign",
            Self::Syntax(_) => "syntax",
            Self::UnknownField { .. } => "unknown-field",
            Self::UnknownWord { .. } => "unknown-word",
            Self::MissingField { .. } => "missing-field",
            Self::WrittenTwice { .. } => "written-twice",
            Self::WrongSort { .. } => "wrong-sort",
            Self::DoubleId { .. } => "double-id",
            Self::OddId { .. } => "odd-id",
            Self::Empty { .. } => "empty",
            Self::DoubleName { .. } => "double-name",
            Self::Unknown { .. } => "unknown-name",
            Self::UnknownValue { .. } => "unknown-value",
            Self::WrongRecord { .. } => "wrong-record",
            Self::FeatureOfLackingPart { .. } => "feature-of-lacking-part",
            Self::FeatureDoesNotApply { .. } => "feature-does-not-apply",
            Self::OutOfBounds { .. } => "out-of-bounds",
            Self::Backwards { .. } => "backwards",
            Self::NothingIn { .. } => "nothing-in",
            Self::CountsAndWords { .. } => "counts-and-words",
            Self::Twice { .. } => "twice",
            Self::NoBody => "no-body",
            Self::PartNotDrawn { .. } => "part-not-drawn",
            Self::DrawnPartLacking { .. } => "drawn-part-lacking",
            Self::TooFewPoints { .. } => "too-few-points",
            Self::FlatProfile { .. } => "flat-profile",
            Self::NoSuchDate { .. } => "no-such-date",
            Self::NoPicture { .. } => "no-picture",
            Self::PictureOutside { .. } => "picture-outside",
            Self::UnreadablePicture { .. } => "unreadable-picture",
            Self::WordForTwo { .. } => "word-for-two",
            Self::BorrowedByItsOwn { .. } => "borrowed-by-its-own",
            Self::NotToldApart { .. } => "not-told-apart",
            Self::NeverRecorded { .. } => "never-recorded",
            Self::More(_) => "more",
        }
    }

    /// How bad it is. Warnings are what a key can live with.
    pub fn severity(&self) -> Severity {
        match self {
            Self::NewerFormat { .. }
            | Self::OlderFormat { .. }
            | Self::UnseenSign { .. }
            | Self::OddId { .. }
            | Self::PartNotDrawn { .. }
            | Self::DrawnPartLacking { .. }
            | Self::WordForTwo { .. }
            | Self::NotToldApart { .. }
            | Self::NeverRecorded { .. } => Severity::Warning,
            _ => Severity::Error,
        }
    }
}

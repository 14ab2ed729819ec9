//! The files of a key, and what an entry of each is called.

use super::ids::{CountedId, DecorationId, FeatureId, FormId, GlazeId, LineId, MarkId, PaperId};
use super::model::{Counted, Decoration, Feature, Form, Glaze, Key, Line, Mark, Paper, Retired};
use crate::say;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fmt;

/// A file of the key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "each is named after what it holds")]
pub enum KeyFile {
    About,
    Features,
    Lines,
    Forms,
    Glazes,
    Decorations,
    Marks,
    Papers,
    Counted,
    Retired,
}

impl KeyFile {
    /// Every file, in the order in which they are read and reported.
    pub const ALL: [Self; 10] = [
        Self::About,
        Self::Features,
        Self::Lines,
        Self::Forms,
        Self::Glazes,
        Self::Decorations,
        Self::Marks,
        Self::Papers,
        Self::Counted,
        Self::Retired,
    ];

    /// Its name in the folder.
    pub const fn name(self) -> &'static str {
        match self {
            Self::About => "key.ron",
            Self::Features => "features.ron",
            Self::Lines => "lines.ron",
            Self::Forms => "forms.ron",
            Self::Glazes => "glazes.ron",
            Self::Decorations => "decorations.ron",
            Self::Marks => "marks.ron",
            Self::Papers => "papers.ron",
            Self::Counted => "counted.ron",
            Self::Retired => "retired.ron",
        }
    }

    /// The English word for one entry, as the files and their problems speak of it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::About => "key",
            Self::Features => "feature",
            Self::Lines => "line",
            Self::Forms => "form",
            Self::Glazes => "glaze",
            Self::Decorations => "decoration",
            Self::Marks => "mark",
            Self::Papers => "paper",
            Self::Counted => "counted find",
            Self::Retired => "retired form",
        }
    }

    /// The word for one entry, in the language that is spoken.
    pub fn said(self) -> &'static str {
        match self {
            Self::About => say!("key"),
            Self::Features => say!("feature"),
            Self::Lines => say!("line"),
            Self::Forms => say!("form"),
            Self::Glazes => say!("glaze"),
            Self::Decorations => say!("decoration"),
            Self::Marks => say!("mark"),
            Self::Papers => say!("paper"),
            Self::Counted => say!("counted find"),
            Self::Retired => say!("retired form"),
        }
    }

    /// The English word for several entries.
    pub const fn plural(self) -> &'static str {
        match self {
            Self::About => "keys",
            Self::Features => "features",
            Self::Lines => "lines",
            Self::Forms => "forms",
            Self::Glazes => "glazes",
            Self::Decorations => "decorations",
            Self::Marks => "marks",
            Self::Papers => "papers",
            Self::Counted => "counted finds",
            Self::Retired => "retired forms",
        }
    }

    /// The word for several entries, in the language that is spoken.
    pub fn several_said(self) -> &'static str {
        match self {
            Self::About => say!("keys"),
            Self::Features => say!("features"),
            Self::Lines => say!("lines"),
            Self::Forms => say!("forms"),
            Self::Glazes => say!("glazes"),
            Self::Decorations => say!("decorations"),
            Self::Marks => say!("marks"),
            Self::Papers => say!("papers"),
            Self::Counted => say!("counted finds"),
            Self::Retired => say!("retired forms"),
        }
    }
}

impl fmt::Display for KeyFile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// What stands in one of the list files.
pub(crate) trait Entry: DeserializeOwned + Serialize + Clone + PartialEq + Send + Sync {
    /// The file it stands in.
    const FILE: KeyFile;
    /// Its id.
    fn id(&self) -> &str;
    /// Gives it another id.
    fn set_id(&mut self, id: &str);
    /// The list of the key it belongs to.
    fn list(key: &Key) -> &Vec<Self>;
}

macro_rules! entries {
    ($($entry:ident in $list:ident, $file:ident, $id:ident;)+) => {$(
        impl Entry for $entry {
            const FILE: KeyFile = KeyFile::$file;

            fn id(&self) -> &str {
                $id::as_str(&self.id)
            }

            fn set_id(&mut self, id: &str) {
                self.id = id.into();
            }

            fn list(key: &Key) -> &Vec<Self> {
                &key.$list
            }
        }
    )+};
}

entries! {
    Feature in features, Features, FeatureId;
    Line in lines, Lines, LineId;
    Form in forms, Forms, FormId;
    Glaze in glazes, Glazes, GlazeId;
    Decoration in decorations, Decorations, DecorationId;
    Mark in marks, Marks, MarkId;
    Paper in papers, Papers, PaperId;
    Counted in counted, Counted, CountedId;
}

impl Entry for Retired {
    const FILE: KeyFile = KeyFile::Retired;

    fn id(&self) -> &str {
        self.form.id.as_str()
    }

    fn set_id(&mut self, id: &str) {
        self.form.id = id.into();
    }

    fn list(key: &Key) -> &Vec<Self> {
        &key.retired
    }
}

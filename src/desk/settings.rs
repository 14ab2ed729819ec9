//! What the window remembers between two starts: the key last used, light or dark, the watched folder.

use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Path, PathBuf};

/// What is remembered. Unknown or broken settings are left out, never fatal.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Settings {
    /// Folder of the key used last.
    pub last_key: Option<PathBuf>,
    /// Light, dark, or as the system has it.
    pub theme: Shade,
    /// Folder where the camera or phone puts its pictures.
    pub watched_folder: Option<PathBuf>,
    /// Label of the box that was being sorted.
    pub box_label: String,
    /// How the window suits the person.
    pub comfort: super::comfort::Comfort,
    /// The columns of the Daybook's table; none where nothing was chosen.
    pub find_columns: Option<Vec<crate::daybook::Column>>,
    /// Whether the Daybook shows pictures rather than a table.
    pub finds_as_pictures: bool,
}

/// Light or dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Shade {
    /// As the system has it.
    #[default]
    System,
    /// Light.
    Light,
    /// Dark.
    Dark,
}

impl Settings {
    /// The settings of a data folder; the usual ones where there are none or they can't be read.
    pub fn read(data_dir: &Path) -> Self {
        std::fs::read_to_string(Self::file(data_dir)).ok().and_then(|text| ron::from_str(&text).ok()).unwrap_or_default()
    }

    /// Writes the settings whole or not at all.
    ///
    /// # Errors
    ///
    /// Where the folder can't be written.
    pub fn write(&self, data_dir: &Path) -> io::Result<()> {
        write_whole(data_dir, &Self::file(data_dir), self)
    }

    fn file(data_dir: &Path) -> PathBuf {
        data_dir.join("settings.ron")
    }
}

/// Writes what is to be remembered into a file of the data folder, whole or not at all.
///
/// # Errors
///
/// Where the folder can't be written.
pub(super) fn write_whole(data_dir: &Path, file: &Path, what: &impl Serialize) -> io::Result<()> {
    let text = ron::ser::to_string_pretty(what, ron::ser::PrettyConfig::default()).map_err(io::Error::other)?;
    let mut beside = tempfile::NamedTempFile::new_in(data_dir)?;
    io::Write::write_all(&mut beside, text.as_bytes())?;
    beside.persist(file).map_err(|error| error.error)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "tests")]
    use super::*;

    #[test]
    fn what_was_written_is_read_again() {
        let dir = tempfile::tempdir().unwrap();
        let settings = Settings {
            last_key: Some("some/key".into()),
            theme: Shade::Dark,
            watched_folder: None,
            box_label: "14".into(),
            find_columns: Some(vec![crate::daybook::Column::Form]),
            finds_as_pictures: true,
            ..Settings::default()
        };
        settings.write(dir.path()).unwrap();
        assert_eq!(Settings::read(dir.path()), settings, "nothing is lost");
    }

    #[test]
    fn broken_settings_are_the_usual_ones() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("settings.ron"), "(theme: Purple").unwrap();
        assert_eq!(Settings::read(dir.path()), Settings::default(), "a broken file stops nothing");
        assert_eq!(Settings::read(&dir.path().join("nowhere")), Settings::default(), "nor does a missing one");
    }
}

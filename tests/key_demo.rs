//! The demo key that is inside the program.
#![expect(clippy::unwrap_used, reason = "tests")]

use footring::key::builtin::{CopyError, copy_demo, demo};
use footring::key::{Folder, Severity};

#[test]
fn the_demo_key_has_no_problem_and_is_copied_as_a_whole() {
    let loaded = demo();
    let told: Vec<String> = loaded.problems.iter().filter(|p| p.severity == Severity::Error).map(ToString::to_string).collect();
    assert_eq!(told, [""; 0]);
    assert!(loaded.key.forms.len() >= 60 && loaded.key.papers.len() >= 15, "{} forms", loaded.key.forms.len());
    let dir = tempfile::tempdir().unwrap();
    let to = dir.path().join("keys").join("marrowby");
    copy_demo(&to).unwrap();
    let mut folder = Folder::open(&to);
    assert_eq!(folder.key(), &loaded.key);
    assert!(matches!(copy_demo(&to), Err(CopyError::Exists(_))), "a key that is there is never written over");
    // Every form can be renamed and renamed back; the file is then as it was.
    let before = std::fs::read_to_string(to.join("forms.ron")).unwrap();
    let mut key = loaded.key.clone();
    for form in &mut key.forms {
        form.name.push('!');
    }
    folder.save(&key).unwrap();
    folder.save(&loaded.key).unwrap();
    assert_eq!(std::fs::read_to_string(to.join("forms.ron")).unwrap(), before);
}

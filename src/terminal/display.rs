//! Whether there is a screen to open a window on.

use std::ffi::OsString;

/// The sentence for a machine without a display; none where there seems to be one, or where the system always has one.
///
/// `var` looks up an environment variable.
pub fn no_display(var: impl Fn(&str) -> Option<OsString>) -> Option<&'static str> {
    let set = |name: &str| var(name).is_some_and(|value| !value.is_empty());
    let asks_for_one = cfg!(all(unix, not(target_os = "macos")));
    (asks_for_one && !["WAYLAND_DISPLAY", "WAYLAND_SOCKET", "DISPLAY"].iter().any(|name| set(name)))
        .then_some("there is no display here (neither DISPLAY nor WAYLAND_DISPLAY is set); the verbs need none: footring --help lists them")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[cfg(all(unix, not(target_os = "macos")))]
    fn an_empty_variable_is_no_display() {
        assert!(no_display(|_| None).is_some(), "nothing is set");
        assert!(no_display(|name| (name == "DISPLAY").then(OsString::new)).is_some(), "set, but empty");
        assert_eq!(no_display(|name| (name == "DISPLAY").then(|| ":0".into())), None);
        assert_eq!(no_display(|name| (name == "WAYLAND_DISPLAY").then(|| "wayland-0".into())), None);
    }
}

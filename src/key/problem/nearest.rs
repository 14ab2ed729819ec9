//! The known name that a wrong one was probably meant to be.

/// The known name nearest to `found`, where one is near enough to be worth suggesting.
///
/// Case, hyphens, spaces and underscores count for nothing. One slip in three letters is near enough (two letters swapped are one
/// slip), and so is a name of which `found` is the start. Of equally near names the earlier wins.
pub fn nearest<'k>(found: &str, known: impl IntoIterator<Item = &'k str>) -> Option<String> {
    let wanted = plain(found);
    let length = wanted.chars().count();
    if length == 0 {
        return None;
    }
    let limit = (length / 3).max(1);
    let mut best: Option<(usize, &str)> = None;
    for name in known {
        let candidate = plain(name);
        let other = candidate.chars().count();
        let starts = length >= 3 && candidate.starts_with(&wanted);
        if length.abs_diff(other) > limit && !starts {
            continue;
        }
        let slips = if starts { limit.min(length.abs_diff(other)) } else { strsim::damerau_levenshtein(&wanted, &candidate) };
        if slips <= limit && slips < other.max(2) && best.is_none_or(|(least, _)| slips < least) {
            best = Some((slips, name));
        }
    }
    best.map(|(_, name)| name.to_owned())
}

fn plain(text: &str) -> String {
    text.chars().filter(|c| !matches!(c, '-' | ' ' | '_')).flat_map(char::to_lowercase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_suggested_and_no_far_one() {
        let known = ["lid-outline", "rim-outline", "handle", "lid", "foot"];
        let check = |found: &str, expected: Option<&str>| assert_eq!(nearest(found, known).as_deref(), expected, "{found}");
        check("lid-outlien", Some("lid-outline"));
        check("lid outline", Some("lid-outline"));
        check("LidOutline", Some("lid-outline"));
        check("rimoutlin", Some("rim-outline"));
        check("handel", Some("handle"));
        check("ldi", Some("lid"));
        check("weight", None);
        check("", None);
    }
}

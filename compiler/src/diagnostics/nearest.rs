//! "Did you mean": the one known name that a mistyped one most likely stands for, or none.

/// The nearest of `known` to `wanted`, where it is near enough to be a slip: a third of the letters
/// wrong at most, swapped neighbours counting as one, upper and lower case as equal. Of equally near
/// names the first in alphabetical order, so that the answer does not depend on the order of rows.
pub fn nearest<'a>(wanted: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let letters = wanted.chars().count();
    let limit = (letters / 3).max(1);
    // names this long are no slip of anybody's, and measuring them costs their length squared
    if letters == 0 || letters > 60 {
        return None;
    }
    known
        .into_iter()
        .filter(|name| *name != wanted && name.chars().count().abs_diff(letters) <= limit)
        .filter_map(|name| distance(wanted, name, limit).map(|far| (far, name)))
        .min()
        .map(|(_, name)| name)
}

/// ``did you mean `kick-in`?``, for `help`.
pub fn did_you_mean<'a>(wanted: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(wanted, known).map(|name| format!("did you mean `{name}`?"))
}

fn distance(wanted: &str, name: &str, limit: usize) -> Option<usize> {
    if wanted.to_lowercase() == name.to_lowercase() {
        return Some(0);
    }
    let far = strsim::osa_distance(wanted, name);
    (far <= limit && far < wanted.chars().count()).then_some(far)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_name() {
        let known = ["kick-in", "kick-out", "snare", "Vox"];
        assert_eq!(nearest("kcik-in", known), Some("kick-in"));
        assert_eq!(nearest("snaer", known), Some("snare"));
        assert_eq!(nearest("vox", known), Some("Vox"));
        assert_eq!(nearest("overheads", known), None);
        assert_eq!(nearest("q", ["a", "b"]), None);
        assert_eq!(nearest("", known), None);
    }

    #[test]
    fn order_decides_nothing() {
        assert_eq!(nearest("tom-3", ["tom-2", "tom-1"]), Some("tom-1"));
    }
}

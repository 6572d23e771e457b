//! Lines that are put into a file of somebody else's, between two marks, and taken out again so that the file
//! is what it was, byte for byte.

const FIRST: &str = "# put in by `fantail git on`, taken out by `fantail git off`";
const LAST: &str = "# end of what `fantail git on` put in";
/// What stood there before, where it matters.
const NEW_FILE: &str = " (a new file)";
const UNENDED: &str = " (the line above had no end)";

/// The text with those lines in the place of those that were put in before. `None` is a file that is not there.
pub fn put(text: Option<&str>, lines: &str) -> String {
    let before = text.and_then(take);
    let text = text.unwrap_or_default();
    if let Some((at, block)) = place(text) {
        let first = block.lines().next().unwrap_or_default();
        let after = text.get(at + block.len()..).unwrap_or_default();
        return format!("{}{first}\n{lines}{LAST}\n{after}", text.get(..at).unwrap_or_default());
    }
    let (end, note) = match before.as_deref() {
        None => ("", NEW_FILE),
        Some(before) if !before.is_empty() && !before.ends_with('\n') => ("\n", UNENDED),
        Some(_) => ("", ""),
    };
    format!("{text}{end}{FIRST}{note}\n{lines}{LAST}\n")
}

/// The text without what was put in; `None` where nothing of the file is left that was there before.
pub fn take(text: &str) -> Option<String> {
    let Some((at, block)) = place(text) else { return Some(text.to_string()) };
    let first = block.lines().next().unwrap_or_default();
    let (before, after) = (text.get(..at).unwrap_or_default(), text.get(at + block.len()..).unwrap_or_default());
    let before = match before.strip_suffix('\n') {
        Some(unended) if first.ends_with(UNENDED) && after.is_empty() => unended,
        _ => before,
    };
    let rest = format!("{before}{after}");
    (!rest.is_empty() || !first.ends_with(NEW_FILE)).then_some(rest)
}

/// Whether something was put in.
pub fn has(text: &str) -> bool {
    place(text).is_some()
}

fn place(text: &str) -> Option<(usize, &str)> {
    let at = text
        .match_indices(FIRST)
        .map(|(at, _)| at)
        .find(|at| *at == 0 || text.as_bytes().get(at - 1) == Some(&b'\n'))?;
    let block = text.get(at..)?;
    let end = block.find(LAST)? + LAST.len();
    let end = if block.get(end..)?.starts_with('\n') { end + 1 } else { end };
    Some((at, block.get(..end)?))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn what_was_put_in_goes_without_a_trace() {
        for before in ["", "\n", "*.txt text\n", "*.txt text", "a\r\nb\r\n", "\u{feff}x", "# put in by hand\n"] {
            let put_in = put(Some(before), "one\ntwo\n");
            assert!(has(&put_in));
            assert_eq!(take(&put_in).as_deref(), Some(before), "{put_in}");
            assert_eq!(put(Some(&put_in), "one\ntwo\n"), put_in, "a second time changes nothing");
            assert_eq!(take(&put(Some(&put_in), "three\n")).as_deref(), Some(before));
            let with_more = format!("{put_in}more\n");
            assert_eq!(take(&with_more).unwrap().matches("more\n").count(), 1);
            assert!(!has(before));
        }
        assert_eq!(take(&put(None, "one\n")), None);
        assert_eq!(take(&format!("{}more\n", put(None, "one\n"))).as_deref(), Some("more\n"));
    }
}

//! What is the whole file's and no row's: the byte order mark, how lines end, and whether the last one does.
//! Each is merged by itself, so that a change of all line ends is at odds with no row.

use super::join::pick;
use std::borrow::Cow;

const BOM: char = '\u{feff}';

/// Two values that both sides changed are one: a choice there always is.
fn of_two(base: bool, ours: bool, theirs: bool) -> bool {
    pick(base, ours, theirs).unwrap_or(base)
}

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Ends {
    marked: bool,
    /// Every line end is CR LF, and is LF while it is merged.
    two: bool,
    ended: bool,
}

/// The texts with every line ended, and what the result has.
pub(super) fn apart<'t>(base: &'t str, ours: &'t str, theirs: &'t str) -> ([Cow<'t, str>; 3], Ends) {
    let texts = [base, ours, theirs];
    let [marked, ours_marked, theirs_marked] = texts.map(|text| text.starts_with(BOM));
    let texts = texts.map(|text| text.strip_prefix(BOM).unwrap_or(text));
    let styles = texts.map(style);
    let uniform = styles.iter().all(|style| *style != Some(Style::Mixed));
    let usual = styles[0] == Some(Style::Two);
    let [two, ours_two, theirs_two] = styles.map(|style| style.map_or(usual, |style| style == Style::Two));
    let [ended, ours_ended, theirs_ended] = texts.map(|text| text.is_empty() || text.ends_with('\n'));
    let ends = Ends {
        marked: of_two(marked, ours_marked, theirs_marked),
        two: uniform && of_two(two, ours_two, theirs_two),
        ended: of_two(ended, ours_ended, theirs_ended),
    };
    let one = |text: &'t str| {
        let text = if uniform { Cow::Owned(text.replace("\r\n", "\n")) } else { Cow::Borrowed(text) };
        if text.is_empty() || text.ends_with('\n') { text } else { Cow::Owned(format!("{text}\n")) }
    };
    (texts.map(one), ends)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Style {
    One,
    Two,
    Mixed,
}

/// `None` for a text without a line end.
fn style(text: &str) -> Option<Style> {
    let (all, two) = (text.matches('\n').count(), text.matches("\r\n").count());
    match (all, two) {
        (0, _) => None,
        (_, 0) => Some(Style::One),
        (all, two) if all == two => Some(Style::Two),
        _ => Some(Style::Mixed),
    }
}

impl Ends {
    pub fn put_on(self, text: &str, ended: bool) -> String {
        let text = if self.ended || ended { text } else { text.strip_suffix('\n').unwrap_or(text) };
        let text = if self.two { Cow::Owned(text.replace('\n', "\r\n")) } else { Cow::Borrowed(text) };
        if self.marked { format!("{BOM}{text}") } else { text.into_owned() }
    }
}

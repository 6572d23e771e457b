//! Text that cannot move the cursor, colour the screen, reorder a line or hide in it. Everything that
//! came from a file or a name passes here before a person reads it; it must never change how many
//! characters there are, since places are counted in them.

use std::borrow::Cow;

/// The character to show: itself, or one that stands for a control, line-breaking or
/// direction-changing character. A tab and a newline count as controls here.
pub fn plain_char(c: char) -> char {
    match c {
        '\0'..='\u{1f}' => char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}'),
        '\u{7f}' => '\u{2421}',
        '\u{80}'..='\u{9f}' | '\u{2028}' | '\u{2029}' => '\u{fffd}',
        // marks and overrides of direction, and characters without any width or shape
        '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' => '\u{fffd}',
        '\u{2060}'..='\u{206f}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}' => '\u{fffd}',
        c => c,
    }
}

/// One line of plain text: newlines and tabs become blanks, other controls visible signs.
pub fn plain(text: &str) -> Cow<'_, str> {
    map(text, |c| if matches!(c, '\n' | '\t') { ' ' } else { plain_char(c) })
}

/// Plain text that may have several lines; tabs stay too.
pub fn plain_lines(text: &str) -> Cow<'_, str> {
    map(text, |c| if matches!(c, '\n' | '\t') { c } else { plain_char(c) })
}

fn map(text: &str, show: impl Fn(char) -> char) -> Cow<'_, str> {
    if text.chars().all(|c| show(c) == c) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().map(show).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_could_act_is_shown_instead() {
        assert_eq!(plain("a\u{1b}[31mb\nc\rd"), "a␛[31mb c␍d");
        assert_eq!(plain("x\u{202e}y\u{2066}z\u{85}"), "x\u{fffd}y\u{fffd}z\u{fffd}");
        assert_eq!(plain_lines("a\n\tb\0"), "a\n\tb␀");
        assert!(matches!(plain("Gitarre links, ギター"), Cow::Borrowed(_)));
    }

    #[test]
    fn the_number_of_characters_stays() {
        let text = "\u{feff}a\r\n\u{7}\u{e0041}é\u{301}\u{2029}";
        assert_eq!(plain(text).chars().count(), text.chars().count());
    }
}

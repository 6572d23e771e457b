//! Points as text: `stage-left.in 3`, `foh.portA 1-8`, `foh.extras`. Says nothing of whether they exist.

/// A text taken apart. The device may hold dots (`kestrel.riser-b`), the bank never does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Text<'a> {
    pub device: &'a str,
    pub item: &'a str,
    /// First and last, equal for a single point; `None` where the text has no number.
    pub span: Option<(u32, u32)>,
}

impl<'a> Text<'a> {
    /// `None` for anything but `device.item`, `device.item N` and `device.item N-M`.
    pub fn read(text: &'a str) -> Option<Self> {
        let (name, span) = name_and_span(text)?;
        let (device, item) = name.rsplit_once('.')?;
        (!device.is_empty() && !item.is_empty()).then_some(Self { device, item, span })
    }
}

/// `aux-out 1-4`, as a model says it of itself.
pub(super) fn name_and_span(text: &str) -> Option<(&str, Option<(u32, u32)>)> {
    match text.split_once(' ') {
        None => (!text.is_empty()).then_some((text, None)),
        Some((name, numbers)) => Some((name, Some(span(numbers)?))),
    }
}

fn span(text: &str) -> Option<(u32, u32)> {
    let (first, last) = match text.split_once('-') {
        Some((first, last)) => (number(first)?, number(last)?),
        None => (number(text)?, number(text)?),
    };
    (first <= last).then_some((first, last))
}

fn number(text: &str) -> Option<u32> {
    let plain = text.bytes().all(|byte| byte.is_ascii_digit()) && !text.starts_with('0');
    if plain { text.parse().ok() } else { None }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    #[test]
    fn texts_come_apart_or_not_at_all() {
        let read = |text| Text::read(text).map(|t| (t.device, t.item, t.span));
        assert_eq!(read("foh.portA 1-8"), Some(("foh", "portA", Some((1, 8)))));
        assert_eq!(read("kestrel.riser-b.in 3"), Some(("kestrel.riser-b", "in", Some((3, 3)))));
        assert_eq!(read("foh.extras"), Some(("foh", "extras", None)));
        let broken = [
            "",
            "foh",
            "foh.in 0",
            "foh.in 03",
            "foh.in -1",
            "foh.in 3-1",
            "foh.in 1 2",
            "foh.in 99999999999",
            ".in 1",
            "foh. 1",
            "foh.in ",
        ];
        for text in broken {
            assert_eq!(read(text), None, "{text}");
        }
    }
}

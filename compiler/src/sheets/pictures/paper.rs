//! What all drawings are made of: texts that fit, rules and shapes on a sheet as wide as an A4 page between its
//! margins. A unit is a point in print, and no letter is smaller than nine. Nothing here knows a plan.

use super::super::sheet::Picture;
use crate::plan::clean;
use maud::{Markup, Render, html};
use unicode_width::UnicodeWidthChar;

pub(super) const WIDTH: f64 = 520.0;
/// A drawing that is no higher stands on a page with its sheet's title.
pub(super) const HEIGHT: f64 = 660.0;
/// From line to line.
pub(super) const LINE: f64 = 12.0;

/// How letters are written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pen {
    pub size: f64,
    pub bold: bool,
}

pub(super) const PLAIN: Pen = Pen { size: 9.0, bold: false };
pub(super) const KEY: Pen = Pen { size: 9.5, bold: true };
pub(super) const HEAD: Pen = Pen { size: 11.0, bold: true };

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Start,
    Middle,
    End,
}

impl Pen {
    /// How wide a text may come out, in the widest of the usual sans-serif fonts.
    pub fn width(self, text: &str) -> f64 {
        let letters: f64 = text.chars().map(em).sum();
        letters * self.size * if self.bold { 1.12 } else { 1.0 }
    }

    /// The text, cut with an ellipsis where it is too wide.
    pub fn cut(self, text: &str, room: f64) -> String {
        if self.width(text) <= room {
            return text.to_string();
        }
        let (mut kept, mut left) = (String::new(), room - self.width("…"));
        for letter in text.chars() {
            left -= self.width(letter.encode_utf8(&mut [0; 4]));
            if left < 0.0 {
                break;
            }
            kept.push(letter);
        }
        format!("{}…", kept.trim_end())
    }

    /// The text in lines that fit, broken between words, at most so many; the last is cut.
    pub fn wrap(self, text: &str, room: f64, most: usize) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            let full = lines.len() >= most;
            match lines.last_mut() {
                Some(line) if full || self.width(line) + self.width(" ") + self.width(word) <= room => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(word.to_string()),
            }
        }
        lines.iter().map(|line| self.cut(line, room)).collect()
    }
}

/// The advance of a letter in parts of its size.
fn em(letter: char) -> f64 {
    match letter {
        'f' | 'i' | 'j' | 'l' | 't' | 'r' | 'I' | '.' | ',' | ':' | ';' | '|' | '!' | '\'' | ' ' | '-' | '(' | ')' => {
            0.42
        }
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '…' => 1.0,
        _ if letter.is_uppercase() => 0.77,
        _ => [0.0, 0.63, 1.05].get(letter.width().unwrap_or(0)).copied().unwrap_or(1.05),
    }
}

/// A coordinate, to a tenth.
pub(super) struct N(pub f64);

impl Render for N {
    fn render_to(&self, out: &mut String) {
        let tenths = (self.0 * 10.0).round() as i64;
        if tenths < 0 {
            out.push('-');
        }
        let (whole, rest) = (tenths.unsigned_abs() / 10, tenths.unsigned_abs() % 10);
        whole.render_to(out);
        if rest > 0 {
            out.push('.');
            rest.render_to(out);
        }
    }
}

/// Letters that may stand in XML and turn nothing around.
fn harmless(text: &str) -> String {
    let mut text = clean(text);
    if text.contains(['\u{fffe}', '\u{ffff}']) {
        text = text.replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}");
    }
    text
}

/// What is drawn so far, back to front.
#[derive(Default)]
pub(super) struct Drawing {
    body: String,
}

impl Drawing {
    pub fn add(&mut self, markup: Markup) {
        self.body.push_str(&markup.0);
    }

    /// Writes a text on its base line.
    pub fn text(&mut self, (x, y): (f64, f64), pen: Pen, anchor: Anchor, text: &str) {
        let anchor = match anchor {
            Anchor::Start => None,
            Anchor::Middle => Some("middle"),
            Anchor::End => Some("end"),
        };
        let weight = pen.bold.then_some("bold");
        let text = harmless(text);
        self.add(html! {
            text x=(N(x)) y=(N(y)) font-size=(N(pen.size)) text-anchor=[anchor] font-weight=[weight] { (text) }
        });
    }

    /// A text in white on black, its left upper corner given.
    pub fn pill(&mut self, (x, y): (f64, f64), text: &str, filled: bool) {
        let (fill, ink) = if filled { ("#000", "#fff") } else { ("#fff", "#000") };
        self.add(html! {
            rect x=(N(x)) y=(N(y)) width=(N(pill_width(text))) height="11" rx="3" fill=(fill) stroke="#000" {}
            text x=(N(x + pill_width(text) / 2.0)) y=(N(y + 8.8)) font-size="9" font-weight="bold"
                text-anchor="middle" fill=(ink) { (harmless(text)) }
        });
    }

    pub fn frame(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), stroke: f64, fill: &str) {
        self.add(html! {
            rect x=(N(x)) y=(N(y)) width=(N(width)) height=(N(height)) fill=(fill) stroke="#000"
                stroke-width=(N(stroke)) {}
        });
    }

    /// A line through points; `dash` as in SVG.
    pub fn line(&mut self, points: &[(f64, f64)], stroke: f64, dash: Option<&str>) {
        let round = |n: f64| (n * 10.0).round() / 10.0 + 0.0;
        let points: Vec<String> = points.iter().map(|(x, y)| format!("{},{}", round(*x), round(*y))).collect();
        self.add(html! {
            polyline points=(points.join(" ")) fill="none" stroke="#000" stroke-width=(N(stroke))
                stroke-dasharray=[dash] {}
        });
    }

    /// What stands for points of the plan. Where names are cut, `whole` says them; the box is what a form may light.
    pub fn standing_for(
        &mut self,
        points: &[String],
        whole: &str,
        (corner, size): ((f64, f64), (f64, f64)),
        draw: impl FnOnce(&mut Drawing),
    ) {
        self.group(points, whole, |inner| {
            let ((x, y), (width, height)) = (corner, size);
            inner.add(html! {
                rect class="spot" x=(N(x)) y=(N(y)) width=(N(width)) height=(N(height)) fill="none" {}
            });
            draw(inner);
        });
    }

    /// The same of what is a line, and lights by itself.
    pub fn group(&mut self, points: &[String], whole: &str, draw: impl FnOnce(&mut Drawing)) {
        let at = (!points.is_empty()).then(|| points.join("|"));
        const END: &str = "</g>";
        let group = html! { g data-at=[at] { title { (harmless(whole)) } } }.into_string();
        self.body.push_str(group.strip_suffix(END).unwrap_or(&group));
        draw(self);
        self.body.push_str(END);
    }

    /// The whole picture, `height` high.
    pub fn picture(self, title: String, said: String, height: f64) -> Picture {
        let (title, said) = (harmless(&title), harmless(&said));
        let svg = html! {
            svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {WIDTH} {}", height.ceil())) role="img"
                width=(format!("{WIDTH}pt")) height=(format!("{}pt", height.ceil())) font-family="sans-serif"
                fill="#000" aria-label=(title) {
                title { (title) }
                desc { (said) }
                rect width=(WIDTH) height=(height.ceil()) fill="#fff" {}
                (maud::PreEscaped(self.body))
            }
        };
        Picture { title, said, svg: svg.into_string(), height: height.ceil() }
    }
}

pub(super) fn pill_width(text: &str) -> f64 {
    Pen { size: 9.0, bold: true }.width(text) + 4.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_wide_is_broken_between_words_and_then_cut() {
        assert_eq!(PLAIN.wrap("Snare bottom", 40.0, 2), ["Snare", "bottom"]);
        assert_eq!(PLAIN.wrap("one two three", 400.0, 2), ["one two three"]);
        assert!(PLAIN.wrap("", 40.0, 2).is_empty());
        let long = PLAIN.wrap(&"word ".repeat(50), 60.0, 2);
        assert_eq!(long.len(), 2);
        assert!(long.iter().all(|line| PLAIN.width(line) <= 60.0), "{long:?}");
    }

    #[test]
    fn no_letter_breaks_the_drawing() {
        let mut drawing = Drawing::default();
        drawing.text((0.0, 9.0), PLAIN, Anchor::Start, "<\u{0}\u{202e}\u{ffff}&\">");
        let svg = drawing.picture("a <b>".into(), String::new(), 10.0).svg;
        assert!(svg.contains("&lt;\u{fffd}\u{fffd}\u{fffd}&amp;") && svg.contains("a &lt;b&gt;"), "{svg}");
    }
}

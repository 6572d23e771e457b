//! A sheet and what stands on it, as HTML. Everything that a show says is escaped by maud.

use super::super::super::sheet::{Label, Labels, Part, Picture, Sheet};
use super::pages::Pages;
use super::{Book, paper, table};
use crate::plan::clean;
use maud::{Markup, PreEscaped, html};

/// Longer words may be broken there, lest one name push a table off the paper.
const LONGEST_WORD: usize = 18;

pub(super) fn sheet(book: &Book, number: usize, sheet: &Sheet) -> Markup {
    let id = id(sheet);
    let pages = Pages::of(sheet);
    let pages = pages.as_ref();
    let large = pages.map_or("", |pages| if pages.roomy { " large roomy" } else { " large" });
    let class = format!("sheet s{number}{large}");
    html! {
        article #(id) class=(class) aria-labelledby=(format!("{id}-title")) data-for=[for_some(sheet)]
            data-act=[sheet.act.as_deref()] {
            h2 #(format!("{id}-title")) tabindex="-1" data-of=[page_of(pages, 1)] { (broken(&sheet.title)) }
            p.for { (for_whom(book, sheet)) }
            @if !sheet.cautions.is_empty() {
                div.caution role="note" {
                    b { "Caution" }
                    @for caution in &sheet.cautions { p { (caution) } }
                }
            }
            @for (number, part) in sheet.parts.iter().enumerate() {
                @if let Some(at) = pages.and_then(|pages| pages.starts.iter().position(|start| *start == number)) {
                    p.goes-on data-of=[page_of(pages, at + 2)] { (broken(&sheet.title)) }
                }
                @match part {
                    Part::Words(words) => p.words { (broken(words)) },
                    Part::Table(one) => (table::table(book, sheet, pages, one)),
                    Part::Picture(one) => (picture(book, one, pages.is_some_and(|pages| pages.narrow.contains(&number)))),
                    Part::Labels(one) => (labels(one)),
                }
            }
        }
    }
}

/// `2 of 3`; nothing where all is on one page, or where a browser says how many there are.
fn page_of(pages: Option<&Pages>, at: usize) -> Option<String> {
    let of = pages.filter(|pages| pages.cuts == 0).map_or(1, |pages| pages.starts.len() + 1);
    (of > 1).then(|| format!("{at} of {of}"))
}

pub(super) fn id(sheet: &Sheet) -> String {
    format!("sheet-{}", sheet.slug)
}

/// `for stage crew, Night Ferry`
pub(super) fn for_whom(book: &Book, sheet: &Sheet) -> String {
    let act = book.act(sheet).map(|act| format!(", act {}", clean(act)));
    format!("for {}{}", sheet.reader, act.unwrap_or_default())
}

/// The readers of a sheet one by one, parted by `|`; nothing where it is for all.
fn for_some(sheet: &Sheet) -> Option<String> {
    let readers = super::readers(sheet);
    (!readers.is_empty()).then(|| readers.join("|"))
}

/// A text without characters that turn the writing, with places to break in words that are too long for a column.
pub(super) fn broken(text: &str) -> Markup {
    let letters: Vec<char> = kept_together(text).chars().collect();
    html! {
        @for piece in letters.chunk_by(|a, b| parts_words(*a) == parts_words(*b)) {
            @for (at, chunk) in piece.chunks(LONGEST_WORD).enumerate() {
                @if at > 0 { wbr; }
                @let chunk = chunk.iter().collect::<String>();
                @if is_range(&chunk) { span.whole { (chunk) } } @else { (chunk) }
            }
        }
    }
}

/// `in 1-8`, which a browser would break behind the hyphen.
fn is_range(text: &str) -> bool {
    let mut parts = text.split('-');
    let digit = |letter: Option<char>| letter.is_some_and(|letter| letter.is_ascii_digit());
    let mut before = digit(parts.next().and_then(|part| part.chars().next_back()));
    parts.any(|part| std::mem::replace(&mut before, digit(part.chars().next_back())) && digit(part.chars().next()))
}

/// How wide the widest unbroken piece of a text is, in letters.
pub(super) fn widest_piece(text: &str) -> usize {
    pieces(text).map(|piece| piece.chars().count()).max().unwrap_or(0)
}

/// What no line ends in.
pub(super) fn pieces(text: &str) -> impl Iterator<Item = String> {
    let text = kept_together(text);
    let pieces: Vec<String> = text.split(parts_words).map(|word| word.chars().take(LONGEST_WORD).collect()).collect();
    pieces.into_iter()
}

/// A number stays on the line of the word before it: `stage in 3`.
fn kept_together(text: &str) -> String {
    let text = clean(text);
    let mut next = text.chars().skip(1);
    text.chars()
        .map(|c| {
            let digit = next.next().is_some_and(|c| c.is_ascii_digit());
            if c == ' ' && digit { KEPT } else { c }
        })
        .collect()
}

/// A space that no line ends at.
const KEPT: char = '\u{a0}';

fn parts_words(c: char) -> bool {
    c.is_whitespace() && c != KEPT
}

fn picture(book: &Book, picture: &Picture, narrow: bool) -> Markup {
    html! {
        figure.narrow[narrow] {
            figcaption { (broken(&picture.title)) }
            div.plate { (PreEscaped(numbered(book, &picture.svg))) }
            p.unseen { (clean(&picture.said)) }
        }
    }
}

/// A drawing names its points in `data-at`, parted by `|`; the book has their numbers in `data-p`.
fn numbered(book: &Book, svg: &str) -> String {
    let mut pieces = svg.split(" data-at=\"");
    let mut out = pieces.next().unwrap_or_default().to_string();
    for piece in pieces {
        let (names, rest) = piece.split_once('"').unwrap_or((piece, ""));
        let names = names.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&");
        if let Some(numbers) = book.numbers.points(names.split('|')) {
            out.extend([" data-p=\"", &numbers, "\""]);
        }
        out.push_str(rest);
    }
    // In a drawing an element without anything inside may close itself: a tenth of a large book.
    ["rect", "path", "circle", "line"].iter().fold(out, |out, name| out.replace(&format!("></{name}>"), "/>"))
}

fn labels(labels: &Labels) -> Markup {
    html! {
        h3 { (broken(&labels.title)) }
        p.scale { "Print at 100 %: each label is " (labels.width_mm) " mm wide and " (labels.height_mm) " mm high." }
        div class=(format!("labels {}", paper::label_class(labels))) {
            @for strip in &labels.strips {
                div.strip role="list" { @for one in strip { (label(labels, one)) } }
            }
        }
    }
}

fn label(labels: &Labels, label: &Label) -> Markup {
    let size = format!("f{}", paper::letters(labels, &label.text));
    html! {
        div.label role="listitem" {
            span.over { (broken(&label.over)) }
            b class=(size) { (broken(&label.text)) }
            span.under { (broken(&label.under)) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::super::sheet::{Pack, PathOf};
    use super::*;

    #[test]
    fn points_of_a_drawing_get_their_numbers() {
        let points = vec!["a.in 1".to_string(), "a<b.in 2".to_string()];
        let pack = Pack { paths: vec![PathOf { points, ..PathOf::default() }], ..Pack::default() };
        let svg = r#"<svg><g data-at="a&lt;b.in 2|a.in 1|none"/><g data-at="x" id="y"/></svg>"#;
        assert_eq!(numbered(&Book::of(&pack), svg), r#"<svg><g data-p="1 0"/><g id="y"/></svg>"#);
    }

    #[test]
    fn a_long_word_may_break_and_stays_the_same_text() {
        assert_eq!(broken("a <b>").into_string(), "a &lt;b&gt;");
        assert_eq!(broken("in 3 a").into_string(), "in\u{a0}3 a");
        assert_eq!(broken("in 1-8 di-active").into_string(), "<span class=\"whole\">in\u{a0}1-8</span> di-active");
        assert_eq!((widest_piece("in 3 a"), widest_piece(&"y".repeat(40))), (4, LONGEST_WORD));
        let long = format!("x {}", "y".repeat(40));
        let html = broken(&long).into_string();
        assert_eq!(html.matches("<wbr>").count(), 2);
        assert_eq!(html.replace("<wbr>", ""), long);
    }
}

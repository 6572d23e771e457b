//! The version mark as a small black-and-white figure: two marks give two figures, and the same side left and
//! right is what the eye keeps.

use super::super::mark;
use crate::plan::clean;
use maud::html;
use std::fmt::Write;

/// Of each row the columns up to the middle one: what one letter says.
const HALF: u32 = 5;
const WIDTH: u32 = 2 * HALF - 1;

/// A complete `<svg>` element, black on white, for the mark of a pack or of a sheet. A row of the figure is a
/// letter of the mark; what is no letter and no digit has none.
pub fn pattern(mark: &str) -> String {
    let rows: Vec<u32> = (1..).zip(mark.chars().filter(|c| c.is_alphanumeric())).map(cells).collect();
    let height = rows.len() + 2;
    let mut path = String::new();
    for (y, cells) in (1..).zip(&rows) {
        for x in (0..WIDTH).filter(|x| cells >> (*x).min(WIDTH - 1 - x) & 1 == 1) {
            // Writing to memory does not fail.
            let _ = write!(path, "M{} {y}h1v1h-1z", x + 1);
        }
    }
    let (box_width, title) = (WIDTH + 2, format!("Pattern of the mark {}", clean(mark)));
    html! {
        svg xmlns="http://www.w3.org/2000/svg" viewBox=(format!("0 0 {box_width} {height}")) role="img"
            shape-rendering="crispEdges" aria-label=(title) {
            title { (title) }
            rect width=(box_width) height=(height) fill="#fff" {}
            path d=(path) fill="#000" {}
        }
    }
    .into_string()
}

/// What a letter fills in its row: a factor without a divisor of two keeps all letters apart.
fn cells((row, letter): (u32, char)) -> u32 {
    let number = mark::number_of(letter).unwrap_or(letter as u32);
    number.wrapping_mul(11).wrapping_add(row * 7) % (1 << HALF)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_marks_are_two_figures() {
        let all = "234679ACDEFGHJKLMNPQRTUVWXYZ".chars().map(|letter| pattern(&format!("K7Q-2M{letter}")));
        let path = |svg: String| svg.split(" d=").nth(1).unwrap_or_default().to_string();
        let figures: std::collections::BTreeSet<String> = all.map(path).collect();
        assert_eq!(figures.len(), 28);
    }

    #[test]
    fn any_text_has_a_figure() {
        assert!(pattern("").ends_with("</svg>"));
        assert!(pattern("<鼓>&\u{0}").contains("&lt;鼓&gt;&amp;"));
    }
}

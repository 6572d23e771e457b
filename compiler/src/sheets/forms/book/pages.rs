//! Where the pages of a large sheet begin, and how large its type is: as few pages as it takes, and then as large and as
//! far apart as they hold. What fits a page is not cut. A browser lays it out, so that all heights here are on the safe side.

use super::super::super::pictures;
use super::super::super::sheet::{Part, Sheet, Table};
use super::{paper, table};

/// What is free between the margins, in points: of A4 and Letter the one that has less.
const PAGE_HEIGHT: f64 = 240.0 * paper::POINTS_PER_MM;
/// Type in half points, the largest first. What is bold is larger by a quarter: twelve points at least.
const SIZES: std::ops::RangeInclusive<u32> = 19..=30;
/// A line of text that is not in a table, its type, and what a paragraph stands off.
const LINE: f64 = 14.2;
const TEXT: f64 = 10.5;
const APART: f64 = 13.0;
/// The title, for whom it is, and the frame of a caution; the heading of a page that goes on.
const HEAD: f64 = 55.0;
const FRAME: f64 = 17.0;
const CAUTION: f64 = 9.5;
const GOES_ON: f64 = 26.0;
/// The caption of a picture and what it stands off; and how much narrower one may be that then fits.
const CAPTION: f64 = 40.0;
const NARROW: f64 = 0.88;

pub(super) struct Pages {
    /// In points.
    pub size: f64,
    /// Rows stand further apart.
    pub roomy: bool,
    /// Parts that stand at the head of a page, by number.
    pub starts: Vec<usize>,
    /// Pictures that are narrower than the page.
    pub narrow: Vec<usize>,
    /// How often a page ends within a part, and how many pages there are.
    pub cuts: usize,
    count: usize,
}

impl Pages {
    /// `None` for a sheet that is not set in large type.
    pub fn of(sheet: &Sheet) -> Option<Pages> {
        let sizes = SIZES.rev().map(|halves| f64::from(halves) / 2.0);
        let ways = sizes.flat_map(|size| [true, false].map(|roomy| laid_out(sheet, size, roomy)));
        ways.min_by_key(|pages| (pages.cuts, pages.count)).filter(|_| sheet.large)
    }
}

/// All tables in one type, so that no list looks weightier than another, but for one that is too wide for the least.
fn laid_out(sheet: &Sheet, wish: f64, roomy: bool) -> Pages {
    let size = sheet.tables().map(|one| type_of(one, wish)).fold(wish, f64::min).max(paper::LARGE);
    let mut pages = Pages { size, roomy, starts: Vec::new(), narrow: Vec::new(), cuts: 0, count: 1 };
    let mut left = PAGE_HEIGHT - head(sheet);
    for (number, part) in sheet.parts.iter().enumerate() {
        let mut height = height(part, size, roomy);
        if matches!(part, Part::Picture(_)) && (height * NARROW..height).contains(&left) {
            pages.narrow.push(number);
            height = left;
        }
        if height > left && number > 0 {
            pages.starts.push(number);
            pages.count += 1;
            left = PAGE_HEIGHT - GOES_ON;
        }
        left -= height;
        // What is higher than a page is cut by the browser.
        while left < 0.0 {
            pages.cuts += 1;
            pages.count += 1;
            left += PAGE_HEIGHT;
        }
    }
    pages
}

fn head(sheet: &Sheet) -> f64 {
    let cautions: f64 = sheet.cautions.iter().map(|text| lines(text, CAUTION) * CAUTION * 1.35).sum();
    HEAD + if sheet.cautions.is_empty() { 0.0 } else { FRAME + cautions }
}

fn height(part: &Part, size: f64, roomy: bool) -> f64 {
    match part {
        Part::Words(words) => APART + lines(words, TEXT) * LINE,
        Part::Table(one) => of_table(one, size, roomy),
        Part::Picture(picture) => CAPTION + picture.height,
        Part::Labels(_) => PAGE_HEIGHT,
    }
}

fn lines(text: &str, size: f64) -> f64 {
    (pictures::ems(text, false) * size / (paper::PAGE_WIDTH - 20.0)).ceil()
}

fn type_of(one: &Table, wish: f64) -> f64 {
    paper::type_of(true, paper::PAGE_WIDTH, paper::LARGE, one, wish)
}

/// The caption, the head and the rows.
fn of_table(one: &Table, size: f64, roomy: bool) -> f64 {
    let size = type_of(one, size);
    let (lines, rows) = (table::lines(one, true, paper::PAGE_WIDTH / size), one.rows.len() as f64);
    let beside = if roomy { 0.65 } else { 0.3 };
    (lines * 1.3 + rows * beside + 4.3) * size + rows
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::super::super::super::sheet::{Look, Picture, Row};
    use super::*;

    fn table(rows: usize) -> Part {
        let columns = [("socket", Look::Key), ("source", Look::Key), ("mic or DI", Look::Plain), ("done", Look::Tick)];
        let mut table = Table::new(columns).titled("plug in: in 1-32");
        (1..=rows)
            .for_each(|n| table.push(Row::of([n.to_string().into(), "Vocal upstage".into(), "condenser".into()])));
        Part::Table(table)
    }

    fn sheet(parts: Vec<Part>) -> Sheet {
        let cautions = vec!["Mute first. Plug, then switch it on, wait about 10 s, then open up."; 3];
        Sheet { large: true, cautions, parts, ..Sheet::default() }
    }

    #[test]
    fn a_table_that_fits_a_page_is_not_cut() {
        let face = Part::Picture(Picture { height: 560.0, ..Picture::default() });
        let of = |parts| Pages::of(&sheet(parts)).unwrap();
        let box_of_32 = of(vec![table(32), table(16), table(3), face.clone()]);
        assert_eq!((box_of_32.starts.as_slice(), box_of_32.size >= 9.5), ([1, 3].as_slice(), true));
        let small = of(vec![table(8), table(2)]);
        assert_eq!((small.starts.as_slice(), small.size), ([].as_slice(), 15.0));
        // What no page holds is cut, and nobody says how many pages there are.
        assert!(of(vec![table(80), face]).cuts > 0);
    }

    #[test]
    fn a_picture_that_nearly_fits_is_narrower() {
        let face = |height| Part::Picture(Picture { height, ..Picture::default() });
        let (fits, nearly) = (sheet(vec![face(500.0)]), sheet(vec![face(560.0)]));
        assert!(Pages::of(&fits).unwrap().narrow.is_empty());
        assert_eq!(Pages::of(&nearly).unwrap().narrow, [0]);
    }
}

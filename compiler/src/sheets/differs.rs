//! What a sheet says now and did not say before, line by line: for who holds the old one in hand. Order is no
//! difference, nor is the mark of the plan.

use super::sheet::{Label, Pack, Part, Row, Sheet};
use crate::plan::clean;
use std::collections::BTreeMap;

/// A line that stands on one of two papers only.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// On the newer one.
    pub now: bool,
    pub said: String,
}

/// Of the sheet that goes by this slug in both packs: in the order of the newer one, then what stood on the older.
pub fn differences(was: &Pack, now: &Pack, slug: &str) -> Vec<Difference> {
    let (was, now) = (lines_of(was, slug), lines_of(now, slug));
    let mut only: Vec<Difference> = Vec::new();
    if was.is_empty() || now.is_empty() {
        return only;
    }
    for (lines, others, newer) in [(&now, &was, true), (&was, &now, false)] {
        let mut left: BTreeMap<&str, usize> = BTreeMap::new();
        others.iter().for_each(|line| *left.entry(line).or_default() += 1);
        for said in lines {
            match left.get_mut(said.as_str()).filter(|count| **count > 0) {
                Some(count) => *count -= 1,
                None => only.push(Difference { now: newer, said: said.clone() }),
            }
        }
    }
    only
}

fn lines_of(pack: &Pack, slug: &str) -> Vec<String> {
    let sheet = pack.sheets.iter().find(|sheet| sheet.slug == slug);
    sheet.into_iter().flat_map(lines).map(|line| clean(&line.replace(&pack.mark, ""))).collect()
}

/// Every line of text on a sheet; of a drawing what it says of itself.
fn lines(sheet: &Sheet) -> impl Iterator<Item = String> {
    sheet.parts.iter().flat_map(|part| match part {
        Part::Words(words) => vec![words.clone()],
        Part::Table(table) => table.rows.iter().map(row).collect(),
        Part::Picture(picture) => vec![picture.said.clone()],
        Part::Labels(labels) => labels.strips.iter().flatten().map(label).collect(),
    })
}

fn row(row: &Row) -> String {
    joined(row.cells.iter().map(|cell| cell.text.as_str()))
}

fn label(label: &Label) -> String {
    joined([label.over.as_str(), &label.text, &label.under].into_iter())
}

fn joined<'t>(texts: impl Iterator<Item = &'t str>) -> String {
    texts.filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" | ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pack(mark: &str, lines: &[&str]) -> Pack {
        let parts = lines.iter().map(|line| Part::Words(format!("{line}{mark}"))).collect();
        Pack {
            mark: mark.into(),
            sheets: vec![Sheet { slug: "a".into(), parts, ..Sheet::default() }],
            ..Pack::default()
        }
    }

    #[test]
    fn a_line_more_or_less_is_told_and_order_and_mark_are_not() {
        let (was, now) = (pack("K7Q-2MX", &["kick", "snare", "snare"]), pack("ZZZ-234", &["snare", "kick", "hat"]));
        let told = |was, now| -> Vec<(bool, String)> {
            differences(was, now, "a").into_iter().map(|one| (one.now, one.said)).collect()
        };
        assert_eq!(told(&was, &now), [(true, "hat".to_string()), (false, "snare".to_string())]);
        assert_eq!(told(&was, &was), []);
        assert_eq!(differences(&was, &now, "b"), []);
    }
}

//! The labels of a row with several points: one text names the whole, several pair with the points in order.
//! Nothing here makes a label from a name.

use crate::diagnostics::{Diagnostic, Edit};
use crate::syntax::ast::Text;

/// Words at the end of a label that say one side, each with the other one's.
const SIDES: &[(&str, &str)] = &[
    ("left", "right"),
    ("Left", "Right"),
    ("LEFT", "RIGHT"),
    ("L", "R"),
    ("right", "left"),
    ("Right", "Left"),
    ("RIGHT", "LEFT"),
    ("R", "L"),
];

/// What the texts say for one point of a row, where they say anything for it. `tail` tells the points of one
/// text apart: ` L`, ` 2`, nothing for a single point.
pub fn said(labels: &[Text], index: usize, tail: &str) -> Option<String> {
    match labels {
        [one] => Some(format!("{}{tail}", one.value)),
        _ => labels.get(index).map(|label| label.value.clone()),
    }
}

/// `"PA left"` alone on a pair: the other side has no label of its own.
pub fn of_one_side(labels: &[Text], count: usize, row: &str) -> Option<Diagnostic> {
    let ([label], 2) = (labels, count) else { return None };
    let (stem, side) = label.value.rsplit_once(' ')?;
    let (_, other) = SIDES.iter().find(|(word, _)| *word == side)?;
    let (one, two) = (format!("\"{}\"", label.value), format!("\"{stem} {other}\""));
    let both = if side.to_lowercase().starts_with('l') { format!("{one}, {two}") } else { format!("{two}, {one}") };
    let message = format!("`{}` is the one label of both sides of `{row}`", label.value);
    Some(
        Diagnostic::warning("label-of-one-side", label.span, message)
            .help(format!("give each side its own: {both}"))
            .about(row.to_string())
            .fix(format!("write {both}"), vec![Edit { span: label.span, text: both }], false),
    )
}

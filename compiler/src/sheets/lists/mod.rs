//! Which sheets a pack has, and in which order. Each sheet is a file that says whom it is for and what stands
//! on it.

mod by_act;
mod cables;
mod cautions;
pub(super) mod changed;
mod changeover;
mod dial;
mod front;
mod gear;
mod input;
mod labels;
mod line_check;
mod looms;
mod mixes;
mod outputs;
mod personal;
mod phantom;
mod power;
mod reader;
pub mod reminders;
mod stage;
mod tracks;
mod whole;
mod words;

use super::known::Known;
use super::pictures;
use super::sheet::Sheet;
use crate::compare::Comparison;
use whole::Whole;

/// All sheets: what holds all day from the house, then what differs by act.
pub(super) fn all(house: &Known, acts: &[Known], mark: &str, changed: Option<&Comparison>) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    let show = Whole::of(house, acts, mark);
    sheets.extend(input::sheets(&show));
    sheets.extend(pictures::plot::sheets(house, acts));
    sheets.extend(stage::sheets(&show));
    sheets.extend(looms::sheet(&show));
    sheets.extend(outputs::sheet(&show));
    sheets.extend(mixes::sheets(&show));
    sheets.extend(personal::sheet(&show));
    sheets.extend(dial::sheets(&show));
    sheets.extend(tracks::sheets(&show));
    sheets.extend(phantom::sheets(&show));
    show.scenes().iter().for_each(|known| sheets.extend(line_check::sheets(&show, known)));
    sheets.extend(changeover::sheets(&show));
    sheets.extend(pictures::flow::sheet(&Known::any(house.plan)));
    sheets.extend(cables::sheet(&show));
    sheets.extend(gear::sheet(&show));
    sheets.extend(power::sheet(&show));
    sheets.extend(labels::sheets(&show));
    if let Some(sheet) = changed.and_then(changed::sheet) {
        sheets.insert(0, sheet);
    }
    sheets.insert(0, front::sheet(&show, changed, &sheets));
    sheets
}

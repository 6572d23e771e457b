//! Which sheets a pack has, and in which order. Each sheet is a file that says whom it is for and what stands
//! on it.

mod by_act;
mod cautions;
mod dial;
mod input;
mod looms;
mod mixes;
mod outputs;
mod personal;
mod power;
mod reader;
pub mod reminders;
mod stage;
mod tracks;
mod whole;
mod words;

use super::known::Known;
use super::pictures::{flow, front, plot};
use super::sheet::Sheet;
use whole::Whole;

/// All sheets: what holds all day from the house, then what differs by act.
pub(super) fn all(house: &Known, acts: &[Known]) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    let show = Whole::of(house, acts);
    sheets.extend(input::sheets(&show));
    sheets.extend(stage::sheets(&show));
    sheets.extend(looms::sheet(&show));
    sheets.extend(outputs::sheet(&show));
    sheets.extend(mixes::sheets(&show));
    sheets.extend(personal::sheet(&show));
    sheets.extend(dial::sheets(&show));
    sheets.extend(tracks::sheets(&show));
    sheets.extend(power::sheet(&show));
    sheets.extend(plot::sheets(house, acts));
    sheets.extend(front::sheets(house, acts));
    sheets.extend(flow::sheet(&Known::any(house.plan)));
    sheets
}

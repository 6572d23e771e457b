//! Which sheets a pack has, and in which order. Each sheet is a file that says whom it is for and what stands
//! on it.

mod cautions;
mod power;
pub mod reminders;
mod stage;
mod whole;

use super::known::Known;
use super::sheet::Sheet;
use whole::Whole;

/// All sheets: what holds all day from the house, then what differs by act.
pub(super) fn all(house: &Known, acts: &[Known]) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    let show = Whole::of(house, acts);
    let whole = |of: &mut dyn FnMut(&Known)| match acts {
        [] => of(house),
        acts => acts.iter().for_each(of),
    };
    whole(&mut |known| sheets.extend(stage::sheets(known)));
    sheets.extend(power::sheet(&show));
    sheets
}

//! What goes wrong on stages and no plan can know: lines of the crew's check list, each to be ticked on the sheet of
//! whoever can see it. The page of situations in `grammar/` says the same words.

use super::super::sheet::{Look, Part, Row, Table};

pub const CONTROL_LOST: &str =
    "all mic-level lines of one box silent and its line-level ones heard: the box's control or 48 V, not each cable";
pub const ALL_LINES_CLIP: &str = "all lines of one digital device clip at once: suspect its clock, not the gain";
pub const BEFORE_PACKS: &str = "all 48 V on, meters seen, before in-ear packs go on; else mute, switch, wait";
pub const LOOK_FOR_BOXES: &str = "load the show, look for the boxes again, compare with the plan, then patch";
pub const PLAY_BACK: &str = "a minute recorded and played back on each recorder before doors";
pub const SPEAK_INTO_MIXES: &str = "speak into each mix, with someone at the wedge to confirm the place";
pub const GUEST_FILE: &str =
    "ask first, mains muted, house outputs kept from recall; compare the guest's outputs with the plan";
pub const OLD_LABELS: &str = "one strip for each act, dated; cable labels off at strike";
pub const LINK_CABLE: &str = "the link cable on a way of its own, strain relief, no weight on it";
pub const SAME_MARK: &str = "the same date and version mark on every page";
pub const UNUSUAL: &str = "a page that says what is unusual about this show";
pub const TWO_LABELS: &str = "two labels for each cable, readable when plugged";
pub const SAY_THE_NAME: &str = "say the source's name into its microphone; write down what was heard";
pub const GATES_OFF: &str = "gates off, or shout, at line check";

/// The lines with a box each.
pub(super) fn to_tick(title: &'static str, lines: &[&str]) -> Part {
    let mut table = Table::new([("check", Look::Plain), ("done", Look::Tick)]).titled(title);
    for line in lines {
        table.push(Row::of([capital(line).into()]));
    }
    Part::Table(table)
}

fn capital(line: &str) -> String {
    let mut letters = line.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

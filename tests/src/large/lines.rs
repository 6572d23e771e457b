//! A drawn show as lines of one file or several, and lines taken out of it.

use super::stage::{Rig, StageBox};
use super::{Draft, Input, Output};
use crate::dice::Dice;
use std::collections::BTreeSet;
use std::fmt::Write;

/// A file of a show, and a line of it, both from 0.
pub type Place = (usize, usize);

/// The files of a show, the root first.
#[derive(Clone, Debug)]
pub struct Text {
    pub files: Vec<(String, Vec<String>)>,
}

impl Text {
    pub fn sources(&self) -> Vec<(String, String)> {
        self.files.iter().map(|(name, lines)| (name.clone(), lines.join("\n") + "\n")).collect()
    }

    /// The same with these lines as comments: every other line keeps its number.
    pub fn without(&self, out: &BTreeSet<Place>) -> Text {
        let mut text = self.clone();
        for (file, line) in out {
            if let Some(line) = text.files.get_mut(*file).and_then(|(_, lines)| lines.get_mut(*line)) {
                *line = format!("# {line}");
            }
        }
        text
    }

    /// Lines that are one statement or one row.
    pub fn droppable(&self) -> Vec<Place> {
        let all = self.files.iter().enumerate().flat_map(|(file, (_, lines))| (0..lines.len()).map(move |l| (file, l)));
        all.filter(|(file, line)| self.is_row(*file, *line)).collect()
    }

    pub fn is_row(&self, file: usize, line: usize) -> bool {
        let Some(text) = self.files.get(file).and_then(|(_, lines)| lines.get(line)) else { return false };
        let text = text.trim();
        !text.starts_with('#') && !text.is_empty() && !text.ends_with('{') && text != "}"
    }

    /// Rows inside `inputs`, `outputs` and `personal`, and `record`: what asks for something.
    pub fn wants(&self) -> BTreeSet<Place> {
        let mut wants = BTreeSet::new();
        for (file, (_, lines)) in self.files.iter().enumerate() {
            let mut block = false;
            for (at, line) in lines.iter().enumerate() {
                let word = line.split_whitespace().next().unwrap_or("");
                if line.trim().ends_with('{') {
                    block = ["inputs", "outputs", "personal"].contains(&word);
                } else if line.trim() == "}" {
                    block = false;
                } else if self.is_row(file, at) && (block || word == "record" || word == "keep") {
                    wants.insert((file, at));
                }
            }
        }
        wants
    }

    /// Without the lines that are comments and the blocks that are empty.
    pub fn shown(&self) -> String {
        let mut text = String::new();
        for (name, lines) in &self.files {
            let mut kept: Vec<&String> = lines.iter().filter(|line| !line.trim().starts_with('#')).collect();
            while let Some(at) = (1..kept.len()).find(|at| kept[*at].trim() == "}" && kept[at - 1].ends_with('{')) {
                kept.drain(at - 1..=at);
            }
            let _ = writeln!(text, "--- {name}");
            kept.iter().for_each(|line| text.push_str(&format!("{line}\n")));
        }
        text
    }
}

impl Draft {
    pub(super) fn text(&self, dice: &mut Dice) -> Text {
        let mut rig = self.rig_lines();
        let mut rows = Vec::new();
        self.blocks(None, &mut rows);
        for act in 0..self.acts {
            rows.push(format!("act act{} {{", act + 1));
            self.blocks(Some(act), &mut rows);
            rows.push("}".to_string());
        }
        let head = "show \"Large\"".to_string();
        let file = |name: &str, lines: Vec<String>| (format!("/show/{name}.fantail"), lines);
        let files = match dice.below(3) {
            0 => {
                let root = [head, "include \"rig.fantail\"".to_string(), "include \"rows.fantail\"".to_string()];
                vec![file("show", root.to_vec()), file("rig", rig), file("rows", rows)]
            }
            1 => {
                let mut root = vec![head, "include \"rig.fantail\"".to_string()];
                root.extend(rows);
                vec![file("show", root), file("rig", rig)]
            }
            _ => {
                rig.insert(0, head);
                rig.extend(rows);
                vec![file("show", rig)]
            }
        };
        Text { files }
    }

    fn rig_lines(&self) -> Vec<String> {
        let rig = &self.rig;
        let mut lines = Vec::new();
        if rig.rate != 48 {
            lines.push(format!("rate {} kHz", rig.rate));
        }
        lines.push(format!("clock {}", rig.foh.name));
        if rig.boxes.iter().any(|b| b.model == "box-16x8-hub") {
            lines.push("model box-16x8-hub like box-16x8 {".to_string());
            lines.push("  port personal  aes50 to next  powers".to_string());
            lines.push("  personal passes up one way".to_string());
            lines.push("}".to_string());
        }
        for desk in std::iter::once(&rig.foh).chain(&rig.second) {
            lines.push(format!("desk {} is {}", desk.name, desk.model));
        }
        if rig.linked {
            lines.push("link foh.portB to monitors.portA cable 50 m screened locking".to_string());
        }
        lines.extend(rig.boxes.iter().map(box_line));
        carried(rig, &mut lines);
        lines.extend(rig.extra.iter().cloned());
        lines
    }

    fn blocks(&self, act: Option<usize>, lines: &mut Vec<String>) {
        for desk in ["foh", "monitors", "side"] {
            let rows: Vec<String> =
                self.inputs.iter().filter(|row| row.act == act && row.desk == desk).map(input_line).collect();
            block(format!("inputs {desk} {{"), rows, lines);
            let rows: Vec<String> =
                self.outputs.iter().filter(|row| row.act == act && row.desk == desk).map(output_line).collect();
            block(format!("outputs {desk} {{"), rows, lines);
        }
        if act.is_none() {
            block("personal foh {".to_string(), self.feeds.iter().map(|row| format!("  {row}")).collect(), lines);
        }
        lines.extend(self.others.iter().filter(|(of, _)| *of == act).map(|(_, line)| line.clone()));
    }
}

fn block(head: String, rows: Vec<String>, lines: &mut Vec<String>) {
    if !rows.is_empty() {
        lines.push(head);
        lines.extend(rows);
        lines.push("}".to_string());
    }
}

fn numbers(first: u32, count: u32) -> String {
    if count == 1 { first.to_string() } else { format!("{first}-{}", first + count - 1) }
}

fn input_line(row: &Input) -> String {
    let words = [numbers(row.first, row.count), row.name.clone(), row.kind.clone(), row.from.clone(), row.rest.clone()];
    let words: Vec<&str> = words.iter().map(|word| word.trim()).filter(|word| !word.is_empty()).collect();
    format!("  {}", words.join(" "))
}

fn output_line(row: &Output) -> String {
    format!("  {} {} to {} {}", row.bank, numbers(row.first, row.count), row.to.join(" and "), row.rest)
}

fn box_line(b: &StageBox) -> String {
    let offset = b.offset.map_or(String::new(), |offset| format!(" offset {offset}"));
    format!("box {} is {} on {}{offset} {} {}", b.name, b.model, b.on, b.optical, b.words).trim_end().to_string()
}

/// Snakes, the split with its looms, and the hub.
fn carried(rig: &Rig, lines: &mut Vec<String>) {
    for (name, model, count, to, first) in &rig.snakes {
        lines.push(format!("snake {name} is {model} to {to} {first}-{}", first + count - 1));
    }
    if let Some((count, direct, isolated)) = &rig.split {
        lines.push("split front is split-24x3".to_string());
        lines.push(format!("loom front.direct 1-{count} to {direct} 1-{count}"));
        lines.push(format!("loom front.iso-a 1-{count} to {isolated} 1-{count}"));
    }
    if let Some(on) = &rig.hub {
        lines.push(format!("hub ears is personal-hub on {on}.personal"));
    }
}

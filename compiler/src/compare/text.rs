//! A comparison for people to read: as text in columns, and as Markdown for a review. Nothing is worked out here.

use super::data::{Change, Comparison, Verb};
use super::deeds::Work;
use crate::diagnostics::counted;
use crate::plan::{Origin, ShowHead, Table, clean, in_markdown};
use std::collections::BTreeSet;

/// As data, with the keys of the schema.
pub fn json(comparison: &Comparison) -> String {
    // Plain data always has a form as JSON.
    serde_json::to_string_pretty(comparison).unwrap_or_default()
}

/// In columns.
pub fn text(comparison: &Comparison) -> String {
    let mut out = format!("{}\n{}\n", clean(&heading(comparison)), counts(comparison));
    let mut section = |title: &str, rows: Vec<Vec<String>>| {
        if !rows.is_empty() {
            out.push_str(&format!("\n{title}\n"));
            let mut table = Table::default();
            rows.into_iter().for_each(|row| table.row(row));
            table.print(&mut out, 2);
        }
    };
    section("risks", risks(comparison));
    section("what changed", comparison.changes.iter().map(|change| row(change).to_vec()).collect());
    for work in &comparison.work {
        let acts = in_acts(&work.acts);
        section(&format!("before anything{acts}"), work.first().map(|first| vec![first]).into_iter().collect());
        for (who, lines) in work.by_crew() {
            section(
                &format!("to do: {who}{acts}"),
                lines.into_iter().map(|line| vec![line.numbers(), line.says]).collect(),
            );
        }
    }
    section("print again", paper(comparison));
    out
}

/// Fit for a comment on a change.
pub fn markdown(comparison: &Comparison) -> String {
    let mut out = format!("**{}**\n\n{}\n", escaped(&heading(comparison)), counts(comparison));
    let mut section = |title: &str, head: &[&str], rows: Vec<Vec<String>>| {
        if rows.is_empty() {
            return;
        }
        let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
        out.push_str(&format!("\n### {}\n\n", escaped(title)));
        out.push_str(&line(head.iter().map(|cell| (*cell).to_string()).collect()));
        out.push_str(&line(head.iter().map(|_| "---".to_string()).collect()));
        for row in rows {
            out.push_str(&line(row.iter().map(|cell| escaped(cell)).collect()));
        }
    };
    section("Risks", &["risk", "what", "says"], risks(comparison));
    let changed = comparison.changes.iter().map(|change| row(change).to_vec()).collect();
    section("What changed", CHANGED, changed);
    for work in &comparison.work {
        for (who, lines) in work.by_crew() {
            let title = format!("To do: {who}{}", in_acts(&work.acts));
            section(&title, &["step", "do"], lines.into_iter().map(|line| vec![line.numbers(), line.says]).collect());
        }
    }
    section("Print again", &["sheet", "for", "how"], paper(comparison));
    let first = comparison.work.iter().filter_map(Work::first).max_by_key(|first| first.len());
    if let Some(first) = first {
        out.push_str(&format!("\n{first}\n"));
    }
    out
}

/// The heads of what changed.
const CHANGED: &[&str] = &["what", "thing", "was", "now", "in act", "for", "by"];

fn risks(comparison: &Comparison) -> Vec<Vec<String>> {
    let row = |risk: &super::data::Risk| {
        vec![risk.risk.word().to_string(), format!("{}{}", risk.called, in_acts(&risk.acts)), risk.says.clone()]
    };
    comparison.risks.iter().map(row).collect()
}

fn paper(comparison: &Comparison) -> Vec<Vec<String>> {
    let row = |paper: &super::data::Paper| vec![paper.title.clone(), paper.reader.clone(), paper.how.clone()];
    comparison.paper.iter().map(row).collect()
}

/// What, which thing, was, now, in which acts, for whom, by which rows.
fn row(change: &Change) -> [String; 7] {
    let (was, now) = change.sides();
    let now = match change.verb {
        Verb::Swapped => format!("<-> {now}"),
        Verb::Added | Verb::Gone | Verb::Sent => now,
        _ if was.is_empty() && now.is_empty() => now,
        _ => format!("-> {now}"),
    };
    let acts = in_acts(&change.acts).trim_start_matches(", ").to_string();
    let by = change.origins.iter().map(by).collect::<Vec<_>>().join(", ");
    [change.verb.word().to_string(), change.what(), was, now, acts, change.who.join(", "), by]
}

impl Change {
    /// Which thing, as people call it, and what of it.
    pub(crate) fn what(&self) -> String {
        let name = self.thing.split_once(' ').map_or(self.thing.as_str(), |(_, name)| name);
        let thing = if self.called == name && !self.verb.is_dialled() && self.verb != Verb::Owner {
            &self.thing
        } else {
            &self.called
        };
        match self.verb {
            verb if verb.is_dialled() || verb == Verb::Owner => format!("{thing}.{}", self.of),
            Verb::Said | Verb::Cable | Verb::Mic | Verb::Preamps if !self.of.is_empty() => {
                format!("{thing}: {}", self.of)
            }
            _ => thing.clone(),
        }
    }

    /// As it was, and as it is. Both empty where all that can be said is that they differ.
    pub(crate) fn sides(&self) -> (String, String) {
        let plain = |is: &Option<String>| is.clone().unwrap_or_default();
        let nothing = |is: &Option<String>| is.clone().unwrap_or_else(|| "nothing".to_string());
        match self.verb {
            Verb::Sent => sent(self.was.as_ref(), self.now.as_ref()),
            Verb::Added | Verb::Gone => (plain(&self.was), plain(&self.now)),
            _ if self.was.is_none() && self.now.is_none() => (String::new(), String::new()),
            _ => (nothing(&self.was), nothing(&self.now)),
        }
    }
}

/// What a mix no longer carries, and what it carries besides.
pub(super) fn sent(was: Option<&String>, now: Option<&String>) -> (String, String) {
    let names = |side: Option<&String>| -> BTreeSet<String> {
        side.into_iter().flat_map(|of| of.split(", ")).map(String::from).collect()
    };
    let (was, now) = (names(was), names(now));
    let part = |word: &str, names: Vec<String>| match names.is_empty() {
        true => String::new(),
        false => format!("{word} {}", names.join(", ")),
    };
    (part("out:", was.difference(&now).cloned().collect()), part("add:", now.difference(&was).cloned().collect()))
}

fn by(origin: &Origin) -> String {
    format!("{}:{}", origin.file, origin.line)
}

/// `, in kestrel, heron`
pub(crate) fn in_acts(acts: &[String]) -> String {
    if acts.is_empty() { String::new() } else { format!(", in {}", acts.join(", ")) }
}

fn heading(comparison: &Comparison) -> String {
    let (old, new) = (named(&comparison.old), named(&comparison.new));
    if old == new { new } else { format!("{old} -> {new}") }
}

fn named(show: &ShowHead) -> String {
    let venue = show.venue.as_ref().map(|venue| format!(" at {venue}")).unwrap_or_default();
    let date = show.date.as_ref().map(|date| format!(" on {date}")).unwrap_or_default();
    format!("{}{venue}{date}", show.title)
}

fn counts(comparison: &Comparison) -> String {
    if comparison.is_empty() {
        return "Nothing changed for anybody.".to_string();
    }
    let lines = comparison.work.iter().map(|work| work.lines().len()).sum();
    let parts = [
        counted(comparison.risks.len(), "risk"),
        counted(comparison.changes.len(), "change"),
        counted(lines, "step"),
        format!("{} to print again", counted(comparison.paper.len(), "sheet")),
    ];
    parts.join(", ")
}

fn escaped(text: &str) -> String {
    in_markdown(&clean(text))
}

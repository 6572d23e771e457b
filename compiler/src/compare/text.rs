//! A comparison for people to read: as text in columns, and as Markdown for a review; and as data. Nothing is worked out
//! here.

use super::data::Comparison;
use super::rows::Row;
use super::shows::apart;
use crate::diagnostics::counted;
use crate::plan::{Origin, ShowHead, Table, clean, in_markdown};
use serde::Serialize;

/// Shows as data, each told whole, with the keys of the schema.
pub fn json(shows: &[Comparison]) -> String {
    #[derive(Serialize)]
    struct Shows<'s> {
        /// The format: 1.
        fantail: u32,
        shows: &'s [Comparison],
    }
    // Plain data always has a form as JSON.
    serde_json::to_string_pretty(&Shows { fantail: 1, shows }).unwrap_or_default()
}

/// In columns.
pub fn text(shows: &[Comparison]) -> String {
    let blocks = blocks(shows).into_iter().map(|block| {
        let mut out: String = block.head.iter().map(|line| format!("{}\n", clean(line))).collect();
        for section in block.sections {
            out.push_str(&format!("\n{}\n", clean(&section.title)));
            let mut table = Table::default();
            section.rows.into_iter().for_each(|row| table.row(row));
            table.print_wrapped(&mut out, 2);
        }
        out
    });
    blocks.collect::<Vec<_>>().join("\n")
}

/// Fit for a comment on a change.
pub fn markdown(shows: &[Comparison]) -> String {
    let blocks = blocks(shows).into_iter().map(|block| {
        let mut lines = block.head.iter().map(|line| escaped(line));
        let mut out = format!("**{}**\n", lines.next().unwrap_or_default());
        lines.for_each(|line| out.push_str(&format!("\n{line}\n")));
        for section in block.sections {
            out.push_str(&format!("\n### {}\n\n", escaped(&capital(&section.title))));
            out.push_str(&in_table(&section));
        }
        out
    });
    blocks.collect::<Vec<_>>().join("\n---\n\n")
}

/// A list under heads; one without heads is sentences.
fn in_table(section: &Section) -> String {
    let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
    if section.head.is_empty() {
        return section.rows.iter().flatten().map(|words| format!("{}\n", escaped(words))).collect();
    }
    let kept: Vec<usize> = (0..section.head.len())
        .filter(|at| section.rows.iter().any(|row| row.get(*at).is_some_and(|cell| !cell.is_empty())))
        .collect();
    let head = kept.iter().filter_map(|at| section.head.get(*at)).map(|cell| (*cell).to_string()).collect();
    let rule = kept.iter().map(|_| "---".to_string()).collect();
    let rows =
        section.rows.iter().map(|row| kept.iter().filter_map(|at| row.get(*at)).map(|cell| escaped(cell)).collect());
    [head, rule].into_iter().chain(rows).map(line).collect()
}

/// What is told of one show, or of all.
struct Block {
    head: Vec<String>,
    sections: Vec<Section>,
}

struct Section {
    title: String,
    head: &'static [&'static str],
    rows: Vec<Vec<String>>,
}

fn blocks(shows: &[Comparison]) -> Vec<Block> {
    let whole = |one: &Comparison| {
        let mut head = vec![heading(one)];
        if one.old.title != one.new.title && !one.old.title.is_empty() && !one.new.title.is_empty() {
            head.push("These are two different shows: what follows is all in which they differ.".into());
        }
        head.push(counts(one));
        Block { head, sections: sections(one) }
    };
    let Some((shared, rest)) = apart(shows) else { return shows.iter().map(whole).collect() };
    let names: Vec<String> = rest.iter().map(heading).collect();
    let all = format!("In all {} shows: {}", names.len(), names.join("; "));
    let first = Block { head: vec![all, counts(&shared)], sections: sections(&shared) };
    let besides = rest.iter().zip(names).map(|(one, name)| {
        let nothing = one.is_empty() && one.paper.is_empty();
        let counts = if nothing { "Nothing besides.".to_string() } else { counts(one) };
        Block { head: vec![format!("Besides, in {name}"), counts], sections: sections(one) }
    });
    std::iter::once(first).chain(besides).collect()
}

/// All that is told of one, without what is empty.
fn sections(comparison: &Comparison) -> Vec<Section> {
    let section = |title: &str, head, rows| Section { title: title.into(), head, rows };
    let risks = comparison.risk_rows().into_iter().map(|row| vec![row.verb, row.what, row.now, row.acts.join(", ")]);
    let mut all = vec![
        section("risks", &["risk", "what", "says", "in act"], risks.collect()),
        section(
            "what changed",
            &["what", "thing", "was", "now", "in act", "for", "by"],
            comparison.rows().into_iter().map(cells).collect(),
        ),
    ];
    for work in &comparison.work {
        let acts = comparison.in_acts(&work.acts);
        let first = work.first().map(|first| vec![first]);
        all.push(section(&format!("before anything{acts}"), &[], first.into_iter().collect()));
        for (who, lines) in work.by_crew() {
            let rows = lines.into_iter().map(|line| vec![line.numbers(), line.says]).collect();
            all.push(section(&format!("to do: {who}{acts}"), &["step", "do"], rows));
        }
    }
    let paper = comparison.paper.iter().map(|one| vec![one.title.clone(), one.reader.clone(), one.how.clone()]);
    all.push(section("print again", &["sheet", "for", "how"], paper.collect()));
    all.retain(|section| !section.rows.is_empty());
    all
}

/// What, which thing, was, now, in which acts, for whom, by which rows.
fn cells(row: Row) -> Vec<String> {
    let now = format!("{} {}", row.sign, row.now).trim().to_string();
    let by = row.origins.iter().map(by).collect::<Vec<_>>().join(", ");
    vec![row.verb, row.what, row.was, now, row.acts.join(", "), row.who.join(", "), by]
}

fn by(origin: &Origin) -> String {
    format!("{}:{}", origin.file, origin.line)
}

fn heading(comparison: &Comparison) -> String {
    let (old, new) = (named(&comparison.old), named(&comparison.new));
    if old == new { new } else { format!("{old} -> {new}") }
}

fn named(show: &ShowHead) -> String {
    let venue = show.venue.as_ref().map(|venue| format!(" at {venue}")).unwrap_or_default();
    let date = show.date.as_ref().map(|date| format!(" on {date}")).unwrap_or_default();
    let title = if show.title.is_empty() { "(no title)" } else { &show.title };
    format!("{title}{venue}{date}")
}

fn counts(comparison: &Comparison) -> String {
    if comparison.is_empty() && comparison.paper.is_empty() {
        return "Nothing changed for anybody.".to_string();
    }
    let lines: usize = comparison.work.iter().map(|work| work.lines().len()).sum();
    let paper = comparison.paper.len();
    let parts = [
        Some(counted(comparison.risk_rows().len(), "risk")),
        Some(counted(comparison.rows().len(), "change")),
        (lines > 0).then(|| counted(lines, "step")),
        (paper > 0).then(|| format!("{} to print again", counted(paper, "sheet"))),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn capital(title: &str) -> String {
    let mut letters = title.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn escaped(text: &str) -> String {
    in_markdown(&clean(text))
}

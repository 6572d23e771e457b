//! Each sheet as a Markdown file with pipe tables, as GitHub's dialect has them. No name can end a cell or start
//! anything.

use super::super::sheet::{Label, Labels, Look, Pack, Part, Sheet, Table, Weight};
use super::File;
use crate::plan::in_markdown as escaped;

pub(super) fn files(pack: &Pack) -> Vec<File> {
    let file =
        |sheet: &Sheet| File { name: format!("markdown/{}.md", sheet.slug), bytes: text(pack, sheet).into_bytes() };
    pack.sheets.iter().map(file).collect()
}

fn text(pack: &Pack, sheet: &Sheet) -> String {
    let mut out = format!("# {}\n\n{} · {}", escaped(&sheet.title), escaped(&pack.head.line()), pack.mark);
    let act = sheet.act.as_ref().map(|act| format!("act {}", escaped(act)));
    for part in [Some(format!("for {}", sheet.reader)), act].into_iter().flatten() {
        out.push_str(&format!(" · {part}"));
    }
    out.push('\n');
    for caution in &sheet.cautions {
        out.push_str(&format!("\n> **{}**\n", escaped(caution)));
    }
    let mut pictures = 0;
    for part in &sheet.parts {
        out.push('\n');
        match part {
            Part::Words(words) => out.push_str(&format!("{}\n", escaped(words))),
            Part::Table(table) => table_into(&mut out, table),
            Part::Labels(labels) => labels_into(&mut out, labels),
            Part::Picture(picture) => {
                pictures += 1;
                let (said, path) = (escaped(&picture.said), super::picture_name(sheet, pictures));
                out.push_str(&format!("![{said}](../{path})\n"));
            }
        }
    }
    out
}

fn table_into(out: &mut String, table: &Table) {
    if let Some(title) = &table.title {
        out.push_str(&format!("## {}\n\n", escaped(title)));
    }
    let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
    out.push_str(&line(table.columns.iter().map(|column| escaped(&column.name)).collect()));
    let right = |look: Look| if look == Look::Number { "---:" } else { "---" };
    out.push_str(&line(table.columns.iter().map(|column| right(column.look).to_string()).collect()));
    for row in &table.rows {
        let cell = |(at, text): (usize, &str)| match (row.weight, table.columns.get(at).map(|column| column.look)) {
            (_, Some(Look::Tick)) if text.is_empty() && !matches!(row.weight, Weight::Group | Weight::Quiet) => {
                "☐".to_string()
            }
            (Weight::Group | Weight::Danger, _) if !text.is_empty() => format!("**{}**", escaped(text)),
            _ => escaped(text),
        };
        out.push_str(&line(row.cells.iter().map(|cell| cell.text.as_str()).enumerate().map(cell).collect()));
    }
}

fn labels_into(out: &mut String, labels: &Labels) {
    let size = format!("{} × {} mm", labels.width_mm, labels.height_mm);
    out.push_str(&format!("## {}\n\nEach {size}. To scale they are in the book.\n\n", escaped(&labels.title)));
    let one = |label: &Label| {
        let parts = [&label.over, &label.text, &label.under];
        parts.into_iter().filter(|part| !part.is_empty()).map(|part| escaped(part)).collect::<Vec<_>>().join(" / ")
    };
    for strip in &labels.strips {
        out.push_str(&format!("- {}\n", strip.iter().map(one).collect::<Vec<_>>().join(" · ")));
    }
}

//! The paper, written and read back by libraries of others.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use calamine::{Data, Reader, Xlsx, open_workbook_from_rs};
use fantail::project::{Disk, InMemory};
use fantail::sheets::{Form, Manifest, Pack, Part, pack, write};
use fantail_tests::sized;
use std::collections::BTreeSet;
use std::io::Cursor;
use std::path::Path;
use std::sync::LazyLock;

fn pack_of(text: &str) -> Pack {
    let files = InMemory::default().with("show.fantail", text);
    let compiled = fantail::compile(Path::new("show.fantail"), &files);
    let errors: Vec<_> = compiled.diagnostics.iter().filter(|one| one.is_error()).collect();
    assert!(errors.is_empty(), "{errors:#?}");
    pack(&compiled.plan)
}

/// Names that mean something to one form or another.
fn hostile() -> String {
    let long = "x".repeat(200);
    let names = [
        "=1+1",
        "-1",
        "+1",
        "@cmd",
        "<script>alert(1)</script>",
        "a \\\\ b | c",
        "'quoted'",
        "*bold* _it_ [l](u)",
        "שלום",
        "&amp; &P",
        "# head",
        "{{x}} ${y} `z`",
        &long,
    ];
    let mut text = String::from(
        "fantail 1\nshow \"=HYPERLINK(<b>)\" at \"&P | *\" on 2026-07-04\nrate 48 kHz\nclock foh\ndesk foh is desk-40-eights\n\
         box stage is box-16x8 on foh.portA offset 1 cable 60 m screened locking\ninputs foh {\n",
    );
    for (number, name) in (1..).zip(names) {
        text.push_str(&format!(
            "  {number} source-{number} condenser from stage {number} phantom stand tall \"{name}\"\n"
        ));
    }
    text.push_str("}\noutputs foh {\n  mix 1 to stage 1 wedge \"<i>=2+2|\" of all inputs\n}\n");
    text
}

const EXAMPLES: &[&str] = &[
    "tour/venues/quayside-hall.fantail",
    "festival/day.fantail",
    "small-desk/tin-boat.fantail",
    "theatre/salt-road.fantail",
];

fn packs() -> &'static [(String, Pack)] {
    static PACKS: LazyLock<Vec<(String, Pack)>> = LazyLock::new(made);
    &PACKS
}

fn made() -> Vec<(String, Pack)> {
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).with_file_name("examples");
    let of_example = |root: &&str| (root.to_string(), pack(&fantail::compile(&examples.join(root), &Disk).plan));
    let mut packs: Vec<(String, Pack)> = EXAMPLES.iter().map(of_example).collect();
    packs.push(("hostile".into(), pack_of(&hostile())));
    packs.push(("sized".into(), pack_of(&sized::show(100))));
    packs
}

/// What a spreadsheet may not take for a formula.
fn is_formula(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r'])
}

#[test]
fn tables_read_back_from_csv_as_they_stand() {
    for (name, pack) in packs() {
        let files = write(pack, Form::Csv);
        let tables: Vec<_> = pack.tables().collect();
        assert_eq!(files.len(), tables.len(), "{name}");
        assert!(!tables.is_empty(), "{name} has no tables");
        for (file, (sheet, table)) in files.iter().zip(tables) {
            let text = std::str::from_utf8(&file.bytes).unwrap();
            assert!(text.ends_with("\r\n") && file.name.contains(&sheet.slug), "{name}: {}", file.name);
            let mut read = csv::ReaderBuilder::new().flexible(false).from_reader(file.bytes.as_slice());
            let head: Vec<String> = read.headers().unwrap().iter().map(String::from).collect();
            for (head, of) in head.iter().zip(&table.columns) {
                assert!(!is_formula(head), "{name}: {head:?}");
                assert_eq!(head.strip_prefix('\'').filter(|_| is_formula(&of.name)).unwrap_or(head), of.name);
            }
            let rows: Vec<Vec<String>> =
                read.records().map(|row| row.unwrap().iter().map(String::from).collect()).collect();
            assert_eq!(rows.len(), table.rows.len());
            for (row, of) in rows.iter().zip(&table.rows) {
                for (cell, of) in row.iter().zip(&of.cells) {
                    assert!(!is_formula(cell), "{name}: {cell:?}");
                    assert_eq!(cell.strip_prefix('\'').filter(|_| is_formula(&of.text)).unwrap_or(cell), of.text);
                }
            }
        }
    }
}

#[test]
fn tables_read_back_from_the_workbook_as_they_stand() {
    for (name, pack) in packs() {
        let files = write(pack, Form::Xlsx);
        let mut book: Xlsx<_> = open_workbook_from_rs(Cursor::new(files[0].bytes.clone())).unwrap();
        let names = book.sheet_names();
        let tables: Vec<_> = pack.tables().collect();
        assert_eq!(names.len(), tables.len() + 1, "{name}");
        assert_eq!(names.iter().map(|name| name.to_lowercase()).collect::<BTreeSet<_>>().len(), names.len());
        for (worksheet, (_, table)) in names.iter().skip(1).zip(&tables) {
            assert!(worksheet.chars().count() <= 31, "{worksheet}");
            assert!(book.worksheet_formula(worksheet).unwrap().is_empty(), "{name}: {worksheet} has a formula");
            let range = book.worksheet_range(worksheet).unwrap();
            let cell = |row: usize, column: usize| match range.get((row, column)) {
                None | Some(Data::Empty) => String::new(),
                Some(cell) => cell.to_string(),
            };
            for (at, column) in table.columns.iter().enumerate() {
                assert_eq!(cell(0, at), column.name.as_ref());
            }
            for (line, row) in table.rows.iter().enumerate() {
                for (at, of) in row.cells.iter().enumerate() {
                    assert_eq!(cell(line + 1, at), of.text, "{name}: {worksheet} {line} {at}");
                }
            }
        }
        // The head stays where the rest is scrolled: as the file itself says.
        let mut zip = zip::ZipArchive::new(Cursor::new(&files[0].bytes)).unwrap();
        for number in 1..=names.len() {
            let mut file = zip.by_name(&format!("xl/worksheets/sheet{number}.xml")).unwrap();
            let mut xml = String::new();
            std::io::Read::read_to_string(&mut file, &mut xml).unwrap();
            assert!(xml.contains("state=\"frozen\"") && xml.contains("<oddFooter>"), "{name}: {number}");
        }
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    for ((name, one), (_, again)) in packs().iter().zip(made()) {
        for form in Form::ALL {
            assert!(write(one, *form) == write(&again, *form), "{name}: {form:?}");
        }
    }
}

#[test]
fn no_name_ends_a_cell_in_markdown() {
    for (name, pack) in packs() {
        for (file, sheet) in write(pack, Form::Markdown).iter().zip(&pack.sheets) {
            let text = String::from_utf8(file.bytes.clone()).unwrap();
            let parts: Vec<usize> = sheet
                .parts
                .iter()
                .filter_map(|part| match part {
                    Part::Table(table) => Some(vec![table.columns.len(); table.rows.len() + 2]),
                    _ => None,
                })
                .flatten()
                .collect();
            let bars = |line: &str| line.replace("\\\\", "").replace("\\|", "").matches('|').count();
            let rows: Vec<usize> =
                text.lines().filter(|line| line.starts_with("| ")).map(|line| bars(line) - 1).collect();
            assert_eq!(rows, parts, "{name}: {}", file.name);
            assert!(!text.replace("\\<", "").contains('<'), "{name}: {}", file.name);
        }
    }
}

#[test]
fn files_have_names_of_their_own() {
    for (name, pack) in packs() {
        let files: Vec<_> = Form::ALL.iter().flat_map(|form| write(pack, *form)).collect();
        let names: BTreeSet<String> = files.iter().map(|file| file.name.to_lowercase()).collect();
        assert_eq!(names.len(), files.len(), "{name}");
        for file in &files {
            let parts: Vec<&str> = file.name.split('/').collect();
            assert!(
                parts.iter().all(|part| !part.is_empty() && part.len() <= 200 && !part.starts_with('.')),
                "{}",
                file.name
            );
        }
    }
}

#[test]
fn the_list_of_a_pack_suits_its_schema() {
    let schema = serde_json::from_str(include_str!("../../grammar/pack.schema.json")).unwrap();
    let schema = jsonschema::draft202012::new(&schema).unwrap();
    for (name, pack) in packs() {
        let files: Vec<_> = Form::ALL.iter().flat_map(|form| write(pack, *form)).collect();
        let list = serde_json::from_slice(&Manifest::of(pack, &files).file().bytes).unwrap();
        let faults: Vec<String> = schema.iter_errors(&list).map(|fault| fault.to_string()).collect();
        assert_eq!(faults, Vec::<String>::new(), "{name}");
    }
}

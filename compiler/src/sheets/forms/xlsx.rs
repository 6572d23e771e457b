//! All tables as one workbook: a worksheet a table, its head frozen and printed on every page. Every cell is text
//! or a number, none is ever a formula. The same pack gives the same bytes.

use super::super::sheet::{Look, Pack, Row, Sheet, Sign, Table, Weight};
use super::File;
use rust_xlsxwriter::{
    DocProperties, ExcelDateTime, Format, FormatAlign, FormatBorder, Workbook, Worksheet, XlsxError,
};
use std::collections::BTreeSet;

/// What the format allows in the name of a worksheet, and in a cell.
const NAME: usize = 31;
const CELL: usize = 32_767;
const WIDEST: f64 = 60.0;

pub(super) fn files(pack: &Pack) -> Vec<File> {
    // It fails on names and lengths that are cut before they get there.
    let bytes = bytes(pack).unwrap_or_default();
    vec![File { name: "sheets.xlsx".to_string(), bytes }]
}

fn bytes(pack: &Pack) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    // A time of writing would make the same pack other bytes.
    let no_time = ExcelDateTime::from_ymd(2000, 1, 1)?;
    book.set_properties(&DocProperties::new().set_title(cut(&pack.head.line(), 255)).set_creation_datetime(&no_time));
    let looks = Looks::new();
    let mut taken = BTreeSet::from(["contents".to_string()]);
    let named: Vec<(&Sheet, &Table, String)> =
        pack.tables().map(|(sheet, table)| (sheet, table, worksheet_name(sheet, table, &mut taken))).collect();
    contents(book.add_worksheet(), pack, &named, &looks)?;
    for (sheet, table, name) in &named {
        let worksheet = book.add_worksheet();
        worksheet.set_name(name)?;
        page(worksheet, pack, &sheet.title)?;
        write(worksheet, table, &looks)?;
    }
    book.save_to_buffer()
}

struct Looks {
    head: Format,
    plain: Format,
    key: Format,
    group: Format,
    quiet: Format,
    danger: Format,
}

impl Looks {
    fn new() -> Looks {
        let cell = Format::new().set_align(FormatAlign::Top).set_text_wrap().set_border(FormatBorder::Hair);
        Looks {
            head: Format::new().set_bold().set_border_bottom(FormatBorder::Medium).set_text_wrap(),
            key: cell.clone().set_bold(),
            group: cell.clone().set_bold().set_background_color(0xD9D9D9),
            quiet: cell.clone().set_italic(),
            danger: cell.clone().set_bold().set_border(FormatBorder::Medium),
            plain: cell,
        }
    }

    fn of(&self, row: &Row, look: Look, sign: Option<Sign>) -> &Format {
        match (row.weight, look, sign) {
            (_, _, Some(Sign::NeverPhantom)) | (Weight::Danger, ..) => &self.danger,
            (Weight::Group, ..) => &self.group,
            (Weight::Quiet, ..) => &self.quiet,
            (_, Look::Key, _) | (_, _, Some(Sign::Phantom)) => &self.key,
            _ => &self.plain,
        }
    }
}

/// Which worksheet holds what, and for whom.
fn contents(
    worksheet: &mut Worksheet,
    pack: &Pack,
    named: &[(&Sheet, &Table, String)],
    looks: &Looks,
) -> Result<(), XlsxError> {
    worksheet.set_name("contents")?;
    page(worksheet, pack, "Contents")?;
    let mut table = Table::new([
        ("worksheet", Look::Key),
        ("sheet", Look::Plain),
        ("table", Look::Plain),
        ("for", Look::Plain),
        ("act", Look::Plain),
    ]);
    for (sheet, of, name) in named {
        let title = of.title.clone().unwrap_or_default();
        let act = sheet.act.clone().unwrap_or_default();
        table.push(Row::of([
            name.clone().into(),
            sheet.title.clone().into(),
            title.into(),
            sheet.reader.into(),
            act.into(),
        ]));
    }
    write(worksheet, &table, looks)
}

/// What stands at the head and the foot of every printed page.
fn page(worksheet: &mut Worksheet, pack: &Pack, title: &str) -> Result<(), XlsxError> {
    // `&` begins a code there, and the whole may have 255 characters.
    let plain = |text: &str, most: usize| cut(text, most).replace('&', "&&");
    worksheet.set_header(format!("&L{}&R{}", plain(&pack.head.line(), 60), plain(title, 40)));
    worksheet.set_footer(format!("&L{}&Rpage &P of &N", plain(&pack.mark, 20)));
    worksheet.set_landscape().set_print_fit_to_pages(1, 0);
    worksheet.set_repeat_rows(0, 0)?;
    worksheet.set_freeze_panes(1, 0)?;
    Ok(())
}

fn write(worksheet: &mut Worksheet, table: &Table, looks: &Looks) -> Result<(), XlsxError> {
    let mut widths: Vec<usize> = table.columns.iter().map(|column| column.name.chars().count()).collect();
    for (at, column) in (0u16..).zip(&table.columns) {
        worksheet.write_string_with_format(0, at, column.name.as_ref(), &looks.head)?;
    }
    for (line, row) in (1u32..).zip(&table.rows) {
        for ((at, cell), column) in (0u16..).zip(&row.cells).zip(&table.columns) {
            let look = looks.of(row, column.look, cell.sign);
            match number(column.look, &cell.text) {
                Some(number) => worksheet.write_number_with_format(line, at, number, look)?,
                None => worksheet.write_string_with_format(line, at, cut(&cell.text, CELL), look)?,
            };
            if let Some(width) = widths.get_mut(usize::from(at)).filter(|_| row.weight != Weight::Group) {
                *width = (*width).max(cell.text.chars().count());
            }
        }
    }
    for (at, width) in (0u16..).zip(&widths) {
        worksheet.set_column_width(at, (*width as f64 + 2.0).min(WIDEST))?;
    }
    Ok(())
}

/// A cell is a number only where nothing of its text is lost.
fn number(look: Look, text: &str) -> Option<f64> {
    let number: f64 = text.parse().ok().filter(|_| matches!(look, Look::Number | Look::Key))?;
    (number.is_finite() && number.to_string() == text).then_some(number)
}

/// At most so many UTF-16 units, as the format counts.
fn cut(text: &str, most: usize) -> String {
    if text.encode_utf16().count() <= most {
        return text.to_string();
    }
    let mut left = most.saturating_sub(1);
    let fits = |c: &char| left.checked_sub(c.len_utf16()).map(|rest| left = rest).is_some();
    let mut short: String = text.chars().take_while(fits).collect();
    short.push('…');
    short
}

/// The sheet's slug and, where it has several, the table's title: short, of allowed letters, and of this table only.
fn worksheet_name(sheet: &Sheet, table: &Table, taken: &mut BTreeSet<String>) -> String {
    let several = sheet.tables().count() > 1;
    let title = table.title.as_deref().filter(|_| several).unwrap_or_default();
    let allowed = |c: char| if "[]:*?/\\'".contains(c) || c.is_control() { '-' } else { c };
    let wish: String = [sheet.slug.as_str(), title].join(" ").trim().chars().map(allowed).collect();
    let mut number = 1;
    loop {
        let tail = if number == 1 { String::new() } else { format!(" {number}") };
        let name = format!("{}{tail}", cut(&wish, NAME - tail.len()));
        // Names are one name in any case of letters.
        if taken.insert(name.to_lowercase()) {
            return name;
        }
        number += 1;
    }
}

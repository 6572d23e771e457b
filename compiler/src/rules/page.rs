//! A rule's page taken apart: its sections, and its two examples as files. Pages are our own text, so
//! what is wrong with one is told to whoever writes it, not to a user.

/// A page whose parts are all there.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    pub slug: String,
    /// One sentence.
    pub summary: String,
    pub why: String,
    /// Gear or people, where it is not the sound alone. A merge then stops at what only warns.
    pub hurts: Option<String>,
    /// Draws this rule and no other error.
    pub caught: Example,
    /// The same, put right: clean.
    pub corrected: Example,
    pub usual_fix: String,
    /// Where a number comes from.
    pub source: Option<String>,
}

/// The files of one example; the last is the root. None where the page says `Not shown as text: `.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Example {
    pub files: Vec<ExampleFile>,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ExampleFile {
    pub name: String,
    pub text: String,
}

impl Example {
    pub fn root(&self) -> Option<&ExampleFile> {
        self.files.last()
    }

    /// A line `# file: rig.fantail` begins another file and is no part of it; text before the first
    /// such line is `show.fantail`.
    pub fn of(block: &str) -> Self {
        let mut files: Vec<ExampleFile> = Vec::new();
        for line in block.lines() {
            if let Some(name) = line.trim().strip_prefix("# file:") {
                files.push(ExampleFile { name: name.trim().to_string(), text: String::new() });
                continue;
            }
            if files.is_empty() {
                files.push(ExampleFile { name: "show.fantail".into(), text: String::new() });
            }
            if let Some(file) = files.last_mut() {
                file.text.push_str(line);
                file.text.push('\n');
            }
        }
        Example { files }
    }
}

/// Begins the section of an example that no files of text can be: it then has no files.
pub const NOT_AS_TEXT: &str = "Not shown as text: ";

const WHY: &str = "Why";
const HURTS: &str = crate::diagnostics::CAN_HURT;
const CAUGHT: &str = "Example that it catches";
const CORRECTED: &str = "Corrected";
const USUAL_FIX: &str = "Usual fix";
const SOURCE: &str = "Source";

/// The page, or what is missing in it.
pub fn parse(page: &str) -> Result<Page, String> {
    let (head, sections) = split(page);
    let slug = head.lines().next().and_then(|line| line.strip_prefix("# ")).ok_or("the page opens with `# slug`")?;
    let summary = head.lines().skip(1).map(str::trim).filter(|line| !line.is_empty()).collect::<Vec<_>>();
    let [summary] = summary.as_slice() else {
        return Err("one sentence, on one line, stands under the title".into());
    };
    if !summary.ends_with('.') {
        return Err("the sentence under the title ends with a full stop".into());
    }
    let titles: Vec<&str> = sections.iter().map(|(title, _)| *title).collect();
    let wanted = [WHY, HURTS, CAUGHT, CORRECTED, USUAL_FIX, SOURCE];
    let may_lack = [HURTS, SOURCE];
    if !wanted.iter().filter(|title| titles.contains(title) || !may_lack.contains(title)).eq(&titles) {
        return Err(format!(
            "the sections are {wanted:?}, without those of {may_lack:?} that do not hold; here {titles:?}"
        ));
    }
    let text = |wanted: &str| sections.iter().find(|(title, _)| *title == wanted).map(|(_, text)| text.trim());
    let said = |wanted: &str| text(wanted).filter(|text| !text.is_empty()).map(str::to_string);
    let example = |wanted: &str| {
        let prose = text(wanted).is_some_and(|text| text.starts_with(NOT_AS_TEXT));
        let shown = text(wanted).and_then(block).map(Example::of);
        shown.or_else(|| prose.then(Example::default)).ok_or(format!("`## {wanted}` has one ```fantail block"))
    };
    Ok(Page {
        slug: slug.trim().to_string(),
        summary: (*summary).to_string(),
        why: said(WHY).ok_or("`## Why` is empty")?,
        hurts: said(HURTS),
        caught: example(CAUGHT)?,
        corrected: example(CORRECTED)?,
        usual_fix: said(USUAL_FIX).ok_or("`## Usual fix` is empty")?,
        source: said(SOURCE),
    })
}

/// What stands before the first `##`, and each section's title and text. A `#` inside a block is no title.
fn split(page: &str) -> (String, Vec<(&str, String)>) {
    let (mut head, mut sections) = (String::new(), Vec::<(&str, String)>::new());
    let mut in_block = false;
    for line in page.lines() {
        in_block ^= line.starts_with("```");
        if let Some(title) = line.strip_prefix("## ").filter(|_| !in_block) {
            sections.push((title.trim(), String::new()));
            continue;
        }
        let text = sections.last_mut().map_or(&mut head, |(_, text)| text);
        text.push_str(line);
        text.push('\n');
    }
    (head, sections)
}

/// The text inside the one block of a section.
fn block(section: &str) -> Option<&str> {
    let (_, rest) = section.split_once("```fantail\n")?;
    let (block, after) = rest.split_once("```")?;
    (!block.trim().is_empty() && !after.contains("```")).then_some(block)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    const PAGE: &str = "# some-rule\n\nA sentence.\n\n## Why\n\nBecause.\n\n## Example that it catches\n\n```fantail\n\
        # file: rig.fantail\ndesk foh\n# file: show.fantail\ninclude \"rig.fantail\"\n```\n\n## Corrected\n\n\
        ```fantail\n## a comment\ndesk foh\n```\n\n## Usual fix\n\nDo.\n";

    #[test]
    fn a_page_comes_apart() {
        let page = parse(PAGE).unwrap();
        assert_eq!(
            (page.slug.as_str(), page.summary.as_str(), page.why.as_str()),
            ("some-rule", "A sentence.", "Because.")
        );
        let names: Vec<_> = page.caught.files.iter().map(|file| file.name.as_str()).collect();
        assert_eq!(names, ["rig.fantail", "show.fantail"]);
        assert_eq!(page.caught.root().unwrap().text, "include \"rig.fantail\"\n");
        assert_eq!(page.corrected.files[0].text, "## a comment\ndesk foh\n");
        assert_eq!((page.hurts, page.source), (None, None));
        let hurts = PAGE.replace("## Example", "## What it can hurt\n\nEars.\n\n## Example");
        assert_eq!(parse(&hurts).unwrap().hurts.as_deref(), Some("Ears."));
    }

    #[test]
    fn what_is_missing_is_said() {
        assert!(parse(&PAGE.replace("## Usual fix\n\nDo.\n", "")).unwrap_err().contains("Usual fix"));
        assert!(parse(&PAGE.replace("A sentence.", "A sentence")).unwrap_err().contains("full stop"));
        assert!(parse(&PAGE.replace("```fantail", "```")).unwrap_err().contains("block"));
        assert!(parse("").is_err());
    }
}

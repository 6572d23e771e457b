//! The same text with its rows and statements in another order. Rows inside a model keep theirs: there
//! the order says which bank comes first.

use crate::dice::Dice;

/// A text of statements, each on its line or with a block of lines, shuffled, the same way each time.
pub fn shuffled(text: &str, seed: u64) -> String {
    let mut dice = Dice(seed);
    let (head, body): (Vec<&str>, Vec<&str>) = text.lines().partition(|line| line.starts_with("fantail "));
    let mut out = head.iter().map(|line| format!("{line}\n")).collect::<String>();
    statements(&body, &mut dice, &mut out);
    out
}

fn code(line: &str) -> &str {
    line.split('#').next().unwrap_or("").trim()
}

fn statements(lines: &[&str], dice: &mut Dice, out: &mut String) {
    let mut chunks: Vec<Vec<&str>> = Vec::new();
    let (mut depth, mut goes_on) = (0i32, false);
    for line in lines {
        let code = code(line);
        match chunks.last_mut() {
            Some(chunk) if depth > 0 || goes_on => chunk.push(line),
            _ => chunks.push(vec![line]),
        }
        depth += code.matches('{').count() as i32 - code.matches('}').count() as i32;
        goes_on = code.ends_with(',');
    }
    for at in (1..chunks.len()).rev() {
        chunks.swap(at, dice.below(at as u32 + 1) as usize);
    }
    for chunk in chunks {
        chunk_out(&chunk, dice, out);
    }
}

fn chunk_out(chunk: &[&str], dice: &mut Dice, out: &mut String) {
    let opens = chunk.first().is_some_and(|first| code(first).ends_with('{') && !code(first).starts_with("model "));
    match chunk {
        [first, inner @ .., last] if opens && code(last) == "}" => {
            out.push_str(&format!("{first}\n"));
            statements(inner, dice, out);
            out.push_str(&format!("{last}\n"));
        }
        lines => lines.iter().for_each(|line| out.push_str(&format!("{line}\n"))),
    }
}

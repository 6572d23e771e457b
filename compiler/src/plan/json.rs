//! The plan as JSON, laid out so that a changed setting is a changed line: what fits on a line stands on
//! one, a list of objects has a line for each. Decides nothing but the layout.

use super::data::Plan;
use serde_json::Value;

/// No line is broken that is not longer than this, nor any object that holds plain values only.
const WIDTH: usize = 120;

/// The plan with these diagnostics in it, ending in a newline. Keys stand in the order of the format.
pub fn json(plan: &Plan, diagnostics: &[Value]) -> String {
    let plan = Plan { diagnostics: diagnostics.to_vec(), ..plan.clone() };
    let mut out = lay_out(&serde_json::to_string(&plan).unwrap_or_default());
    out.push('\n');
    out
}

/// Lays compact JSON out. The input must be JSON without blanks between its parts.
pub(super) fn lay_out(compact: &str) -> String {
    let mut out = String::with_capacity(compact.len() * 2);
    value(compact, 0, 0, &mut out);
    out
}

/// Writes one value that starts `column` columns in, its inner lines `indent` blanks in.
fn value(text: &str, indent: usize, column: usize, out: &mut String) {
    let brackets = match text.as_bytes().first() {
        Some(b'[') => ("[", "]"),
        Some(b'{') => ("{", "}"),
        _ => return out.push_str(text),
    };
    let inner = text.get(1..text.len().saturating_sub(1)).unwrap_or_default();
    let parts = split(inner);
    let of_objects = brackets.0 == "[" && parts.first().is_some_and(|part| part.starts_with('{'));
    let line = on_one_line(brackets, &parts);
    let nested = |part: &&str| key_of(brackets, part).1.starts_with(['[', '{']);
    let flat = brackets.0 == "{" && !parts.iter().any(nested);
    // One column for the comma that may follow.
    let fits = flat || column + line.chars().count() < WIDTH;
    if parts.is_empty() || (indent > 0 && !of_objects && fits) {
        return out.push_str(&line);
    }
    out.push_str(brackets.0);
    for (at, part) in parts.iter().enumerate() {
        out.push_str(if at == 0 { "\n" } else { ",\n" });
        out.push_str(&" ".repeat(indent + 2));
        let (key, rest) = key_of(brackets, part);
        let key = key.map(|key| format!("{key}: ")).unwrap_or_default();
        out.push_str(&key);
        value(rest, indent + 2, indent + 2 + key.chars().count(), out);
    }
    out.push('\n');
    out.push_str(&" ".repeat(indent));
    out.push_str(brackets.1);
}

fn on_one_line(brackets: (&str, &str), parts: &[&str]) -> String {
    let one = |part: &&str| {
        let (key, rest) = key_of(brackets, part);
        let mut out = key.map(|key| format!("{key}: ")).unwrap_or_default();
        let inner = |open, close| {
            on_one_line((open, close), &split(rest.get(1..rest.len().saturating_sub(1)).unwrap_or_default()))
        };
        match rest.as_bytes().first() {
            Some(b'[') => out.push_str(&inner("[", "]")),
            Some(b'{') => out.push_str(&inner("{", "}")),
            _ => out.push_str(rest),
        }
        out
    };
    format!("{}{}{}", brackets.0, parts.iter().map(one).collect::<Vec<_>>().join(", "), brackets.1)
}

/// `"key"` and what follows its colon, inside an object.
fn key_of<'t>(brackets: (&str, &str), part: &'t str) -> (Option<&'t str>, &'t str) {
    if brackets.0 != "{" {
        return (None, part);
    }
    let colon = cuts(part, b':').next();
    match colon.and_then(|at| Some((part.get(..at)?, part.get(at + 1..)?))) {
        Some((key, rest)) => (Some(key), rest),
        None => (None, part),
    }
}

/// The parts between the commas that belong to no inner bracket or text.
fn split(inner: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut start = 0;
    for at in cuts(inner, b',').chain(std::iter::once(inner.len())) {
        parts.extend(inner.get(start..at).filter(|part| !part.is_empty()));
        start = at + 1;
    }
    parts
}

/// Where a byte stands outside all brackets and texts.
fn cuts(text: &str, wanted: u8) -> impl Iterator<Item = usize> + '_ {
    let (mut depth, mut quoted, mut escaped) = (0usize, false, false);
    text.bytes().enumerate().filter_map(move |(at, byte)| {
        if quoted {
            quoted = escaped || byte != b'"';
            escaped = !escaped && byte == b'\\';
            return None;
        }
        match byte {
            b'"' => quoted = true,
            b'[' | b'{' => depth += 1,
            b']' | b'}' => depth = depth.saturating_sub(1),
            _ => return (depth == 0 && byte == wanted).then_some(at),
        }
        None
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
    use super::*;

    #[test]
    fn the_layout_changes_no_value() {
        let text = r#"{"a":[{"b":"x, \"y\": {","c":[1,2]},{"b":"\\","c":[]}],"d":{},"e":null,"f":"ü"}"#;
        let laid = lay_out(text);
        let parse = |t: &str| serde_json::from_str::<Value>(t).unwrap();
        assert_eq!(parse(&laid), parse(text));
        assert_eq!(
            laid,
            "{\n  \"a\": [\n    {\"b\": \"x, \\\"y\\\": {\", \"c\": [1, 2]},\n    {\"b\": \"\\\\\", \"c\": []}\n  ],\n  \
             \"d\": {},\n  \"e\": null,\n  \"f\": \"ü\"\n}"
        );
    }

    #[test]
    fn a_plan_comes_back_as_it_was() {
        let plan = Plan { fantail: 1, rate_hz: 48000, ..Plan::default() };
        assert_eq!(serde_json::from_str::<Plan>(&json(&plan, &[])).unwrap(), plan);
    }
}

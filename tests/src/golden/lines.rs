//! What a compilation made, as lines for a golden page: settings, plugs, signals, diagnostics. What the
//! page leaves out (a message, a path) is left out here too, so that a page says as much as it wants.

use fantail::Compiled;
use fantail::diagnostics::{Diagnostic, Severity};
use fantail::plan::{Plan, Plug, PowerStep, Powered, Setting, Signal};

/// All settings of a plan, one a line; neighbours that go one by one stand together.
pub fn settings(plan: &Plan) -> String {
    let mut out = String::new();
    list(&plan.settings, "", &mut out);
    for act in plan.acts.iter().filter(|act| !act.settings.is_empty()) {
        out.push_str(&format!("act {}\n", act.act));
        list(&act.settings, "  ", &mut out);
    }
    out
}

fn list(settings: &[Setting], indent: &str, out: &mut String) {
    let mut rest = settings;
    while let Some(first) = rest.first() {
        let run = 1 + rest.windows(2).take_while(|pair| follows(&pair[0], &pair[1])).count();
        out.push_str(&format!("{indent}{}\n", line(first, &rest[run - 1])));
        rest = &rest[run..];
    }
}

fn follows(a: &Setting, b: &Setting) -> bool {
    let one = |s: &Setting| s.first.is_some() && s.first == s.last;
    let beside = one(a) && one(b) && b.first == a.first.map(|n| n + 1);
    let same = (&a.device, &a.set, &a.bank, &a.value, &a.owner) == (&b.device, &b.set, &b.bank, &b.value, &b.owner);
    beside
        && same
        && match (split(a.from.as_deref()), split(b.from.as_deref())) {
            (None, None) => true,
            (Some((a, m)), Some((b, n))) => a == b && n == m + 1,
            _ => false,
        }
}

fn split(from: Option<&str>) -> Option<(&str, u32)> {
    let (bank, number) = from?.rsplit_once(' ')?;
    Some((bank, number.parse().ok()?))
}

fn line(first: &Setting, last: &Setting) -> String {
    let Setting { device, set, bank, .. } = first;
    let numbers = match (first.first, last.last) {
        (Some(a), Some(b)) if a == b => format!(" {a}"),
        (Some(a), Some(b)) => format!(" {a}-{b}"),
        _ => String::new(),
    };
    let one_by_one = if first == last { "" } else { " one by one" };
    let owner = first.owner.as_ref().map(|owner| format!(" by {owner}")).unwrap_or_default();
    let value = first.value.as_ref().map(|value| value.to_string().replace('"', "")).unwrap_or_default();
    match set.as_str() {
        "route" => {
            let from = first.from.clone().unwrap_or_default();
            let to = match (first == last, split(first.from.as_deref()), split(last.from.as_deref())) {
                (false, Some((bank, a)), Some((_, b))) => format!("{bank} {a}-{b}"),
                _ => from,
            };
            format!("{device} {bank}{numbers} from {to}{one_by_one}")
        }
        "phantom" | "pad" => {
            let off = if value == "true" { "" } else { " off" };
            format!("{device} {set} {bank}{numbers}{one_by_one}{off}{owner}")
        }
        _ => format!("{device} {set} {bank}{numbers} {value}{one_by_one}{owner}"),
    }
}

/// Every change with where its value came from.
pub fn changes(plan: &Plan) -> String {
    let line = |change: &fantail::plan::Change| {
        let act = change.act.as_ref().map(|act| format!("act {act}: ")).unwrap_or_default();
        let was = change.was.as_deref().unwrap_or("nothing");
        let was_in = change.was_in.as_ref().map(|file| format!(" in {file}")).unwrap_or_default();
        format!("{act}{}: {} in {}, was {was}{was_in}\n", change.thing, change.now, change.now_in)
    };
    plan.changes.iter().map(line).collect()
}

/// The steps of switching on, with why each stands there.
pub fn power(plan: &Plan) -> String {
    let step = |step: &PowerStep| {
        let supply = |entry: &Powered| entry.supply.as_ref().map(|supply| format!(" ({supply})")).unwrap_or_default();
        let devices = step.devices.iter().map(|entry| format!("{}{}", entry.device, supply(entry)));
        let all: Vec<String> =
            step.sources.iter().cloned().chain(devices).chain(step.outputs.iter().cloned()).collect();
        format!("{}: {}\n", all.join(", "), step.why)
    };
    plan.power.iter().map(step).collect()
}

/// The plugs that the page lists; all of them where it lists none yet.
pub fn plugs(plan: &Plan, expected: &str) -> String {
    let line = |act: &str, plug: &Plug| format!("{act}{} at {}\n", plug.source, plug.at);
    let house = plan.plugs.iter().map(|plug| line("", plug));
    let acts = plan.acts.iter().flat_map(|act| {
        let prefix = format!("act {}: ", act.act);
        act.plugs.iter().map(move |plug| line(&prefix, plug))
    });
    let named = |line: &String| {
        let head = |line: &str| line.split(" at ").next().map(str::to_string);
        expected.is_empty() || expected.lines().any(|known| head(known) == head(line))
    };
    house.chain(acts).filter(named).collect()
}

/// The signals that the page lists, as fully as it lists them; all, with paths, where it lists none yet.
pub fn signals(plan: &Plan, expected: &str) -> String {
    if expected.is_empty() {
        let house = plan.signals.iter().map(|signal| ends("", signal, true));
        let acts = plan.acts.iter().flat_map(|act| {
            let prefix = format!("act {}: ", act.act);
            act.signals.iter().map(move |signal| ends(&prefix, signal, true))
        });
        return house.chain(acts).collect();
    }
    let mut out = String::new();
    for line in expected.lines() {
        let head = line.split(" -> ").next().unwrap_or(line);
        let (act, source) = match head.strip_prefix("act ").and_then(|rest| rest.split_once(": ")) {
            Some((act, source)) => (Some(act), source),
            None => (None, head),
        };
        let own = plan.acts.iter().filter(|one| Some(one.act.as_str()) == act).flat_map(|act| &act.signals);
        let found = own.chain(&plan.signals).find(|signal| signal.source == source);
        let prefix = act.map(|act| format!("act {act}: ")).unwrap_or_default();
        match found {
            Some(signal) => out.push_str(&ends(&prefix, signal, line.contains('['))),
            None => out.push_str(&format!("{prefix}{source} -> nothing\n")),
        }
    }
    out
}

fn ends(prefix: &str, signal: &Signal, paths: bool) -> String {
    let end = |end: &fantail::plan::End| {
        let name = if end.asked { end.end.clone() } else { format!("({})", end.end) };
        let way = &end.path[..end.path.len().saturating_sub(1)];
        if paths { format!("{name} [{}]", way.join(", ")) } else { name }
    };
    let ends: Vec<String> = signal.ends.iter().map(end).collect();
    format!("{prefix}{} -> {}\n", signal.source, ends.join(", "))
}

/// Diagnostics: severity, rule and place; the message, and indented below it the help, where the page
/// has them or has not met the diagnostic yet. Notes, which are off unless asked for, only where the
/// page has one.
pub fn diagnostics(compiled: &Compiled, root: &str, expected: &str) -> String {
    let mut known = known(expected);
    let mut out = String::new();
    let notes = expected.lines().any(|line| line.starts_with("note "));
    let shown = |diagnostic: &&Diagnostic| notes || diagnostic.severity != Severity::Note;
    for diagnostic in compiled.diagnostics.iter().filter(shown) {
        let head = head(compiled, root, diagnostic);
        let form = known.iter().position(|(line, ..)| *line == head).map(|index| known.remove(index));
        let (message, help) = form.map_or((true, diagnostic.is_error()), |(_, message, help)| (message, help));
        out.push_str(&head);
        if message {
            out.push_str(&format!(" {}", diagnostic.told()));
        }
        out.push('\n');
        for line in diagnostic.help.iter().filter(|_| help) {
            out.push_str(&format!("  help: {line}\n"));
        }
    }
    out
}

/// The heads that a page knows, each with whether it has a message and a help.
fn known(expected: &str) -> Vec<(String, bool, bool)> {
    let mut known: Vec<(String, bool, bool)> = Vec::new();
    for line in expected.lines() {
        if line.starts_with("  ") {
            known.last_mut().into_iter().for_each(|last| last.2 = true);
        } else {
            let words: Vec<&str> = line.splitn(4, ' ').collect();
            known.push((words.iter().take(3).copied().collect::<Vec<_>>().join(" "), words.len() > 3, false));
        }
    }
    known
}

fn head(compiled: &Compiled, root: &str, diagnostic: &Diagnostic) -> String {
    let place = match compiled.sources.get(diagnostic.span.file) {
        Some(file) => {
            let at = file.lines.line_col(&file.text, diagnostic.span.start);
            let name = if file.name == root { String::new() } else { format!("{}:", file.name) };
            format!("{name}{}:{}", at.line, at.column)
        }
        None => "nowhere".to_string(),
    };
    format!("{} {} {place}", diagnostic.severity.word(), diagnostic.rule)
}

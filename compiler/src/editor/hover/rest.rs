//! Groups, acts and rules.

use super::{Part, line, table};
use crate::Compiled;
use crate::diagnostics::counted;
use crate::editor::ground::{scene, unproven, views};
use crate::editor::lens::differs;
use crate::plan::{View, act_name, changeover, clean};
use crate::rules::{find, page};
use crate::wants::{Speaker, Target};

/// A group as a row of `seen_from` sees it; `of` is the act that declares it.
pub(super) fn group(
    compiled: &Compiled,
    seen_from: Option<&str>,
    of: &Option<String>,
    name: &str,
) -> Option<(String, Vec<Part>)> {
    let act = of.as_deref().or(seen_from);
    let scene = scene(compiled, act)?;
    let (members, speaker) = scene.groups.get(name)?;
    let speaker: Speaker = *speaker;
    let targets = scene.targets(members, None, speaker, &mut Vec::new()).unwrap_or_default();
    let sources: Vec<&str> = targets
        .iter()
        .filter_map(|target| match target {
            Target::Source(source) => scene.source(*source).map(|source| source.name.as_str()),
            Target::Point(_) => None,
        })
        .collect();
    let mut parts = vec![line(format!("{}: {}", counted(sources.len(), "source"), sources.join(", ")))];
    if unproven(compiled).is_none() {
        let mut mixes: Vec<&str> = Vec::new();
        for (_, view) in views(&compiled.plan).iter().filter(|(of, _)| scene.act.as_deref() == *of) {
            let whole =
                view.mixes.iter().filter(|mix| sources.iter().all(|source| mix.of.iter().any(|of| of == source)));
            mixes.extend(whole.map(|mix| mix.mix.as_str()));
        }
        if !mixes.is_empty() && !sources.is_empty() {
            parts.push(line(format!("all of it goes into {}", mixes.join(", "))));
        }
    }
    Some((format!("group {name}"), parts))
}

pub(super) fn act(compiled: &Compiled, name: &str) -> Option<(String, Vec<Part>)> {
    let Some(act) = compiled.plan.acts.iter().find(|act| act.act == name) else {
        let declared = compiled.show.acts.iter().find(|act| act.name.value == name)?;
        let title = declared.title.as_ref().map(|title| format!(", \"{}\"", title.value)).unwrap_or_default();
        let parts = unproven(compiled).map(line).into_iter().collect();
        return Some((clean(&format!("act {name}{title}")), parts));
    };
    let mut parts = vec![line(differs(act))];
    let replaced = act.replaced.iter().map(|row| vec![row.source.clone(), "replaced by".to_string(), row.by.clone()]);
    parts.extend(table("", replaced.collect()));
    let off = changeover(&compiled.plan, act, View::any(&compiled.plan).all_devices(), 0);
    parts.extend(off.lines().map(|off| line(off.trim())));
    Some((clean(&format!("act {}", act_name(act))), parts))
}

/// What the rule's page says first.
pub(super) fn rule(name: &str) -> Option<(String, Vec<Part>)> {
    let rule = find(name)?;
    let severity = match rule.severity {
        crate::diagnostics::Severity::Error => "error",
        crate::diagnostics::Severity::Warning => "warning",
        crate::diagnostics::Severity::Note => "note",
    };
    let mut parts = vec![line(rule.summary())];
    if let Ok(page) = page::parse(rule.page) {
        let why = page.why.split("\n\n").next().unwrap_or_default();
        let hurts = page.hurts.map(|hurts| format!("{}: {hurts}", crate::diagnostics::CAN_HURT));
        let said = [why.to_string()].into_iter().chain(hurts);
        parts.extend(said.map(|text| line(text.split_whitespace().collect::<Vec<_>>().join(" "))));
    }
    Some((format!("{} {}, {severity}", rule.code, rule.slug), parts))
}

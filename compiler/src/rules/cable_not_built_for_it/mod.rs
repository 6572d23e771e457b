//! A cable is said that is not built as its carrier asks. Where no cable is said, nothing is known of it.

use crate::diagnostics::{Diagnostic, Edit, Rule, Severity};
use crate::rig::{Cable, Rig, UsedAs};
use crate::rules::Facts;
use crate::source::Span;

pub const RULE: Rule = Rule {
    slug: "cable-not-built-for-it",
    code: "C044",
    severity: Severity::Warning,
    prerequisites: &[],
    page: include_str!("rule.md"),
};

pub fn check(facts: &Facts) -> Vec<Diagnostic> {
    facts.each_scene(|seen| {
        // A redundant cable is said in the words of the main one.
        let laid = seen.rig.cables.iter().filter(|cable| cable.used_as == UsedAs::Main);
        laid.filter_map(|cable| told(seen.rig, cable)).collect()
    })
}

fn told(rig: &Rig, cable: &Cable) -> Option<Diagnostic> {
    let (said, carrier) = (cable.said.as_ref()?, rig.library.carrier(&cable.carrier)?);
    let asked = [("screened", carrier.screened && !said.screened), ("locking", carrier.locking && !said.locking)];
    let missing: Vec<&str> = asked.into_iter().filter(|(_, missing)| *missing).map(|(word, _)| word).collect();
    if missing.is_empty() {
        return None;
    }
    let (first, last) = (said.lengths.first()?.span, said.lengths.last()?.span);
    let (from, to) = (rig.port_text(cable.from), rig.port_text(cable.to));
    let message = format!(
        "the cable from `{from}` to `{to}` is not said to be {}, as {} wants it",
        missing.join(" and "),
        cable.carrier
    );
    let words = missing.join(" ");
    let edit = Edit { span: Span { start: last.end, ..last }, text: format!(" {words}") };
    Some(
        Diagnostic::warning(RULE.slug, first.to(last), message)
            .help(format!("use one that is, and say `{words}` after its length"))
            .fix(format!("say `{words}`, where the cable is"), vec![edit], false)
            .about(rig.device_name(cable.to.device).to_string()),
    )
}

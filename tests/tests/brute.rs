//! Small random rigs against brute force: is there a solution, and which is the first? `FANTAIL_RIGS` says
//! how many rigs, `FANTAIL_SEED` the first seed.

use fantail::diagnostics::Diagnostic;
use fantail::plan::{Plan, Setting};
use fantail::project::InMemory;
use fantail::{Compiled, compile};
use fantail_tests::brute::{Answer, Settings, by_listing, by_trying, line};
use fantail_tests::grounds::ground;
use fantail_tests::small::{From, Row, Small, draw};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Steps that a search by trying may take.
const STEPS: u64 = 60_000;
/// Combinations that are listed in full.
const LISTED: u64 = 3_000;

/// Rules by which the router says that a want cannot hold.
const ROUTING: &[&str] = &[
    "impossible-block",
    "point-wanted-twice",
    "offsets-clash",
    "modes-clash",
    "slots-clash",
    "too-few-points",
    "kept-source-recorded",
    "no-way-there",
    "pin-in-the-way",
    "track-records-silence",
    "slot-past-the-link",
    "not-cabled",
    "driven-by-first-desk-only",
];

fn compiled(text: &str) -> Compiled {
    compile(Path::new("/small.fantail"), &InMemory::default().with("/small.fantail", text))
}

fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(usual)
}

/// What was drawn, solved and compared.
#[derive(Default)]
struct Counts {
    rigs: u64,
    skipped: u64,
    other_errors: BTreeMap<String, u64>,
    impossible: u64,
    listed: u64,
    has: BTreeMap<&'static str, u64>,
    used: BTreeMap<&'static str, u64>,
}

/// Rules that speak of a fixed setting alone.
const REFUSED: &[&str] = &["offset-on-reserved-slots", "pinned-past-the-limit"];

enum Verdict {
    Agrees { answer: Answer, listed: bool },
    Skipped,
    Broken(String),
    Differs(String),
}

fn judge(small: &Small) -> Verdict {
    let compiled = compiled(&small.text());
    let errors: Vec<&Diagnostic> = compiled.diagnostics.iter().filter(|d| d.is_error()).collect();
    if let Some(other) = errors.iter().find(|error| !ROUTING.contains(&error.rule)) {
        if ["plan-not-proven", "too-hard-to-route"].contains(&other.rule) {
            return Verdict::Differs(format!("{}: {}", other.rule, other.message));
        }
        return Verdict::Broken(format!("{}: {}", other.rule, other.message));
    }
    let grounds = ground(small, &compiled.plan);
    let tried = by_trying(&grounds, STEPS);
    let listed = by_listing(&grounds, LISTED);
    if tried != Answer::TooLarge && listed != Answer::TooLarge && tried != listed {
        return Verdict::Differs(format!("the two brute forces differ:\n{tried:#?}\n{listed:#?}"));
    }
    let whole = listed != Answer::TooLarge;
    let answer = if whole { listed } else { tried };
    match &answer {
        Answer::TooLarge => Verdict::Skipped,
        Answer::Impossible if errors.is_empty() => Verdict::Differs("brute force finds no solution".to_string()),
        Answer::Impossible => Verdict::Agrees { answer, listed: whole },
        Answer::First(_) if !errors.is_empty() => {
            let said: Vec<String> = errors.iter().map(|error| format!("{}: {}", error.rule, error.message)).collect();
            Verdict::Differs(format!("brute force finds a solution: {answer:#?}\nbut: {}", said.join("\n")))
        }
        Answer::First(first) => {
            let ours = planned(small, &compiled.plan);
            if ours == *first {
                return Verdict::Agrees { answer, listed: whole };
            }
            let more: Vec<_> = ours.difference(first).collect();
            let less: Vec<_> = first.difference(&ours).collect();
            Verdict::Differs(format!("only the compiler sets {more:#?}\nonly brute force sets {less:#?}"))
        }
    }
}

/// The plan's settings as brute force writes them.
fn planned(small: &Small, plan: &Plan) -> Settings {
    let mut lines = Settings::new();
    let scenes = small.acts.len().max(1);
    for scene in 0..scenes {
        let act = plan.acts.iter().find(|act| Some(&act.act) == small.acts.get(scene));
        let own = act.map_or(&[][..], |act| &act.settings);
        for setting in plan.settings.iter().chain(own) {
            lines.extend(said(scene, setting));
        }
        let plugs = plan.plugs.iter().chain(act.map_or(&[][..], |act| &act.plugs));
        for (of, row) in &small.rows {
            let Row::Input { name, from: From::Any(_), .. } = row else { continue };
            if of.is_some_and(|of| of != scene) {
                continue;
            }
            let full = of.map_or_else(|| name.clone(), |act| format!("{}.{name}", small.acts[act]));
            let plug = plugs.clone().find(|plug| plug.source == full);
            lines.extend(plug.map(|plug| line(scene, name, "plug", "", 0, 0, &plug.at)));
        }
    }
    lines
}

fn said(scene: usize, setting: &Setting) -> Option<String> {
    let value = match setting.set.as_str() {
        "route" => setting.from.clone()?,
        "offset" | "slot" => setting.value.as_ref()?.to_string(),
        "mode" => setting.value.as_ref()?.as_str()?.to_string(),
        _ => return None,
    };
    let (first, last) = (setting.first.unwrap_or(0), setting.last.unwrap_or(0));
    Some(line(scene, &setting.device, &setting.set, &setting.bank, first, last, &value))
}

/// Takes rows and fixed settings away while the two still differ.
fn shrunk(mut small: Small) -> Small {
    loop {
        let mut smaller = None;
        for at in 0..small.rows.len() {
            let mut less = small.clone();
            let (_, row) = less.rows.remove(at);
            if let Row::Input { name, .. } = &row {
                less.rows.retain(
                    |(_, other)| !matches!(other, Row::Again { name: of, .. } | Row::Keep { name: of } if of == name),
                );
            }
            if matches!(judge(&less), Verdict::Differs(_)) {
                smaller = Some(less);
                break;
            }
        }
        for at in 0..small.fixed.len() {
            let mut less = small.clone();
            less.fixed.remove(at);
            if smaller.is_none() && matches!(judge(&less), Verdict::Differs(_)) {
                smaller = Some(less);
            }
        }
        match smaller {
            Some(less) => small = less,
            None => return small,
        }
    }
}

fn kinds_used(first: &Settings, small: &Small) -> BTreeSet<&'static str> {
    let mut used = BTreeSet::new();
    let any = |part: &str| first.iter().any(|line| line.contains(part));
    if any(" route channel ") || any(" route track ") {
        used.insert(if small.has.contains("channel block") { "channel block" } else { "point" });
    }
    for (kind, part) in [
        ("point", " route out "),
        ("pick", ".pick "),
        ("named block", ".odd"),
        ("offset", " offset "),
        ("slot", " slot "),
        ("mode", " mode "),
        ("any", " plug "),
        ("reserved", " route personal "),
    ] {
        if any(part) {
            used.insert(kind);
        }
    }
    if first.iter().any(|line| line.contains("d1 route portB ") || line.contains("d2 route portB ")) {
        used.insert("link between desks");
    }
    for kind in ["act", "at most", "set", "snake"] {
        if small.has.contains(kind) {
            used.insert(kind);
        }
    }
    used.retain(|kind| small.has.contains(kind));
    used
}

#[test]
fn brute_force_agrees() {
    let rigs = number("FANTAIL_RIGS", 300);
    let start = number("FANTAIL_SEED", 1);
    let mut counts = Counts::default();
    let mut failures = Vec::new();
    for seed in start..start + rigs {
        let small = draw(seed);
        match judge(&small) {
            Verdict::Skipped => counts.skipped += 1,
            Verdict::Broken(why) => *counts.other_errors.entry(why).or_default() += 1,
            Verdict::Differs(_) => {
                let small = shrunk(small);
                let Verdict::Differs(why) = judge(&small) else { continue };
                failures.push(format!("seed {seed}: {why}\n{}", small.text()));
                if failures.len() >= number("FANTAIL_FAILURES", 3) as usize {
                    break;
                }
            }
            Verdict::Agrees { answer, listed } => {
                counts.rigs += 1;
                counts.listed += u64::from(listed);
                counts.impossible += u64::from(answer == Answer::Impossible);
                for kind in &small.has {
                    *counts.has.entry(kind).or_default() += 1;
                }
                if let Answer::First(first) = &answer {
                    for kind in kinds_used(first, &small) {
                        *counts.used.entry(kind).or_default() += 1;
                    }
                }
            }
        }
    }
    counts.print();

    assert!(failures.is_empty(), "{}", failures.join("\n\n"));
    let part = counts.impossible * 100 / counts.rigs.max(1);
    assert!((30..=70).contains(&part), "{part} % of the rigs have no solution");
    // What the user fixed against a model is refused before anything is searched.
    counts.other_errors.retain(|why, _| !REFUSED.iter().any(|slug| why.starts_with(slug)));
    assert!(counts.other_errors.is_empty(), "rigs with errors of other kinds: {:#?}", counts.other_errors);
    assert!(counts.skipped * 10 <= rigs, "{} of {rigs} rigs were too large", counts.skipped);
    if rigs >= 300 {
        for (kind, had) in &counts.has {
            assert!(
                counts.used.get(kind).is_some_and(|used| *used > 0),
                "no first solution uses {kind}, of {had} rigs"
            );
        }
    }
}

impl Counts {
    fn print(&self) {
        println!(
            "{} rigs agree, {} of them impossible ({} %), {} listed in full; {} skipped as too large; {} with other errors",
            self.rigs,
            self.impossible,
            self.impossible * 100 / self.rigs.max(1),
            self.listed,
            self.skipped,
            self.other_errors.values().sum::<u64>(),
        );
        for (kind, had) in &self.has {
            println!(
                "  {kind}: {had} rigs had it, the first solution of {} used it",
                self.used.get(kind).unwrap_or(&0)
            );
        }
    }
}

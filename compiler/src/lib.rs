//! The fantail compiler: a show's patch as text in, a proven routing plan out.
//!
//! Data runs one way: text → rows → declarations → rig and wants → settings → plan → verified plan →
//! sheets.
//! A phase returns what it could make of its input and what it has to say about it, and never fails.

pub mod advice;
pub mod at_once;
pub mod compare;
pub mod diagnostics;
pub mod draft;
pub mod editor;
pub mod merge;
pub mod parts;
pub mod plan;
pub mod project;
pub mod quantity;
pub mod rig;
pub mod route;
pub mod rules;
pub mod sheets;
pub mod source;
pub mod syntax;
pub mod verify;
pub mod wants;

use diagnostics::Diagnostic;
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

/// Everything that one compilation made.
pub struct Compiled {
    pub sources: source::Sources,
    /// What each file says, as it was read; the library's too.
    pub parsed: BTreeMap<source::FileId, Arc<syntax::Parsed>>,
    /// Every include that was followed.
    pub includes: Vec<project::Include>,
    pub root: source::FileId,
    pub show: project::Show,
    /// The house, or each act.
    pub scenes: Vec<wants::Scene>,
    /// With errors its lists of settings, plugs, signals and acts are empty.
    pub plan: plan::Plan,
    /// What the rows asked of the plan.
    pub wanted: Vec<plan::Wanted>,
    /// In order of files and places; what is allowed has been taken out.
    pub diagnostics: Vec<Diagnostic>,
    /// The root itself could not be read: nothing was compiled.
    pub root_unread: bool,
}

impl Compiled {
    /// Where each thing of the plan is said.
    pub fn origins(&self) -> plan::Origins {
        draft::origins(&self.show, &self.scenes, &self.sources)
    }

    pub fn has_errors(&self) -> bool {
        self.diagnostics.iter().any(Diagnostic::is_error)
    }
}

/// Compiles the show whose root file is `root`. `files` is all that is read.
pub fn compile(root: &Path, files: &dyn project::Files) -> Compiled {
    let mut analysis = analyse(root, files);
    advice::advise(root, files, &mut analysis);
    finished(analysis)
}

/// Takes out what is allowed, and the plan where something is wrong.
fn finished(analysis: Analysis) -> Compiled {
    let Analysis { project, show, scenes, mut plan, wanted, found, .. } = analysis;
    let (mut diagnostics, allowed) = rules::allow::apply(&show.allows, found);
    plan.allowed = allowed;
    diagnostics::sort(&mut diagnostics);
    if diagnostics.iter().any(Diagnostic::is_error) {
        plan.withhold();
    }
    let project::Project { sources, parsed, includes, root, root_unread, .. } = project;
    Compiled { sources, parsed, includes, root, root_unread, show, scenes, plan, wanted, diagnostics }
}

/// A compilation before advice is sought and anything is allowed.
pub struct Analysis {
    pub project: project::Project,
    pub show: project::Show,
    pub scenes: Vec<wants::Scene>,
    pub solution: route::Solution,
    pub plan: plan::Plan,
    pub wanted: Vec<plan::Wanted>,
    pub found: Vec<Diagnostic>,
    /// Which of `found` are conflicts of rows, and of which.
    pub told: Vec<(usize, Vec<route::Unit>)>,
}

/// Everything but advice: from text to the verified plan.
pub fn analyse(root: &Path, files: &dyn project::Files) -> Analysis {
    analyse_with(root, files, &route::Effort::default())
}

fn analyse_with(root: &Path, files: &dyn project::Files, effort: &route::Effort) -> Analysis {
    let (project, mut loaded) = project::load(root, files);
    let alone = pass(project, loaded.clone(), effort);
    let Some(part) = rules::part_of_a_show::told(&alone.show, &alone.found) else { return alone };
    // What a part of a show misses is told as one, and as quietly as where a file is missing.
    loaded.push(part);
    let mut analysis = pass(project::Project { incomplete: true, ..alone.project }, loaded, effort);
    analysis.found.extend(rules::part_of_a_show::slips(alone.found));
    analysis
}

/// The phases in order, over files that are read.
fn pass(project: project::Project, found: Vec<Diagnostic>, effort: &route::Effort) -> Analysis {
    let mut analysis = unchecked(project, found, effort);
    // With rows left out on trial the plan is not what was wanted, and proves nothing.
    if effort.without.is_empty() {
        analysis.found.extend(analysis.not_proven());
        let checked = rules::check(&analysis.facts(), &analysis.found);
        analysis.found.extend(checked);
    }
    let kept = diagnostics::names_once(&mut analysis.found);
    for (index, _) in &mut analysis.told {
        *index = kept.partition_point(|before| before < index);
    }
    analysis
}

/// The same without the proof and the checks of the finished plan, and one name told as often as it is missed.
fn unchecked(project: project::Project, mut found: Vec<Diagnostic>, effort: &route::Effort) -> Analysis {
    let (show, gathered) = project::gather(&project);
    found.extend(gathered);
    let (scenes, read) = scenes(&show);
    found.extend(read);
    let mut solution = route::route(&scenes, effort, &mut found);
    let mut told: Vec<(usize, Vec<route::Unit>)> = Vec::new();
    for (diagnostic, units) in route::report(&scenes, &solution) {
        if !units.is_empty() {
            told.push((found.len(), units));
        }
        found.push(diagnostic);
    }
    let mut plan = draft::draft(&show, &scenes, &mut solution);
    plan.changes = draft::changes(&show, &project.sources);
    found.extend(draft::silences(&scenes, &solution));
    let wanted = draft::wanted(&show, &scenes, &solution);
    Analysis { project, show, scenes, solution, plan, wanted, found, told }
}

impl Analysis {
    /// What the second evaluator sees otherwise; with errors there is nothing to prove.
    fn not_proven(&self) -> Vec<Diagnostic> {
        match self.found.iter().any(Diagnostic::is_error) {
            true => Vec::new(),
            false => rules::bug::differences(&self.show, &verify::verify(&self.plan, &self.wanted)),
        }
    }

    fn facts(&self) -> rules::Facts<'_> {
        rules::Facts::new(&self.show, &self.scenes, &self.solution, &self.plan, &self.found)
    }
}

/// The house, or every act with the house's rows, each with its rig and wants.
fn scenes(show: &project::Show) -> (Vec<wants::Scene>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let gear = rig::Gear::of(show, &mut found);
    let patches: Vec<(Option<&str>, &project::Patch)> = if show.acts.is_empty() {
        vec![(None, &show.house)]
    } else {
        show.acts.iter().map(|act| (Some(act.name.value.as_str()), &act.patch)).collect()
    };
    let of_acts = Arc::new(wants::of_acts(show));
    let mut per_scene = Vec::new();
    let mut scenes = Vec::new();
    for (act, patch) in patches {
        let mut said = Vec::new();
        let rig = rig::build(show, &gear, patch, act, &mut said);
        scenes.push(wants::scene(show, patch, rig, &of_acts, &mut said));
        per_scene.push((act, said));
    }
    found.extend(diagnostics::merge_acts(per_scene));
    if show.incomplete {
        // What a file that could not be read may well declare: the file is told, not every row that uses it.
        found.retain(|told| !told.may_stand_elsewhere());
    }
    (scenes, found)
}

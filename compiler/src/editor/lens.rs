//! A line above a device, a list or an act: how much is in use, what stays spare, what differs. Nothing
//! without a proven plan.

use super::ground::{act_of_file, scene, unproven, views};
use super::used::{self, Used};
use crate::Compiled;
use crate::diagnostics::counted;
use crate::plan::{Act, Role, Usage, View};
use crate::source::{FileId, Span};
use crate::syntax::ast::{Name, Statement, StatementKind};

/// A line above a statement.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Lens {
    /// Of the statement's word.
    pub span: Span,
    pub title: String,
}

/// The lines of a file, in order.
pub fn lenses(compiled: &Compiled, file: FileId) -> Vec<Lens> {
    let Some(parsed) = compiled.parsed.get(&file).filter(|_| unproven(compiled).is_none()) else { return Vec::new() };
    let any = View::any(&compiled.plan);
    let usage = Usage::of(&any);
    let mut lenses = Lenses { compiled, usage, any, acts: views(&compiled.plan), lenses: Vec::new() };
    lenses.statements(&parsed.statements, act_of_file(compiled, file));
    lenses.lenses
}

struct Lenses<'c> {
    compiled: &'c Compiled,
    /// In any act.
    usage: Usage,
    any: View<'c>,
    /// The house, or every act.
    acts: Vec<(Option<&'c str>, View<'c>)>,
    lenses: Vec<Lens>,
}

impl<'c> Lenses<'c> {
    fn statements(&mut self, statements: &'c [Statement], act: Option<&str>) {
        for statement in statements {
            let titles = match &statement.kind {
                StatementKind::Device(device) => self.device(&device.name.value, act),
                StatementKind::Inputs { desk, .. } => self.list(desk.as_ref(), act, "channel"),
                StatementKind::Record { desk, .. } => self.list(desk.as_ref(), act, "track"),
                StatementKind::Personal { desk, .. } => self.list(desk.as_ref(), act, "personal"),
                StatementKind::Outputs { desk, .. } => self.mixes(desk.as_ref(), act),
                StatementKind::Act(own) => self.act(&own.name.value),
                _ => Vec::new(),
            };
            if !titles.is_empty() {
                self.lenses.push(Lens { span: statement.word, title: titles.join(" · ") });
            }
            if let StatementKind::Act(own) = &statement.kind {
                self.statements(&own.statements, Some(&own.name.value));
            }
        }
    }

    /// What holds where a row of this act stands.
    fn view(&self, act: Option<&str>) -> &View<'c> {
        let own = self.acts.iter().find(|(known, _)| act.is_some() && *known == act);
        own.map_or(&self.any, |(_, view)| view)
    }

    fn device(&self, name: &str, act: Option<&str>) -> Vec<String> {
        let view = self.view(act);
        view.device(name).map(|device| in_use(view, &self.usage, device)).unwrap_or_default()
    }

    fn desk(&self, desk: Option<&Name>, act: Option<&str>) -> Option<&'c str> {
        let rig = &scene(self.compiled, act)?.rig;
        let desk = desk.map_or_else(|| rig.only_desk(), |name| rig.device_named(&name.value))?;
        Some(rig.device_name(desk))
    }

    /// How many numbers of a bank the rows of all such lists use.
    fn list(&self, desk: Option<&Name>, act: Option<&str>, bank: &str) -> Vec<String> {
        let view = self.view(act);
        let Some(desk) = self.desk(desk, act) else { return Vec::new() };
        let size = bank_size(view, desk, bank);
        numbers(used::ends(view, desk, bank).len(), size).text(&format!("{bank}s")).into_iter().collect()
    }

    fn mixes(&self, desk: Option<&Name>, act: Option<&str>) -> Vec<String> {
        let view = self.view(act);
        let Some(desk) = self.desk(desk, act) else { return Vec::new() };
        let banks = view.wiring(desk).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
        let sent = banks.iter().filter(|bank| bank.role == Role::Origin).filter_map(|bank| {
            let used = used::sent(view, desk, &bank.bank).len();
            numbers(used, bank.size).text(&bank.bank).filter(|_| used > 0)
        });
        sent.collect()
    }

    fn act(&self, name: &str) -> Vec<String> {
        let own = self.compiled.plan.acts.iter().find(|act| act.act == name);
        own.map(differs).into_iter().collect()
    }
}

/// `inputs 14 of 16 used, 2 spare`, then the same of outputs.
pub(super) fn in_use(view: &View, usage: &Usage, device: &crate::plan::Device) -> Vec<String> {
    let inputs = used::inputs(view, usage, device).text("inputs");
    inputs.into_iter().chain(used::outputs(view, usage, device).text("outputs")).collect()
}

fn numbers(used: usize, of: u32) -> Used {
    Used { used: u32::try_from(used).unwrap_or(of), lines: 0, of }
}

fn bank_size(view: &View, device: &str, bank: &str) -> u32 {
    let banks = view.wiring(device).map(|wiring| wiring.banks.as_slice()).unwrap_or_default();
    banks.iter().find(|known| known.bank == bank).map_or(0, |bank| bank.size)
}

/// `4 plugs of its own, 2 rows of the house replaced, 6 settings differ`
pub(super) fn differs(act: &Act) -> String {
    let said = [
        (act.plugs.len(), "plug", "of its own"),
        (act.replaced.len(), "row", "of the house replaced"),
        (act.settings.len(), "setting", "of its own"),
        (act.mixes.len(), "list", "of what a mix carries of its own"),
    ];
    let said = said.iter().filter(|(count, ..)| *count > 0);
    let said: Vec<String> = said.map(|(count, noun, how)| format!("{} {how}", counted(*count, noun))).collect();
    if said.is_empty() { "nothing differs from the house".to_string() } else { said.join(" · ") }
}

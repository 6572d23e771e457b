//! Names found in small shows.

use super::{Index, Role, Symbol};
use crate::project::InMemory;
use crate::{Compiled, compile};
use std::path::Path;

fn compiled(text: &str) -> Compiled {
    let files = InMemory::default().with("show.fantail", text);
    compile(Path::new("show.fantail"), &files)
}

/// Each name of the text with its symbol and role, in order.
fn said(text: &str) -> Vec<(String, Symbol, Role)> {
    let compiled = compiled(text);
    let index = Index::of(&compiled);
    let names = index.in_file(compiled.root).iter();
    names.map(|name| (compiled.sources.text_at(name.span).to_string(), name.symbol.clone(), name.role)).collect()
}

fn source(act: Option<&str>, name: &str) -> Symbol {
    Symbol::Source { act: act.map(str::to_string), name: name.to_string() }
}

fn part(model: &str, name: &str) -> Symbol {
    Symbol::Part { of: super::Owner::Model(model.to_string()), name: name.to_string() }
}

const SHOW: &str = "\
fantail 1
show \"Night Ferry\" at \"Quayside Hall\"
desk foh is desk-48
box stage is box-32x16 on foh.portA offset 1
inputs {
  1 kick boundary from stage 1 phantom
  2-3 keys di-active from stage 2-3 phantom stereo
}
group drums kick
outputs {
  mix 1 to stage 1 wedge of drums, keys.left
}
record all inputs but kick
act heron \"Heron\" {
  inputs {
    4 kick dynamic from stage 4
  }
  outputs {
    mix 2 to stage 2 wedge of kick, keys
  }
}
expect heron.kick reaches foh.channel 4
";

#[test]
fn every_name_is_what_the_language_takes_it_for() {
    let said = said(SHOW);
    let of = |name: &str| -> Vec<(Symbol, Role)> {
        said.iter().filter(|(text, ..)| text == name).map(|(_, symbol, role)| (symbol.clone(), *role)).collect()
    };
    let (house, own) = (source(None, "kick"), source(Some("heron"), "kick"));
    assert_eq!(
        of("kick"),
        [
            (house.clone(), Role::Declares),
            (house.clone(), Role::Uses),
            (house, Role::Uses),
            (own.clone(), Role::Declares),
            (own.clone(), Role::Uses),
            (own, Role::Uses),
        ]
    );
    assert_eq!(of("keys").len(), 3);
    assert_eq!(of("left"), [], "the side of a source is no name");
    assert_eq!(of("portA"), [(part("desk-48", "portA"), Role::Uses)]);
    assert_eq!(of("mix"), vec![(part("desk-48", "mix"), Role::Uses); 2]);
    assert_eq!(of("boundary"), [(Symbol::Kind("boundary".to_string()), Role::Uses)]);
    assert_eq!(of("stage").first(), Some(&(Symbol::Device("stage".to_string()), Role::Declares)));
    assert_eq!(of("stage").len(), 6);
    assert_eq!(
        of("heron"),
        [(Symbol::Act("heron".to_string()), Role::Declares), (Symbol::Act("heron".to_string()), Role::Uses)]
    );
}

#[test]
fn a_part_that_a_model_has_from_another_is_declared_there() {
    let text = "desk foh is desk-40-eights-pick\nset foh.channel 1-8 from foh.portA 1-8\n";
    let compiled = compiled(text);
    let index = Index::of(&compiled);
    let bank = index.at(compiled.root, 40).map(|name| name.symbol.clone());
    let declared: Vec<_> = bank.iter().flat_map(|symbol| index.declarations(symbol)).collect();
    assert_eq!(declared.len(), 1, "{bank:?}");
}

#[test]
fn a_cursor_at_the_end_of_a_name_is_in_it() {
    let compiled = compiled("desk foh is desk-48\n");
    let index = Index::of(&compiled);
    let at = |offset| index.at(compiled.root, offset).map(|name| name.symbol.name().to_string());
    assert_eq!((at(4), at(5), at(8), at(9)), (None, Some("foh".into()), Some("foh".into()), None));
}

#[test]
fn a_file_that_an_act_includes_is_the_acts() {
    let root = "fantail 1\nshow \"Night Ferry\"\ninclude \"rig.fantail\"\nact heron \"Heron\" {\n  include \"heron.fantail\"\n}\n";
    let rig = "desk foh is desk-48\ninputs {\n  1 kick dynamic from foh.local 1\n}\n";
    let own = "inputs {\n  1 kick dynamic from foh.local 2\n}\ngroup beat kick\n";
    let files = InMemory::default().with("show.fantail", root).with("rig.fantail", rig).with("heron.fantail", own);
    let compiled = compile(Path::new("show.fantail"), &files);
    let index = Index::of(&compiled);
    let places = |symbol: &Symbol| index.places(symbol).count();
    assert_eq!((places(&source(None, "kick")), places(&source(Some("heron"), "kick"))), (1, 2));
}

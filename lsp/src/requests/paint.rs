//! Semantic tokens: whole, a part, or what differs from those sent before.

use crate::world::World;
use fantail::editor::paint::{Paint, Painted, paint};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use tower_lsp::lsp_types::*;

/// The protocol's names, in the order of `Paint::ALL`.
fn token_type(paint: Paint) -> SemanticTokenType {
    match paint {
        Paint::Word => SemanticTokenType::KEYWORD,
        Paint::Text => SemanticTokenType::STRING,
        Paint::Number => SemanticTokenType::NUMBER,
        Paint::Comment => SemanticTokenType::COMMENT,
        Paint::Device => SemanticTokenType::NAMESPACE,
        Paint::Source => SemanticTokenType::VARIABLE,
        Paint::Group => SemanticTokenType::FUNCTION,
        Paint::Act => SemanticTokenType::EVENT,
        Paint::Model => SemanticTokenType::CLASS,
        Paint::Part => SemanticTokenType::PROPERTY,
        Paint::Kind => SemanticTokenType::ENUM_MEMBER,
        Paint::Rule => SemanticTokenType::DECORATOR,
    }
}

const DECLARES: u32 = 1;
const CHANGES: u32 = 2;

pub fn legend() -> SemanticTokensLegend {
    SemanticTokensLegend {
        token_types: Paint::ALL.iter().map(|paint| token_type(*paint)).collect(),
        token_modifiers: vec![SemanticTokenModifier::DECLARATION, SemanticTokenModifier::MODIFICATION],
    }
}

/// The tokens last sent for each file, with the number they went by.
#[derive(Clone, Default)]
pub struct Sent(Arc<Mutex<Numbered>>);

type Numbered = BTreeMap<Url, (u64, Vec<SemanticToken>)>;

impl Sent {
    /// Remembers what is sent; the number it goes by, and what was sent before under `number`.
    fn remember(
        &self,
        uri: &Url,
        tokens: &[SemanticToken],
        number: Option<&str>,
    ) -> (String, Option<Vec<SemanticToken>>) {
        let Ok(mut sent) = self.0.lock() else { return (String::new(), None) };
        let before = sent.get(uri).filter(|(known, _)| Some(known.to_string().as_str()) == number).cloned();
        let next = sent.values().map(|(known, _)| known + 1).max().unwrap_or(1);
        sent.insert(uri.clone(), (next, tokens.to_vec()));
        (next.to_string(), before.map(|(_, tokens)| tokens))
    }

    pub fn forget(&self, uri: &Url) {
        if let Ok(mut sent) = self.0.lock() {
            sent.remove(uri);
        }
    }
}

fn tokens(world: &World, uri: &Url, range: Option<Range>) -> Option<Vec<SemanticToken>> {
    let here = world.with_file(uri).next()?;
    let file = here.file()?;
    let counted = world.snapshot.counted(file);
    let bytes = range.map_or(0..file.text.len(), |range| counted.bytes(range));
    let clamp = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let painted = paint(here.compiled(), here.index(), here.id(), clamp(bytes.start)..clamp(bytes.end));
    let mut last = Position::default();
    let encode = |one: Painted| {
        let (start, end) = (counted.position(one.start as usize), counted.position(one.end as usize));
        let same_line = start.line == last.line;
        let token = SemanticToken {
            delta_line: start.line - last.line,
            delta_start: if same_line { start.character - last.character } else { start.character },
            length: end.character.saturating_sub(start.character),
            token_type: Paint::ALL
                .iter()
                .position(|known| *known == one.paint)
                .and_then(|at| u32::try_from(at).ok())?,
            token_modifiers_bitset: u32::from(one.declares) * DECLARES + u32::from(one.changes) * CHANGES,
        };
        last = start;
        Some(token)
    };
    Some(painted.into_iter().filter_map(encode).collect())
}

pub fn full(world: &World, params: &SemanticTokensParams, sent: &Sent) -> Option<SemanticTokensResult> {
    let uri = &params.text_document.uri;
    let data = tokens(world, uri, None)?;
    let (number, _) = sent.remember(uri, &data, None);
    Some(SemanticTokensResult::Tokens(SemanticTokens { result_id: Some(number), data }))
}

pub fn range(world: &World, params: &SemanticTokensRangeParams) -> Option<SemanticTokensRangeResult> {
    let data = tokens(world, &params.text_document.uri, Some(params.range))?;
    Some(SemanticTokensRangeResult::Tokens(SemanticTokens { result_id: None, data }))
}

pub fn delta(world: &World, params: &SemanticTokensDeltaParams, sent: &Sent) -> Option<SemanticTokensFullDeltaResult> {
    let uri = &params.text_document.uri;
    let data = tokens(world, uri, None)?;
    let (number, before) = sent.remember(uri, &data, Some(&params.previous_result_id));
    Some(match before {
        Some(before) => SemanticTokensFullDeltaResult::TokensDelta(SemanticTokensDelta {
            result_id: Some(number),
            edits: difference(&before, &data),
        }),
        None => SemanticTokensFullDeltaResult::Tokens(SemanticTokens { result_id: Some(number), data }),
    })
}

/// One edit, from the first token that differs to the last. The protocol counts the five numbers of each.
fn difference(before: &[SemanticToken], now: &[SemanticToken]) -> Vec<SemanticTokensEdit> {
    let same = |(a, b): &(&SemanticToken, &SemanticToken)| a == b;
    let front = before.iter().zip(now).take_while(same).count();
    let (rest_before, rest_now) = (before.get(front..).unwrap_or_default(), now.get(front..).unwrap_or_default());
    let back = rest_before.iter().rev().zip(rest_now.iter().rev()).take_while(same).count();
    if rest_before.len() == back && rest_now.len() == back {
        return Vec::new();
    }
    let numbers = |tokens: usize| u32::try_from(tokens * 5).unwrap_or(u32::MAX);
    let data = rest_now.get(..rest_now.len() - back).unwrap_or_default().to_vec();
    let delete_count = numbers(rest_before.len() - back);
    vec![SemanticTokensEdit { start: numbers(front), delete_count, data: Some(data).filter(|data| !data.is_empty()) }]
}

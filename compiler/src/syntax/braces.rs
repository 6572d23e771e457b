//! Brackets of another kind that stand where a block's braces belong: `inputs foh (` at the end of its line,
//! `]` alone on its own. They are told and read as braces, so that the rows between them are not lost.

use super::rows::opens_blocks;
use super::significant::Spanned;
use super::tokens::TokenKind;
use super::words::STATEMENT_WORDS;
use crate::diagnostics::{Diagnostic, Edit};
use crate::source::Span;

/// Turns such brackets into braces, with what is to be told of them.
pub(super) fn read_as_braces(sigs: &mut [Spanned<'_>]) -> Vec<Diagnostic> {
    let mut told: Vec<Diagnostic> = Vec::new();
    // For each open block, which diagnostic told of its brace.
    let mut open: Vec<Option<usize>> = Vec::new();
    let mut opens = false;
    for at in 0..sigs.len() {
        let ends_line = sigs.get(at + 1).is_none_or(|(next, _)| next.first_on_line);
        let Some((sig, span)) = sigs.get_mut(at) else { break };
        if sig.first_on_line {
            opens = sig.kind == TokenKind::Word && (opens_blocks(sig.text) || !STATEMENT_WORDS.contains(&sig.text));
        }
        match (sig.kind, sig.text) {
            (TokenKind::Bracket, "(" | "[") if opens && ends_line => {
                sig.kind = TokenKind::BlockOpen;
                open.push(Some(told.len()));
                told.push(opener(sig.text, *span));
            }
            (TokenKind::Bracket, ")" | "]") if sig.first_on_line && ends_line && !open.is_empty() => {
                sig.kind = TokenKind::BlockClose;
                let opener = open.pop().flatten().and_then(|opener| told.get_mut(opener));
                match opener.and_then(|opener| opener.fixes.first_mut()) {
                    Some(fix) => fix.edits.push(Edit { span: *span, text: "}".to_string() }),
                    None => told.push(closer(sig.text, *span)),
                }
            }
            (TokenKind::BlockOpen, _) => open.push(None),
            (TokenKind::BlockClose, _) => drop(open.pop()),
            _ => {}
        }
    }
    told
}

/// Where both brackets are of another kind, this is all that is told: its fix mends both.
fn opener(text: &str, span: Span) -> Diagnostic {
    let edit = Edit { span, text: "{".to_string() };
    Diagnostic::error("stray-bracket", span, format!("a block opens with `{{`, not with `{text}`"))
        .help("write `{`, and `}` after its last row")
        .fix("write braces", vec![edit], false)
}

fn closer(text: &str, span: Span) -> Diagnostic {
    let edit = Edit { span, text: "}".to_string() };
    Diagnostic::error("stray-bracket", span, format!("a block ends with `}}`, not with `{text}`"))
        .help("write `}`")
        .fix("write `}`", vec![edit], false)
}

//! Text to tokens to rows to statements. Parsing cannot fail.

pub mod ast;

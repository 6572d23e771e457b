// Reads a text with the TextMate grammar, by the engine that editors use. Judges nothing.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const require = createRequire(import.meta.url);
const textmate = require("vscode-textmate");
const oniguruma = require("vscode-oniguruma");

const here = dirname(fileURLToPath(import.meta.url));
export const top = join(here, "../../..");
export const grammarFile = join(top, "grammar/textmate/fantail.tmLanguage.json");

const wasm = readFileSync(require.resolve("vscode-oniguruma/release/onig.wasm"));
await oniguruma.loadWASM(wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength));

const registry = new textmate.Registry({
  onigLib: Promise.resolve({
    createOnigScanner: (patterns) => new oniguruma.OnigScanner(patterns),
    createOnigString: (text) => new oniguruma.OnigString(text),
  }),
  loadGrammar: async () => textmate.parseRawGrammar(readFileSync(grammarFile, "utf8"), grammarFile),
});
const grammar = await registry.loadGrammar("source.fantail");

/** The tokens of a text, line by line: `{ text, scope, line, start }`; `scope` is the innermost one. */
export function tokens(text) {
  let state = textmate.INITIAL;
  return text.split("\n").map((line, at) => {
    const read = grammar.tokenizeLine(line, state);
    state = read.ruleStack;
    return read.tokens.map((token) => ({
      text: line.slice(token.startIndex, token.endIndex),
      scope: token.scopes.at(-1),
      line: at + 1,
      start: token.startIndex,
    }));
  });
}

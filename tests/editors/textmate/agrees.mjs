// The TextMate grammar takes every word of every text for what the tree-sitter grammar takes it for, which is
// held to the compiler. Reads what `tests/examples/places.rs` prints.

import { execFileSync } from "node:child_process";
import { tokens, top } from "./tokens.mjs";

const cargo = ["run", "--quiet", "-p", "fantail-tests", "--example", "places"];
const texts = JSON.parse(execFileSync("cargo", cargo, { cwd: top, maxBuffer: 1 << 28 }));

const SCOPES = {
  word: ["keyword.control"],
  // `to` joins in a link and is an attribute in a row; TextMate has one colour for both.
  joint: ["keyword.operator", "keyword.other"],
  attribute: ["keyword.other"],
  value: ["constant.language"],
  place: ["constant.language"],
  volts: ["keyword.other"],
  number: ["constant.numeric"],
  name: ["variable", "entity"],
};

const wrong = [];
let words = 0;
for (const { name, text, words: wanted } of texts) {
  const lines = text.split("\n"), told = tokens(text);
  for (const [row, column, kind] of wanted) {
    const token = told[row].find(({ start, text }) => start <= column && column < start + text.length);
    // After `no` stands an attribute's word.
    const taken = kind === "name" && /(^|\s)no\s+$/.test(lines[row].slice(0, column));
    words++;
    if (!SCOPES[taken ? "attribute" : kind].some((scope) => token.scope.startsWith(scope))) {
      wrong.push(`${name}:${row + 1}:${column + 1}: ${kind} is ${token.scope}: ${lines[row].trim()}`);
    }
  }
}
if (words < 10_000) wrong.push(`only ${words} words were compared`);
console.log(wrong.concat(`TextMate: ${words} words of ${texts.length} texts, ${wrong.length} otherwise`).join("\n"));
process.exitCode = wrong.length ? 1 : 0;

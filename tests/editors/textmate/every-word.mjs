// Every word and number of every example, and of every sample of the pages, has a colour: a row that the
// compiler reads leaves none unread.

import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { tokens, top } from "./tokens.mjs";

const below = (folder) => readdirSync(join(top, folder), { recursive: true }).map((name) => join(folder, name));
const files = [...below("examples"), ...below("compiler/std")].filter((name) => name.endsWith(".fantail")).sort();

const texts = files.map((name) => [name, readFileSync(join(top, name), "utf8")]);
for (const page of ["README.md", "grammar/README.md", "grammar/grammar.md"]) {
  const samples = readFileSync(join(top, page), "utf8").matchAll(/```fantail\n(.*?)```/gs);
  [...samples].forEach(([, sample], nth) => texts.push([`${page}, sample ${nth + 1}`, sample]));
}

const bare = [];
let words = 0;
for (const [name, text] of texts) {
  for (const token of tokens(text).flat()) {
    if (!/[\p{L}0-9]/u.test(token.text)) continue;
    words++;
    if (token.scope === "source.fantail" || token.scope.startsWith("meta.unread")) {
      bare.push(`${name}:${token.line}:${token.start + 1}: \`${token.text}\` has no colour`);
    }
  }
}
if (words < 2000) bare.push(`only ${words} words in ${texts.length} texts: this test no longer finds them`);
console.log(bare.concat(`${words} words of ${texts.length} texts, ${bare.length} without a colour`).join("\n"));
process.exitCode = bare.length ? 1 : 0;

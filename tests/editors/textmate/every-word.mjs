// Every word and number of every example has a colour: a row that the compiler reads leaves none unread.

import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { tokens, top } from "./tokens.mjs";

const below = (folder) => readdirSync(join(top, folder), { recursive: true }).map((name) => join(folder, name));
const files = [...below("examples"), ...below("compiler/std")].filter((name) => name.endsWith(".fantail")).sort();

const bare = [];
let words = 0;
for (const name of files) {
  for (const token of tokens(readFileSync(join(top, name), "utf8")).flat()) {
    if (!/[\p{L}0-9]/u.test(token.text)) continue;
    words++;
    if (token.scope === "source.fantail" || token.scope.startsWith("meta.unread")) {
      bare.push(`${name}:${token.line}:${token.start + 1}: \`${token.text}\` has no colour`);
    }
  }
}
if (words < 2000) bare.push(`only ${words} words in ${files.length} files: this test no longer finds them`);
console.log(bare.concat(`${words} words of ${files.length} files, ${bare.length} without a colour`).join("\n"));
process.exitCode = bare.length ? 1 : 0;

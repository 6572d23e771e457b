// The vim files, in the real editor: the places that the TextMate test asserts are coloured alike, every word
// of every example has a colour, and indenting an example anew changes nothing.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const top = join(here, "../../..");
const work = mkdtempSync(join(tmpdir(), "fantail-vim-"));

function read(file) {
  const out = join(work, "out.json");
  const set = { folder: join(top, "grammar/vim"), file, out };
  const lets = Object.entries(set).map(([name, value]) => `let g:${name} = '${value}'`);
  const vim = ["-es", "-u", "NONE", "-i", "NONE", "--cmd", lets.join(" | "), "-S", join(here, "colours.vim")];
  execFileSync("vim", vim, { timeout: 60_000 });
  return JSON.parse(readFileSync(out, "utf8"));
}

/** What vim's own groups are for a TextMate scope. */
const GROUPS = [
  ["keyword", "Statement"], ["entity.name.type", "Type"], ["entity.name", "Identifier"], ["variable", "Identifier"],
  ["constant", "Constant"], ["string", "Constant"], ["comment", "Comment"], ["punctuation.section", "Special"],
];
const group = (scope) => GROUPS.find(([start]) => scope.startsWith(start))?.[1];

/** Vim does not see that a block's brace is missing. */
const UNSEEN = (line) => line.includes("outputs { mix 1 to stage 1 }");

const wrong = [];
let asserted = 0;

function assertions() {
  const lines = [], wanted = [];
  for (const line of readFileSync(join(here, "../textmate/names.fantail"), "utf8").split("\n")) {
    const mark = /^#( *)(\^+) (- )?(\S+)$/.exec(line);
    if (!mark) lines.push(line);
    else if (!UNSEEN(lines.at(-1))) wanted.push({ at: lines.length - 1, from: mark[1].length + 1, not: mark[3], scope: mark[4] });
  }
  const file = join(work, "names.fantail");
  writeFileSync(file, lines.join("\n"));
  const told = read(file);
  for (const { at, from, not, scope } of wanted) {
    const byte = Buffer.byteLength(lines[at].slice(0, from));
    const found = told.lines[at][byte];
    asserted++;
    if (not ? found === group(scope) : found !== group(scope)) {
      wrong.push(`line ${at + 1}, column ${from + 1}: ${found || "nothing"}, not ${group(scope)}: ${lines[at].trim()}`);
    }
  }
  if (told.filetype !== "fantail" || told.comment !== "# %s") wrong.push(`the file's type is \`${told.filetype}\``);
}

function example(file) {
  const text = readFileSync(file, "utf8"), told = read(file);
  text.split("\n").forEach((line, at) => {
    for (const word of line.matchAll(/[\p{L}0-9]+/gu)) {
      const found = told.lines[at][Buffer.byteLength(line.slice(0, word.index))];
      if (!found || found.startsWith("fantail")) wrong.push(`${file}:${at + 1}: \`${word[0]}\` has no colour`);
    }
    // What goes on after a comma may be lined up by hand.
    const by_hand = /,\s*(#.*)?$/.test(text.split("\n")[at - 1] ?? "");
    if (line !== told.indented[at] && line.trim() && !by_hand) wrong.push(`${file}:${at + 1}: indented as \`${told.indented[at]}\``);
  });
}

assertions();
const files = readdirSync(join(top, "examples"), { recursive: true }).filter((name) => name.endsWith(".fantail"));
files.sort().forEach((name) => example(join(top, "examples", name)));
rmSync(work, { recursive: true });
if (asserted < 80) wrong.push(`only ${asserted} places were asserted`);
console.log(wrong.concat(`vim: ${asserted} places, ${files.length} files, ${wrong.length} wrong`).join("\n"));
process.exitCode = wrong.length ? 1 : 0;

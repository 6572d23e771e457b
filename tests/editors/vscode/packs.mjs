// The packed extension holds what an editor needs and nothing else, what its manifest names is there, and its
// client loads. It runs no editor.

import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import Module, { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { join } from "node:path";

const [packed] = process.argv.slice(2);
const work = mkdtempSync(join(tmpdir(), "fantail-vsix-"));
execFileSync("python3", ["-m", "zipfile", "-e", packed, work]);
const extension = join(work, "extension");
const wrong = [];

const wanted = [
  "LICENSE.txt", "dist/client.js", "language-configuration.json", "package.json", "readme.md", "syntaxes/fantail.tmLanguage.json",
];
const found = readdirSync(extension, { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isFile())
  .map((entry) => join(entry.parentPath ?? entry.path, entry.name).slice(extension.length + 1))
  .sort();
if (found.join() !== wanted.join()) wrong.push(`it holds ${found.join(", ")}`);

const manifest = JSON.parse(readFileSync(join(extension, "package.json"), "utf8"));
const { languages, grammars } = manifest.contributes;
for (const path of [manifest.main, languages[0].configuration, grammars[0].path]) {
  if (!existsSync(join(extension, path))) wrong.push(`the manifest names ${path}, which is not there`);
}
if (languages[0].extensions[0] !== ".fantail") wrong.push("its files end otherwise");
const { scopeName } = JSON.parse(readFileSync(join(extension, grammars[0].path), "utf8"));
if (scopeName !== grammars[0].scopeName) wrong.push(`the grammar is ${scopeName}`);
const { wordPattern } = JSON.parse(readFileSync(join(extension, languages[0].configuration), "utf8"));
if (!new RegExp(`^${wordPattern.pattern}$`, wordPattern.flags).test("12-saitige-gitarre-太鼓")) wrong.push("a name is not one word");

// The client asks the editor for its classes while it loads: any will do.
const load = Module._load;
const any = () => new Proxy(class {}, { get: (target, key) => (key in target ? target[key] : any()) });
Module._load = (name, ...rest) => (name === "vscode" ? any() : load(name, ...rest));
const client = createRequire(import.meta.url)(join(extension, manifest.main));
for (const name of ["activate", "deactivate"]) {
  if (typeof client[name] !== "function") wrong.push(`the client has no ${name}`);
}

rmSync(work, { recursive: true });
console.log(wrong.concat(`vsix: ${found.length} files, ${wrong.length} wrong`).join("\n"));
process.exitCode = wrong.length ? 1 : 0;

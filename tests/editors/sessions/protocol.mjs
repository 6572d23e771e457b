// The protocol's own client library: the steps that the editors take, and those that they lack. It works in the
// folder it is started in, and writes there what an editor would save.

import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { fileURLToPath, pathToFileURL } from "node:url";

const { createProtocolConnection, StreamMessageReader, StreamMessageWriter, CancellationTokenSource, LSPErrorCodes } =
  createRequire(import.meta.url)("vscode-languageserver-protocol/node");

const uri = (file) => pathToFileURL(file).href;
const log = [];

/** A client that keeps what it is told. */
class Client {
  constructor() {
    this.server = spawn("fantail-lsp", { stdio: ["pipe", "pipe", "inherit"] });
    const { stdin, stdout } = this.server;
    this.ended = new Promise((done) => this.server.on("exit", done));
    this.wire = createProtocolConnection(new StreamMessageReader(stdout), new StreamMessageWriter(stdin));
    this.wire.trace(2, { log: (what, data) => log.push(`${what}\n${data ?? ""}`) });
    this.wire.onNotification("textDocument/publishDiagnostics", (told) => assert.fail(`unasked: ${JSON.stringify(told)}`));
    this.wire.onRequest("workspace/configuration", ({ items }) => items.map(() => ({ notes: true })));
    this.wire.onRequest("client/registerCapability", () => null);
    this.wire.listen();
    this.texts = new Map();
  }

  async start(positionEncodings, offers = {}) {
    const capabilities = { general: { positionEncodings }, ...offers };
    const workspaceFolders = [{ uri: uri("."), name: "tour" }];
    const { capabilities: can } = await this.wire.sendRequest("initialize", { processId: process.pid, rootUri: null, workspaceFolders, capabilities });
    await this.wire.sendNotification("initialized", {});
    this.can = can;
    return this;
  }

  open(file, text = readFileSync(file, "utf8")) {
    this.texts.set(uri(file), { version: 1, text });
    return this.wire.sendNotification("textDocument/didOpen", { textDocument: { uri: uri(file), languageId: "fantail", version: 1, text } });
  }

  text(at) {
    return this.texts.get(at)?.text ?? readFileSync(fileURLToPath(at), "utf8");
  }

  write(at, text) {
    const open = this.texts.get(at);
    if (!open) return writeFileSync(fileURLToPath(at), text);
    Object.assign(open, { version: open.version + 1, text });
    return this.wire.sendNotification("textDocument/didChange", { textDocument: { uri: at, version: open.version }, contentChanges: [{ text }] });
  }

  async edit({ changes }) {
    for (const [at, edits] of Object.entries(changes)) await this.write(at, edited(this.text(at), edits));
  }

  ask(method, file, more = {}) {
    return this.wire.sendRequest(method, { textDocument: { uri: uri(file) }, ...more });
  }

  async stop() {
    await this.wire.sendRequest("shutdown");
    await this.wire.sendNotification("exit");
    assert.equal(await this.ended, 0, "the exit status after shutdown");
  }
}

/** Edits of the protocol, in UTF-16, as strings of this language are. */
function edited(text, edits) {
  const starts = [0, ...[...text.matchAll(/\n/g)].map((line) => line.index + 1)];
  const at = ({ line, character }) => (starts[line] ?? text.length) + character;
  const last = [...edits].sort((a, b) => at(b.range.start) - at(a.range.start));
  return last.reduce((text, { range, newText }) => text.slice(0, at(range.start)) + newText + text.slice(at(range.end)), text);
}

/** Where a pattern's match ends. */
function after(text, pattern) {
  const found = pattern.exec(text);
  assert(found, `no ${pattern}`);
  const lines = text.slice(0, found.index + found[0].length).split("\n");
  return { line: lines.length - 1, character: lines.at(-1).length };
}

const RIG = "rig.fantail", SHED = "venues/lantern-shed.fantail";

async function asUsersDo(client) {
  const rig = uri(RIG), names = /^ +25 +lead-/m;
  const now = () => client.text(rig);

  await client.open(RIG);
  const told = await client.ask("textDocument/diagnostic", RIG);
  const wrong = told.items.find((one) => one.message.includes("pencill"));
  assert(wrong.codeDescription.href.endsWith("unknown-name.md"));
  const actions = await client.ask("textDocument/codeAction", RIG, { range: wrong.range, context: { diagnostics: [wrong], only: ["quickfix"] } });
  await client.edit(actions.find((one) => one.title === "write `pencil`").edit);
  const mended = await client.ask("textDocument/diagnostic", RIG, { previousResultId: told.resultId });
  assert(mended.kind === "full" && mended.items.every((one) => one.severity === 3), "mended, there are notes only");

  await knows(client, names);
  await shows(client, names);
  await shapes(client, names);

  const position = after(now(), /^ +9-10 +drum/m);
  assert.equal((await client.ask("textDocument/prepareRename", RIG, { position })).placeholder, "drum-pad");
  await client.edit(await client.ask("textDocument/rename", RIG, { position, newName: "pads" }));
  const laidOut = execFileSync("fantail", ["tidy", "-"], { input: now(), encoding: "utf8" });
  const edits = await client.ask("textDocument/formatting", RIG, { options: { tabSize: 2, insertSpaces: true } });
  await client.write(rig, edited(now(), edits));
  assert.equal(now(), laidOut, "as `fantail tidy` lays it out");
  writeFileSync(RIG, now());
}

/** What is known of a name, and what may be written in a row. */
async function knows(client, names) {
  const rig = uri(RIG), now = () => client.text(rig);
  const { contents } = await client.ask("textDocument/hover", RIG, { position: after(now(), names) });
  assert(contents.kind === "markdown" && /stage-right/.test(contents.value) && /channel 25/.test(contents.value), contents.value);
  const before = now(), row = "     37  guest  dynamic  from foh.local ";
  await client.write(rig, before.replace(/^( +36 .*\n)/m, `$1${row}\n`));
  const found = await client.ask("textDocument/completion", RIG, { position: after(now(), new RegExp(row)) });
  const [first] = (found.items ?? found).sort((a, b) => (a.sortText < b.sortText ? -1 : 1));
  assert.equal(first.label, "3", "the first free socket");
  await client.write(rig, before);
}

/** What is shown between the rows, and where a signal goes. */
async function shows(client, names) {
  const position = after(client.text(uri(RIG)), names);
  const range = { start: { line: 0, character: 0 }, end: { line: 200, character: 0 } };
  const hints = await client.ask("textDocument/inlayHint", RIG, { range });
  assert(hints.some((hint) => /channel 25/.test(hint.label)), JSON.stringify(hints.slice(0, 5)));
  const lenses = await client.ask("textDocument/codeLens", RIG);
  assert(lenses.some((lens) => /inputs \d+ of 16 used/.test(lens.command.title)), JSON.stringify(lenses));
  const [item] = await client.ask("textDocument/prepareCallHierarchy", RIG, { position });
  const calls = await client.wire.sendRequest("callHierarchy/outgoingCalls", { item });
  assert.equal(item.name, "lead-vocal");
  assert(calls.some(({ to }) => /stage-right/.test(to.name)), JSON.stringify(calls));
}

/** Colours and shape, and what follows a file's other name. */
async function shapes(client, names) {
  const text = client.text(uri(RIG)), { legend } = client.can.semanticTokensProvider;
  const { data } = await client.ask("textDocument/semanticTokens/full", RIG);
  assert.equal(data.length % 5, 0);
  assert.equal(legend.tokenTypes[data[3]], "comment", "the file begins with one");
  const folds = await client.ask("textDocument/foldingRange", RIG);
  const inputs = after(text, /^inputs foh/m).line;
  assert(folds.some((fold) => fold.startLine === inputs && fold.endLine > inputs + 30), JSON.stringify(folds));
  const [grown] = await client.ask("textDocument/selectionRange", RIG, { positions: [after(text, names)] });
  let steps = 0;
  for (let one = grown; one; one = one.parent) steps += 1;
  assert(steps >= 3, `a word, its row, the block: ${JSON.stringify(grown)}`);

  const whole = await client.wire.sendRequest("workspace/diagnostic", { previousResultIds: [] });
  const files = whole.items.map((one) => one.uri);
  assert(files.includes(uri(RIG)) && files.includes(uri("venues/mill-yard.fantail")), files.join(" "));
  const previousResultIds = whole.items.map((one) => ({ uri: one.uri, value: one.resultId }));
  const again = await client.wire.sendRequest("workspace/diagnostic", { previousResultIds });
  assert(again.items.every((one) => one.kind === "unchanged"));

  const moved = { files: [{ oldUri: uri(RIG), newUri: uri("gear/rig.fantail") }] };
  const { changes } = await client.wire.sendRequest("workspace/willRenameFiles", moved);
  assert.equal(changes[uri(SHED)][0].newText, '"../gear/rig.fantail"');
}

/** The same place, counted in the units that were agreed on. */
async function encodings() {
  const text = 'show "Night Ferry \u{1F39B}" at 5\n';
  const end = { "utf-8": 28, "utf-16": 26, "utf-32": 25 };
  for (const [encoding, character] of Object.entries(end)) {
    const client = await new Client().start([encoding], { textDocument: { diagnostic: {} } });
    assert.equal(client.can.positionEncoding, encoding);
    await client.open("wide.fantail", text);
    const { items } = await client.ask("textDocument/diagnostic", "wide.fantail");
    const found = items.filter(({ range }) => range.start.line === 0 && range.start.character === character - 1);
    assert(found.length > 0, `${encoding}: ${JSON.stringify(items)}`);
    await client.stop();
  }
}

/** A request that is taken back is answered at once, as the protocol says. */
async function cancels(client) {
  const source = new CancellationTokenSource();
  const text = client.text(uri(RIG));
  await client.write(uri(RIG), `${text}# one more\n`);
  const asked = client.wire.sendRequest("textDocument/diagnostic", { textDocument: { uri: uri(RIG) } }, source.token);
  source.cancel();
  const problem = await asked.then(() => assert.fail("answered all the same"), (problem) => problem);
  assert.equal(problem.code, LSPErrorCodes.RequestCancelled, problem.message);
  await client.write(uri(RIG), text);
}

async function session() {
  const markdown = { hover: { contentFormat: ["markdown"] }, diagnostic: {} };
  const client = await new Client().start(["utf-16"], { textDocument: markdown, workspace: { configuration: true } });
  await asUsersDo(client);
  await cancels(client);
  await client.stop();
  await encodings();
  const rude = await new Client().start([]);
  assert.equal(rude.can.positionEncoding, "utf-16", "what every client can");
  await rude.wire.sendNotification("exit");
  assert.equal(await rude.ended, 1, "the exit status without shutdown");
}

try {
  await session();
} catch (problem) {
  writeFileSync(process.env.LOG, log.join("\n"));
  console.error(problem);
  process.exit(1);
}
process.exit(0);

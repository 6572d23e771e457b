// Every check of the book on every show.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { pathToFileURL } from "node:url";
import { access } from "./access.mjs";
import { launch } from "./chromium.mjs";
import { keys, search } from "./hands.mjs";
import { light } from "./light.mjs";
import { paper } from "./paper.mjs";
import { noStore, ticks } from "./ticks.mjs";

const examples = process.argv[2];
const SHOWS = ["small-desk/tin-boat", "festival/day", "theatre/salt-road", "tour/venues/quayside-hall"];
const CHECKS = { light, search, keys, ticks, noStore, access, paper };

const fantail = (...said) => execFileSync(process.env.FANTAIL, said, { encoding: "utf8", maxBuffer: 1 << 28 });
const folder = mkdtempSync(join(tmpdir(), "fantail-book-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));

function bookOf(root, number) {
  const to = join(folder, String(number));
  fantail("sheets", root, "--form", "book", "--to", to);
  const plan = JSON.parse(fantail("plan", "--format", "json", root));
  const mark = JSON.parse(readFileSync(join(to, "pack.json"), "utf8")).mark;
  return { plan, mark, folder: to, url: pathToFileURL(join(to, "book.html")).href };
}

const browser = await launch();
const roots = [...SHOWS.map((show) => join(examples, `${show}.fantail`)), "hostile.fantail"];
let failures = 0;

async function checkShow(root, number) {
  const book = bookOf(root, number);
  for (const [name, check] of Object.entries(CHECKS)) {
    // Whose show it is makes no difference there.
    if (number > 0 && check === noStore) continue;
    const began = Date.now();
    const { told, wrong } = await check(browser, book);
    const took = `${((Date.now() - began) / 1000).toFixed(1)} s`;
    console.log(`${wrong.length ? "FAILED" : "ok"} ${basename(root)}: ${name}: ${told}, ${took}`);
    for (const line of wrong.slice(0, 10)) console.log(`   ${line}`);
    failures += wrong.length;
  }
}

// Two at a time: a page keeps one core busy.
const left = [...roots.entries()];
async function lane() {
  for (let next = left.shift(); next; next = left.shift()) await checkShow(next[1], next[0]);
}
await Promise.all([lane(), lane()]);
await browser.close();
if (failures) {
  console.error(`${failures} things are wrong with the book`);
  process.exit(1);
}

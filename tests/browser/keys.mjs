// A measurement, which fails nothing: what each key of a search waits for, in the book that is named.
import { pathToFileURL } from "node:url";
import { launch, open } from "./chromium.mjs";

const KEYS = ["s", "so", "sou", "sour", "source", "source ", "source 4", "source 42", "source 4", "", "v", "vo", "k"];

// In the page: the time until the script is done, and until something is painted.
async function press(value) {
  const field = document.getElementById("find");
  field.value = value;
  const began = performance.now();
  field.dispatchEvent(new Event("input", { bubbles: true }));
  const script = performance.now() - began;
  const painted = new MessageChannel();
  await new Promise((done) => {
    painted.port1.onmessage = done;
    requestAnimationFrame(() => painted.port2.postMessage(0));
  });
  return { script, painted: performance.now() - began, told: document.getElementById("found").textContent };
}

const browser = await launch();
const { page, close } = await open(browser, pathToFileURL(process.argv[2]).href);
// Texts are read ahead while nobody types.
await page.waitForTimeout(3000);
for (const key of KEYS) {
  const { script, painted, told } = await page.evaluate(press, key);
  console.log(`"${key}": ${script.toFixed(0)} ms, painted after ${painted.toFixed(0)} ms, ${told || "nothing asked"}`);
}
await close();
await browser.close();

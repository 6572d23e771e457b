// No finding of the accessibility checker: light and dark, on a desk and on a phone, with a path lit.
import { createRequire } from "node:module";
import { open } from "./chromium.mjs";

const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");
const PHONE = { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true };

// In the page: what is out of view has no colours yet. Rows of a table, sheets of several acts and parts of a drawing
// are made alike: some of them tell.
function thin() {
  const act = document.querySelector("[data-act]")?.dataset.act;
  for (const sheet of document.querySelectorAll("[data-act]")) if (sheet.dataset.act !== act) sheet.remove();
  for (const svg of document.querySelectorAll("svg")) {
    Array.from(svg.querySelectorAll("text, circle, path, rect")).slice(20).forEach((part) => part.remove());
  }
  for (const sheet of document.querySelectorAll(".sheet")) sheet.style.contentVisibility = "visible";
  for (const rows of document.querySelectorAll("tbody")) {
    Array.from(rows.querySelectorAll("tr:not(.danger, .quiet, .group)")).slice(2).forEach((row) => row.remove());
    Array.from(rows.querySelectorAll(".quiet")).slice(1).forEach((row) => row.remove());
  }
}

export async function access(browser, { url }) {
  const wrong = [];
  let passes = 0;
  for (const [colorScheme, size] of [["light", {}], ["dark", PHONE]]) {
    // The checker itself is brought in past the page's policy, which holds in all other tests.
    const { page, wrong: said, close } = await open(browser, url, { colorScheme, bypassCSP: true, ...size });
    await page.locator("tr[data-s] button").first().click();
    await page.locator("#find").fill("1");
    await page.evaluate(thin);
    await page.addScriptTag({ path: axe });
    const found = await page.evaluate(() => axe.run({ resultTypes: ["violations"] }));
    passes += found.passes.length;
    for (const { id, nodes } of found.violations) {
      wrong.push(`${colorScheme}: ${id}: ${nodes.length} times, first ${nodes[0].html.slice(0, 150)}`);
    }
    if (await page.evaluate(() => document.documentElement.scrollWidth > innerWidth)) {
      wrong.push(`${colorScheme}: the page is wider than the screen`);
    }
    wrong.push(...said);
    await close();
  }
  return { told: `${passes} rules hold`, wrong };
}

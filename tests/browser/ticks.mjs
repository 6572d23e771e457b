// Ticks are kept under the mark and nothing else is; without a store the page works all the same.
import { open } from "./chromium.mjs";

const firstTick = (page) => page.locator("input[type=checkbox]").first();

export async function ticks(browser, { url, mark }) {
  const { page, wrong, close } = await open(browser, url);
  await firstTick(page).check();
  await page.locator("tr[data-s] button").first().click();
  await page.reload();
  if (!(await firstTick(page).isChecked())) wrong.push("a tick is forgotten");
  const kept = await page.evaluate(() => Object.keys(localStorage));
  if (String(kept) !== `fantail ${mark}`) wrong.push(`stored: ${kept}`);
  await page.locator("#untick").click();
  if (await page.locator("input:checked").count()) wrong.push("ticks stay when they are cleared");
  if (await page.evaluate(() => localStorage.length)) wrong.push("something stays in the store");
  const count = await page.locator("input[type=checkbox]").count();
  await close();
  return { told: `${count} boxes`, wrong };
}

// As a browser does that forbids storage.
function forbid() {
  Object.defineProperty(window, "localStorage", {
    get() {
      throw new DOMException("denied", "SecurityError");
    },
  });
}

export async function noStore(browser, { url }) {
  const { page, wrong, close } = await open(browser, url, { init: forbid });
  await firstTick(page).check();
  await page.locator("tr[data-s] button").first().click();
  if (!(await page.locator("tr.lit").count())) wrong.push("nothing lights without a store");
  await close();
  return { told: "storage forbidden", wrong };
}

// Finding, and doing everything by keyboard.
import { open } from "./chromium.mjs";

const focus = (page) => page.evaluate(() => document.activeElement.id || document.activeElement.tagName);
const folded = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();

export async function search(browser, { url, plan }) {
  const { page, wrong, close } = await open(browser, url);
  const rows = await page.evaluate(() =>
    Array.from(document.querySelectorAll("tbody tr"), (row) => Array.from(row.cells, (cell) => cell.textContent).join(" ")),
  );
  const parts = await page.evaluate(() => Array.from(document.querySelectorAll(".plate g > title"), (part) => part.textContent));
  let inDrawings = 0;
  const labels = [...plan.plugs, ...plan.acts.flatMap((act) => act.plugs)].map((plug) => plug.source);
  const named = [...plan.sources, ...plan.acts.flatMap((act) => act.sources ?? [])].filter((row) => labels.includes(row.source));
  for (const { label } of named.filter((_, at) => at % 5 === 0)) {
    const words = folded(label).split(/\s+/).filter(Boolean);
    const expected = rows.filter((row) => words.every((word) => folded(row).includes(word))).length;
    await page.locator("#find").fill(label);
    const hits = await page.locator("tbody tr.hit").count();
    if (hits !== expected || !hits) wrong.push(`"${label}" is found in ${hits} rows, not ${expected}`);
    const drawn = parts.filter((part) => words.every((word) => folded(part).includes(word))).length;
    const marked = await page.locator(".plate g.hit").count();
    if (marked !== drawn) wrong.push(`"${label}" is found in ${marked} parts of drawings, not ${drawn}`);
    inDrawings += marked;
    const told = await page.locator("#found").textContent();
    const all = await page.locator(".hit").count();
    if (!told.startsWith(`${all} hit`)) wrong.push(`${all} hits of "${label}" are told as "${told}"`);
  }
  const said = () => new URLSearchParams(new URL(page.url()).hash.slice(1)).get("find");
  if (said()) wrong.push("each key writes the address, which takes long in a large book");
  await page.locator("#find").blur();
  if (!said()) wrong.push("the address does not say what is looked for");
  await page.locator("#find").fill("no such thing at all");
  if ((await page.locator("#found").textContent()) !== "0 hits") wrong.push("what is not there is found");
  if (!inDrawings) wrong.push("nothing is found in drawings");
  await close();
  return { told: `${rows.length} rows, ${parts.length} parts of drawings`, wrong };
}

export async function keys(browser, { url }) {
  const { page, wrong, close } = await open(browser, url);
  const expect = async (what, is, wanted) => is !== wanted && wrong.push(`${what}: ${is}, not ${wanted}`);
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await expect("the first key press leads", await focus(page), "sheets");
  await page.keyboard.press("/");
  await expect("/ leads", await focus(page), "find");
  const label = await page.locator("tr[data-s] button").first().textContent();
  await page.keyboard.type(label);
  const count = await page.locator(".hit").count();
  await page.keyboard.press("Enter");
  await page.keyboard.press("Shift+Enter");
  const told = await page.locator("#found").textContent();
  if (!told.startsWith(`${count} of ${count} hit`)) wrong.push(`back from the first of ${count} hits is "${told}"`);
  await page.keyboard.press("Escape");
  await expect("hits after Escape", await page.locator(".hit").count(), 0);
  await page.locator("tr[data-s] button").first().focus();
  await page.keyboard.press("Enter");
  if (!(await page.locator("tr.lit").count())) wrong.push("Enter on a source lights nothing");
  await expect("the button is pressed", await page.locator("tr[data-s] button").first().getAttribute("aria-pressed"), "true");
  await page.keyboard.press("Escape");
  await expect("lit after Escape", await page.locator(".lit").count(), 0);
  await choices(page, expect);
  await close();
  return { told: "by keyboard alone", wrong };
}

// Choosing a reader or an act puts the others' sheets away, and the choice stands in the address.
async function choices(page, expect) {
  for (const [id, key, data] of [["reader", "for", "for"], ["act", "act", "act"]]) {
    const control = page.locator(`#${id}`);
    if (!(await control.count())) continue;
    const value = await control.locator("option").last().getAttribute("value");
    await control.selectOption(value);
    const others = await page.evaluate(
      ([data, value]) =>
        Array.from(document.querySelectorAll(".sheet")).filter(
          (sheet) => sheet.checkVisibility() && sheet.dataset[data] !== undefined && !sheet.dataset[data].split("|").includes(value),
        ).length,
      [data, value],
    );
    await expect(`sheets for others than ${value}`, others, 0);
    const hash = new URLSearchParams(new URL(page.url()).hash.slice(1));
    await expect("the address", hash.get(key), value);
    await control.selectOption("");
  }
}

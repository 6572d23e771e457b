// Pressing a source lights exactly what lies on its way, as the plan's own JSON tells it.
import { open } from "./chromium.mjs";

// Every point that a signal passes, a link's slot under both its names, in the order of its ways.
function pointsOf(signal, cables) {
  const found = new Set();
  for (const at of signal.ends.flatMap((end) => end.path)) {
    found.add(at);
    const [, port, slot] = /^(.*) (\d+)$/.exec(at);
    const cable = cables.find(({ from, use }) => from === port && use === "main");
    if (cable) found.add(`${cable.to} ${slot}`);
  }
  return [...found];
}

// By act (`""` is the house): the points of each source.
function pathsOf(plan) {
  const paths = new Map([["", new Map()]]);
  for (const signal of plan.signals) paths.get("").set(signal.source, pointsOf(signal, plan.cables));
  for (const act of plan.acts) {
    const cables = [...plan.cables, ...(act.cables ?? [])];
    paths.set(act.act, new Map(act.signals.map((signal) => [signal.source, pointsOf(signal, cables)])));
  }
  return paths;
}

// The book numbers its points: each number is one name, and each name one number.
function namesOf(data, paths, wrong) {
  const names = new Map();
  const numbers = new Map();
  const left = new Set([...paths].flatMap(([act, of]) => [...of.keys()].map((source) => `${act} ${source}`)));
  for (const { source, act = "", points } of data.paths) {
    const name = data.sources[source][0];
    const expected = paths.get(act)?.get(name);
    left.delete(`${act} ${name}`);
    if (expected?.length !== points.length) wrong.push(`the path of ${name} in "${act}" is not the plan's`);
    points.forEach((number, at) => {
      const point = expected?.[at];
      if ((names.get(number) ?? point) !== point || (numbers.get(point) ?? number) !== number) {
        wrong.push(`point ${number} is both ${names.get(number)} and ${point}`);
      }
      names.set(number, point);
      numbers.set(point, number);
    });
  }
  for (const path of left) wrong.push(`the book has no path of ${path}`);
  return names;
}

// In the page: presses the first row of each source, and tells what is lit then.
function pressAll() {
  const elements = Array.from(document.querySelectorAll("[data-p]"));
  const marked = elements.map((element) => ({
    act: element.closest(".sheet").dataset.act ?? "",
    points: element.dataset.p.split(" ").map(Number),
  }));
  const rows = new Map();
  for (const row of document.querySelectorAll("tr[data-s]")) if (!rows.has(row.dataset.s)) rows.set(row.dataset.s, row);
  const lit = [];
  for (const [source, row] of rows) {
    row.querySelector("button").click();
    const told = document.getElementById("lit").textContent;
    const here = elements.flatMap((one, at) => (one.classList.contains("lit") ? [at] : []));
    lit.push({ source: Number(source), told, lit: here });
  }
  document.getElementById("lit-off").click();
  return { marked, lit, left: document.querySelectorAll(".lit").length };
}

export async function light(browser, { plan, url }) {
  const { page, wrong, close } = await open(browser, url);
  const data = JSON.parse(await page.locator("#plan").textContent());
  const paths = pathsOf(plan);
  const names = namesOf(data, paths, wrong);
  const { marked, lit, left } = await page.evaluate(pressAll);
  if (left) wrong.push(`${left} elements stay lit when all is cleared`);
  for (const { source, told, lit: found } of lit) {
    const [name, label] = data.sources[source];
    const anywhere = new Set([...paths.values()].flatMap((of) => of.get(name) ?? []));
    const inAct = (act) => (act === "" ? anywhere : new Set(paths.get(act).get(name) ?? paths.get("").get(name) ?? []));
    const expected = marked.flatMap(({ act, points }, at) => {
      const way = inAct(act);
      return points.some((number) => way.has(names.get(number))) ? [at] : [];
    });
    if (String(expected) !== String(found)) wrong.push(`${name} lights ${found.length} places, not ${expected.length}`);
    if (!found.length) wrong.push(`${name} lights nothing`);
    if (!told.startsWith(label)) wrong.push(`the lit path of ${name} is told as "${told}"`);
  }
  wrong.push(...(await byHash(page, data, lit)));
  await close();
  return { told: `${lit.length} sources on ${marked.length} places`, wrong };
}

// The address lights too, and what a finger lights stands in the address.
async function byHash(page, data, lit) {
  const { source, lit: found } = lit.at(-1);
  const name = data.sources[source][0];
  await page.evaluate((name) => (location.hash = new URLSearchParams({ lit: name })), name);
  await page.waitForFunction(() => document.querySelector(".lit"));
  const count = await page.locator(".lit").count();
  await page.locator("#lit-off").click();
  const wrong = count === found.length ? [] : [`the address lights ${count} places, not ${found.length}`];
  await page.locator(`tr[data-s="${source}"]`).first().click();
  const hash = new URLSearchParams(new URL(page.url()).hash.slice(1));
  if (hash.get("lit") !== name) wrong.push(`the address does not say that ${name} is lit`);
  return wrong;
}

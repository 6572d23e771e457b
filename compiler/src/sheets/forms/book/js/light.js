// A source's way, lit on every sheet. On a sheet of an act the act's own way holds; on others that of the chosen act,
// or of all.
const sourceNumber = new Map(plan.sources.map(([name], number) => [name, number]));
const pathsOf = Map.groupBy ? Map.groupBy(plan.paths, (path) => path.source) : grouped(plan.paths);

function grouped(paths) {
  const groups = new Map();
  for (const path of paths) groups.set(path.source, [...(groups.get(path.source) ?? []), path]);
  return groups;
}

function waysIn(source, act) {
  const ways = pathsOf.get(source) ?? [];
  if (!act) return ways;
  const own = ways.filter((way) => way.act === act);
  return own.length ? own : ways.filter((way) => way.act === undefined);
}

const numbersOf = (element) => (element.dataset.p ?? "").split(" ").filter(Boolean).map(Number);

// Elements by point, found once.
let byPoint;
function elementsAt(point) {
  if (!byPoint) {
    byPoint = new Map();
    for (const element of all("[data-p]")) {
      for (const number of numbersOf(element)) {
        const here = byPoint.get(number);
        if (here) here.push(element);
        else byPoint.set(number, [element]);
      }
    }
  }
  return byPoint.get(point) ?? [];
}

function onThePath(source) {
  const found = new Set();
  const points = new Map();
  const pointsIn = (act) => {
    if (!points.has(act)) points.set(act, new Set(waysIn(source, act).flatMap((way) => way.points)));
    return points.get(act);
  };
  for (const point of new Set((pathsOf.get(source) ?? []).flatMap((way) => way.points))) {
    for (const element of elementsAt(point)) {
      const act = sheetOf(element).dataset.act ?? state.act;
      if (pointsIn(act).has(point)) found.add(element);
    }
  }
  return found;
}

const litSteps = stepper("at", (at, places) => {
  const place = places[at];
  one("lit-place").textContent = place ? `${at + 1} of ${places.length}: ${titleOf(place)}` : `${places.length} places`;
});

function light() {
  for (const element of all(".lit")) element.classList.remove("lit");
  for (const button of all("tr button[aria-pressed]")) button.removeAttribute("aria-pressed");
  const source = sourceNumber.get(state.lit);
  one("lamp").hidden = source === undefined;
  if (source === undefined) {
    state.lit = "";
    one("lit").replaceChildren();
    return;
  }
  const found = onThePath(source);
  for (const element of found) element.classList.add("lit");
  for (const row of all(`tr[data-s="${source}"]`)) row.querySelector("button")?.setAttribute("aria-pressed", "true");
  tellPath(source);
  const order = (a, b) => (a.compareDocumentPosition(b) & Node.DOCUMENT_POSITION_FOLLOWING ? -1 : 1);
  litSteps.set([...found].filter(shown).sort(order));
}

function tellPath(source) {
  const [name, label] = plan.sources[source];
  const head = document.createElement("strong");
  head.textContent = label || name;
  const place = Object.assign(document.createElement("span"), { id: "lit-place" });
  const lines = saidBy(waysIn(source, state.act)).map((said) => {
    const line = document.createElement("p");
    line.textContent = said;
    return line;
  });
  one("lit").replaceChildren(head, " ", place, ...lines);
}

// Each way in words once, before it the acts that take it, where there are others.
function saidBy(ways) {
  const acts = new Map();
  for (const way of ways) {
    const said = way.said.join("; ");
    const title = plan.acts.find(([act]) => act === way.act)?.[1];
    acts.set(said, [...(acts.get(said) ?? []), ...(title ? [title] : [])]);
  }
  return [...acts].map(([said, titles]) => (acts.size > 1 && titles.length ? `${titles.join(", ")}: ${said}` : said));
}

// The source of a row; of a drawing's part the first that passes there.
function sourceAt(element) {
  if (element.dataset.s !== undefined) return Number(element.dataset.s);
  const act = sheetOf(element)?.dataset.act ?? state.act;
  const numbers = new Set(numbersOf(element));
  const fits = (path) => path.points.some((point) => numbers.has(point));
  const here = plan.paths.filter(fits).find((path) => waysIn(path.source, act).includes(path));
  return here?.source;
}

function press(element) {
  const source = sourceAt(element);
  if (source === undefined) return;
  const name = plan.sources[source][0];
  state.lit = state.lit === name ? "" : name;
  light();
  keepState();
}

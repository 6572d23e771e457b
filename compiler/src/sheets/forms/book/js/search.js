// Every row, every sentence and every part of a drawing, found by words in any order, whatever their case and accents.
const folded = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
const SEARCHED = ".sheet tbody tr, .sheet > h2, .sheet > .words, .caution p, .label, .plate g > title";
const texts = [];
let places;

// Reads on until told to stop: in a large book it takes a while, and is done before anybody types.
function readTexts(stop = () => false) {
  places ??= all(SEARCHED);
  while (texts.length < places.length && !stop()) {
    const place = places[texts.length];
    const cells = place.matches("tr, .label") ? Array.from(place.children, (cell) => cell.textContent) : [];
    // A part of a drawing says in its title what it shows.
    const element = place.matches("title") ? place.parentElement : place;
    texts.push({ element, sheet: sheetOf(element), text: folded(cells.length ? cells.join(" ") : place.textContent) });
  }
  return texts;
}

function readAhead() {
  const until = performance.now() + 8;
  readTexts(() => performance.now() > until);
  if (texts.length < places.length) setTimeout(readAhead, 8);
}

const findSteps = stepper("now", (at, places) => {
  const place = places[at];
  const hits = `${places.length} ${places.length === 1 ? "hit" : "hits"}`;
  const elsewhere = away ? `, ${away} more on sheets that are put away` : "";
  one("found").textContent = !state.find ? "" : place ? `${at + 1} of ${hits}: ${titleOf(place)}` : hits + elsewhere;
});

// How many hits nobody sees.
let away = 0;

// Of many hits some are marked now and the others while nobody types.
const marked = new Set();
let wanted = new Set();
let marking;
function mark() {
  clearTimeout(marking);
  const until = performance.now() + 15;
  const late = () => performance.now() > until;
  for (const element of marked) {
    if (wanted.has(element)) continue;
    if (late()) return void (marking = setTimeout(mark, 25));
    element.classList.remove("hit");
    marked.delete(element);
  }
  for (const element of wanted) {
    if (marked.has(element)) continue;
    if (late()) return void (marking = setTimeout(mark, 25));
    element.classList.add("hit");
    marked.add(element);
  }
}

function find() {
  const words = folded(state.find).split(/\s+/u).filter(Boolean);
  const fits = ({ text }) => words.every((word) => text.includes(word));
  const hits = words.length ? readTexts().filter(fits) : [];
  const elementOf = ({ element }) => element;
  const hidden = new Set(sheets.filter((sheet) => !shown(sheet)));
  const seen = hits.filter(({ sheet }) => !hidden.has(sheet));
  away = hits.length - seen.length;
  wanted = new Set(hits.map(elementOf));
  mark();
  findSteps.set(seen.map(elementOf));
}

// Every row, every sentence and every part of a drawing, found by words in any order, whatever their case and accents.
const folded = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
let texts;

function allTexts() {
  const places = ".sheet tbody tr, .sheet > h2, .sheet > .words, .caution p, .label, .plate g > title";
  texts ??= all(places).map((place) => {
    const cells = place.matches("tr, .label") ? Array.from(place.children, (cell) => cell.textContent) : [];
    // A part of a drawing says in its title what it shows.
    const element = place.matches("title") ? place.parentElement : place;
    return { element, text: folded(cells.length ? cells.join(" ") : place.textContent) };
  });
  return texts;
}

const findSteps = stepper("now", (at, places) => {
  const place = places[at];
  const hits = `${places.length} ${places.length === 1 ? "hit" : "hits"}`;
  one("found").textContent = !state.find ? "" : place ? `${at + 1} of ${hits}: ${titleOf(place)}` : hits + elsewhere();
});

let hits = [];
const elsewhere = () => {
  const away = hits.filter((element) => !shown(element)).length;
  return away ? `, ${away} more on sheets that are put away` : "";
};

function find() {
  for (const element of hits) element.classList.remove("hit");
  const words = folded(state.find).split(/\s+/u).filter(Boolean);
  const fits = ({ text }) => words.every((word) => text.includes(word));
  hits = words.length ? allTexts().filter(fits).map(({ element }) => element) : [];
  for (const element of hits) element.classList.add("hit");
  findSteps.set(hits.filter(shown));
}

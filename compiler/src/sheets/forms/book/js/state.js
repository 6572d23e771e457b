"use strict";
// What is chosen, kept in the address behind `#`, so that it can be sent: `at` the sheet, `lit` the source, `act`,
// `for` the reader, `find` the words. An address that is only a sheet's name works too.
const one = (id) => document.getElementById(id);
const all = (selector, within = document) => Array.from(within.querySelectorAll(selector));
const plan = JSON.parse(one("plan").textContent);
const state = { at: "", lit: "", act: "", for: "", find: "" };

function readState() {
  const text = location.hash.slice(1);
  if (text && !text.includes("=")) {
    state.at = decoded(text);
    return;
  }
  const said = new URLSearchParams(text);
  for (const key of Object.keys(state)) state[key] = said.get(key) ?? "";
}

function decoded(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

function keepState() {
  const said = new URLSearchParams(Object.entries(state).filter(([, value]) => value));
  const hash = `#${said}`;
  if (hash !== location.hash && (said.size || location.hash)) history.replaceState(null, "", hash);
}

const sheets = all(".sheet");
const links = new Map(all(".contents a").map((link) => [decoded(link.hash.slice(1)), link.closest("li")]));

// Sheets that are for others, or of another act, are put away; what holds in every act stays.
function chooseSheets() {
  for (const sheet of sheets) {
    const { act, for: reader } = sheet.dataset;
    const others = state.for && reader !== undefined && !reader.split("|").includes(state.for);
    const away = others || (state.act && act !== undefined && act !== state.act);
    sheet.classList.toggle("away", Boolean(away));
    links.get(sheet.id)?.classList.toggle("away", Boolean(away));
  }
}

const shown = (element) => !element.closest(".away");

function goTo(id) {
  const title = one(`${id}-title`);
  if (!title) return;
  show(title);
  title.focus({ preventScroll: true });
}

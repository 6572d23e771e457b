// Hands and keys.
function apply() {
  for (const [id, key] of [["reader", "for"], ["act", "act"], ["find", "find"]]) {
    const control = one(id);
    if (!control) continue;
    if (control.value !== state[key]) control.value = state[key];
    // What nobody can choose is not chosen.
    if (control.value !== state[key]) state[key] = control.value = "";
  }
  chooseSheets();
  light();
  find();
  keepState();
}

function choose(key, value) {
  state[key] = value;
  apply();
}

const on = (id, event, act) => one(id)?.addEventListener(event, act);
on("reader", "change", (event) => choose("for", event.target.value));
on("act", "change", (event) => choose("act", event.target.value));
on("find", "input", (event) => {
  state.find = event.target.value;
  find();
});
// A browser takes long over the address of a large book: not at each key.
on("find", "change", keepState);
on("find", "keydown", (event) => {
  if (event.key === "Enter") findSteps.step(event.shiftKey ? -1 : 1);
});
on("find-back", "click", () => findSteps.step(-1));
on("find-on", "click", () => findSteps.step(1));
on("lit-back", "click", () => litSteps.step(-1));
on("lit-on", "click", () => litSteps.step(1));
on("lit-off", "click", () => choose("lit", ""));
on("untick", "click", untick);
on("print", "click", () => window.print());

document.addEventListener("click", (event) => {
  if (event.target.closest("input, a, select, .tools") || String(getSelection())) return;
  const element = event.target.closest("[data-s], [data-p]");
  if (element) press(element);
});
document.addEventListener("change", (event) => {
  if (event.target.dataset.tick) tick(event.target);
});
document.addEventListener("keydown", (event) => {
  const field = one("find");
  if (event.key === "Escape") choose(document.activeElement === field && state.find ? "find" : "lit", "");
  const typing = event.target.matches("input:not([type=checkbox]), select");
  if (event.key !== "/" || typing || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  field.focus();
  field.select();
});
window.addEventListener("hashchange", () => {
  readState();
  apply();
  goTo(state.at);
});

one("tools").hidden = false;
for (const sheet of sheets) makeTicks(sheet);
keepTicks();
readState();
apply();
if (state.at) goTo(state.at);
readAhead();
// What no finger can pan, keys must.
for (const frame of all(".wide, .plate, .labels")) if (frame.scrollWidth > frame.clientWidth) frame.tabIndex = 0;

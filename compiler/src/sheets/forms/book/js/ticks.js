// Ticks are kept in this browser under the mark of the plan, and nothing else is. Without a store they hold until
// the page is closed.
const drawer = `fantail ${plan.mark}`;
const ticked = new Set(storedTicks());

function storedTicks() {
  try {
    const kept = JSON.parse(localStorage.getItem(drawer) ?? "[]");
    return Array.isArray(kept) ? kept : [];
  } catch {
    return [];
  }
}

function keepTicks() {
  one("untick").hidden = !ticked.size;
  try {
    if (ticked.size) localStorage.setItem(drawer, JSON.stringify([...ticked]));
    else localStorage.removeItem(drawer);
  } catch {
    // No store: nothing to do.
  }
}

// Puts an input into each box of one sheet, named after its column and its row.
function makeTicks(sheet) {
  all("table", sheet).forEach((table, t) => {
    const names = all("thead th", table).map((th) => th.textContent);
    all("tbody tr", table).forEach((row, r) => {
      for (const cell of row.cells) {
        if (!cell.classList.contains("t") || cell.firstChild) continue;
        const about = Array.from(row.querySelectorAll(".k"), (key) => key.textContent).join(" ");
        const input = document.createElement("input");
        input.type = "checkbox";
        input.setAttribute("aria-label", `${names[cell.cellIndex]}: ${about || row.cells[0].textContent}`);
        input.dataset.tick = `${sheet.id.slice("sheet-".length)} ${t}.${r}.${cell.cellIndex}`;
        input.checked = ticked.has(input.dataset.tick);
        cell.append(input);
      }
    });
  });
}

function tick(input) {
  if (input.checked) ticked.add(input.dataset.tick);
  else ticked.delete(input.dataset.tick);
  keepTicks();
}

function untick() {
  ticked.clear();
  for (const input of all("[data-tick]")) input.checked = false;
  keepTicks();
}

// Places to step through, one after the other and round again.
function stepper(mark, tell) {
  let places = [];
  let at = -1;
  const go = (to) => {
    places[at]?.classList.remove(mark);
    at = places.length ? (to + places.length) % places.length : -1;
    const place = places[at];
    place?.classList.add(mark);
    if (place) show(place, "center");
    tell(at, places);
  };
  return {
    set(list) {
      places[at]?.classList.remove(mark);
      places = list;
      at = -1;
      tell(at, places);
    },
    // `from`: an element to go on from, where none is stepped to yet.
    step(by, from) {
      if (at < 0 && from) at = places.indexOf(from);
      go(at < 0 && by < 0 ? places.length - 1 : at + by);
    },
  };
}

// Sheets far away have no height until they come near: the second look is the exact one.
function show(element, block = "start") {
  element.scrollIntoView({ block });
  requestAnimationFrame(() => element.scrollIntoView({ block }));
}

const sheetOf = (element) => element.closest(".sheet");
const titleOf = (element) => sheetOf(element)?.querySelector("h2").textContent ?? "";

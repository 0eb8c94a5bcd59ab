"use strict";
// The list of all that is shown, each row with what may be done to it, and the marks of what was done.

Brackets.things = function ({ page, parts, pick }) {
  const { element } = Brackets;
  const $ = (id) => document.getElementById(id);
  const units = () => {
    const found = new Set();
    for (const item of parts.items) if (page.picked.includes(item.unit) || page.picked.includes(item.name) || page.picked.includes(item.thing)) found.add(item.unit);
    return [...found];
  };

  function list() {
    const box = $("things");
    box.replaceChildren(...[...parts.units.values()].map((unit) => {
      const row = element("div", null, { class: "row", "data-unit": unit.name });
      const swatch = element("span", null, { class: "swatch" });
      swatch.style.background = `#${parts.colour(unit.items[0]).toString(16).padStart(6, "0")}`;
      const who = element("button", unit.name, { type: "button", class: "who" });
      who.addEventListener("click", () => pick(page.picked.includes(unit.name) ? [] : [unit.name], {}));
      const hide = element("button", "hide", { type: "button", "data-do": "hide", "aria-label": `hide ${unit.name}` });
      hide.addEventListener("click", () => { parts.hide([unit.name], !unit.hidden); marks(); });
      const only = element("button", "only", { type: "button", "aria-label": `only ${unit.name}` });
      only.addEventListener("click", () => { parts.only([unit.name]); marks(); });
      const through = element("button", "see through", { type: "button", "data-do": "through", "aria-label": `see through ${unit.name}` });
      through.addEventListener("click", () => { parts.through([unit.name], !unit.through); marks(); });
      row.append(swatch, who, hide, only, through);
      return row;
    }));
    marks();
  }

  function marks() {
    for (const row of $("things").children) {
      const unit = parts.units.get(row.dataset.unit);
      if (!unit) continue;
      row.classList.toggle("lit", page.picked.includes(unit.name));
      row.querySelector('[data-do="hide"]').setAttribute("aria-pressed", String(unit.hidden));
      row.querySelector('[data-do="through"]').setAttribute("aria-pressed", String(unit.through));
    }
    const mine = units();
    for (const id of ["hide", "only", "frame", "through"]) $(id).disabled = !mine.length;
    $("through").setAttribute("aria-pressed", String(mine.length > 0 && mine.every((name) => parts.units.get(name).through)));
  }
  return { units, list, marks };
};

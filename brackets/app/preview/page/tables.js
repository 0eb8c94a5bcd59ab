"use strict";
// The figures: findings, mass, gaps. A row lights up what it speaks of, and is lit when that is picked.

Brackets.element = function (tag, text, attributes) {
  const made = document.createElement(tag);
  if (text !== undefined && text !== null) made.textContent = text;
  for (const [name, value] of Object.entries(attributes || {})) made.setAttribute(name, value);
  return made;
};

// A name may be broken after an underscore, and nowhere else: upper_rail_left.
Brackets.named = function (tag, text, attributes) {
  const made = Brackets.element(tag, null, attributes);
  text.split(/(?<=_)/).forEach((piece, i) => {
    if (i) made.append(document.createElement("wbr"));
    made.append(piece);
  });
  return made;
};

Brackets.tables = function (host, chosen) {
  const { element } = Brackets;
  const ORDER = ["findings", "cautions", "gaps", "moved", "slack", "paths", "bolts", "adjust", "mass", "pieces", "inertia"];
  const shown = new Map();
  const tables = { rows: [] };

  tables.show = function (list, replace) {
    if (replace) shown.clear();
    for (const table of list) shown.set(table.key, table);
    const closed = new Set([...host.querySelectorAll("details:not([open])")].map((d) => d.dataset.key));
    host.replaceChildren();
    tables.rows = [];
    for (const key of [...ORDER, ...[...shown.keys()].filter((k) => !ORDER.includes(k))]) {
      if (shown.has(key)) host.append(box(shown.get(key), !closed.has(key)));
    }
  };

  // A table that still speaks of the values before; the new one is on its way.
  tables.old = function (key) {
    const box = host.querySelector(`[data-key="${key}"]`);
    if (box) box.classList.add("old");
  };

  function box(table, open) {
    const details = element("details", null, { "data-key": table.key });
    details.open = open && table.key !== "inertia";
    details.append(element("summary", table.title));
    if (table.note) details.append(element("p", table.note, { class: "note" }));
    if (!table.rows.length) return details;
    const wide = element("div", null, { class: "wide" });
    const grid = element("table");
    const head = element("tr");
    for (const column of table.columns) head.append(element("th", column.name, { scope: "col", class: column.right ? "right" : "" }));
    const top = element("thead");
    top.append(head);
    const body = element("tbody");
    table.rows.forEach((row) => body.append(line(table, row)));
    grid.append(top, body);
    wide.append(grid);
    details.append(wide);
    return details;
  }

  function line(table, row) {
    const tr = element("tr", null, row.level ? { class: row.level } : {});
    row.cells.forEach((cell, i) => {
      const td = Brackets.named("td", i ? cell : "", { class: table.columns[i].right ? "right" : "" });
      if (i === 0) {
        if (row.things.length) {
          const button = Brackets.named("button", cell, { type: "button", "aria-pressed": "false" });
          button.addEventListener("click", (event) => { event.stopPropagation(); chosen(row, tr.classList.contains("lit")); });
          td.replaceChildren(button);
        } else td.textContent = cell;
      }
      tr.append(td);
    });
    if (row.things.length) tr.addEventListener("click", () => chosen(row, tr.classList.contains("lit")));
    tables.rows.push({ row, tr });
    return tr;
  }

  // Lights the rows that speak of what is picked; scrolls to the first where a thing was picked in the picture.
  tables.light = function (names, only, scroll) {
    let first = null;
    for (const { row, tr } of tables.rows) {
      const lit = only ? row === only : names.length > 0 && row.things.some((name) => names.includes(name));
      tr.classList.toggle("lit", lit);
      const button = tr.querySelector("button");
      if (button) button.setAttribute("aria-pressed", String(lit));
      if (lit && !first && tr.offsetParent) first = tr;
    }
    if (first && scroll) first.scrollIntoView({ block: "nearest" });
  };

  return tables;
};

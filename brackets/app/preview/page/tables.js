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
  const ORDER = ["findings", "moved", "gaps", "strength", "welds", "stiffness", "not", "slack", "links", "drive", "props", "adjust", "seats", "rules", "paths", "bolts", "buy", "cut", "cautions", "notes", "mass", "masses", "pieces", "inertia", "values"];
  const CLOSED = new Set(["inertia", "seats", "rules", "buy", "cut", "masses"]);  // lists to look things up in
  const MOST = 12;  // rows that are seen at once, the worst
  const rank = (key) => { const i = ORDER.indexOf(key.split(" ")[0]); return i < 0 ? ORDER.length : i; };
  const shown = new Map();
  let folding = false;  // of a bay, what is looked things up in
  const tables = { rows: [], boxes: [] };

  tables.show = function (list, replace, fold) {
    folding = fold;
    if (replace) shown.clear();
    for (const table of list) shown.set(table.key, table);
    const was = new Map([...host.querySelectorAll("details")].map((d) => [d.dataset.key, d.open]));
    const open = (key, first) => (was.has(key) ? was.get(key) : first);
    host.replaceChildren();
    tables.rows = [];
    tables.boxes = [...shown.values()].sort((a, b) => rank(a.key) - rank(b.key)).map((table) => [table, box(table, open)]);
    host.append(...tables.boxes.map(([, made]) => made));
  };

  tables.row = (key, i) => (shown.has(key) ? shown.get(key).rows[i] : undefined);

  // A table that still speaks of the values before; the new one is on its way.
  tables.old = function (key) {
    const box = host.querySelector(`[data-key="${key}"]`);
    if (box) box.classList.add("old");
  };

  function box(table, open) {
    const details = element("details", null, { "data-key": table.key });
    details.open = open(table.key, !CLOSED.has(table.key) && !(folding && table.key.startsWith("values")));
    details.append(element("summary", table.title));
    if (table.note) details.append(element("p", table.note, { class: "note" }));
    const advice = table.key === "findings" ? table.rows.filter((row) => row.level === "advice") : [];
    const rest = table.rows.filter((row) => !advice.includes(row));
    if (rest.length) details.append(grid(table, rest.slice(0, table.key === "findings" ? rest.length : MOST)));
    const folded = advice.length ? [advice, `${advice.length} advice: what the trade would say`] : table.key !== "findings" && rest.length > MOST ? [rest.slice(MOST), `${rest.length - MOST} more`] : null;
    if (folded) {
      const more = element("details", null, { class: "more", "data-key": `${table.key} more` });
      more.open = open(`${table.key} more`, false);
      more.append(element("summary", folded[1]), grid(table, folded[0]));
      details.append(more);
    }
    return details;
  }

  function grid(table, rows) {
    const wide = element("div", null, { class: "wide" });
    const made = element("table");
    const head = element("tr");
    for (const column of table.columns) head.append(element("th", column.name, { scope: "col", class: column.right ? "right" : "" }));
    const top = element("thead");
    top.append(head);
    const body = element("tbody");
    rows.forEach((row) => body.append(line(table, row)));
    made.append(top, body);
    wide.append(made);
    return wide;
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

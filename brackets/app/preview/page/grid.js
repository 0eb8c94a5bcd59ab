"use strict";
// One table of figures as a grid: what is long stands below its row, across the whole width; a row that comes anew takes
// the place of the one it was, so that who reads it or has it in hand keeps it.

Brackets.grid = (function () {
  const { element } = Brackets;
  const LONG = 36, TEXT = 11, CH = 8.2, DIGIT = 8.7;  // letters of a text that goes below; letters a shorter one needs; px a letter, px a digit
  const grid = {};

  // ------------------------------------------------------------------ columns
  const longest = (texts) => Math.max(0, ...texts.map((text) => text.length));
  const word = (text) => longest(text.split(/[\s_]+/));

  // Letters that a column takes at least: a figure is whole, and so is a word.
  grid.tightest = ({ right, least, unbroken }) => 1.2 + (right ? least : unbroken);

  // Which columns stand in the row and how wide each is, which go below it, and which have nothing to say.
  // `wide`: px there are. The first two columns say what a row is about and always stay.
  grid.columns = function (table, wide) {
    const all = table.columns.map((column, i) => {
      const cells = table.rows.map((row) => row.cells[i]), most = longest(cells);
      const least = column.right ? Math.max(most, word(column.name)) : Math.max(Math.min(most, TEXT), Math.min(word(column.name), TEXT));
      const unbroken = Math.min(Math.max(word(column.name), ...cells.map(word)), TEXT);
      return { i, right: column.right, most, least, unbroken, below: false, empty: most === 0 };
    });
    const there = all.filter((one) => !one.empty), may = there.filter((one) => one.i > 1 && (!one.right || one.most > TEXT)).sort((a, b) => b.most - a.most);
    const needs = () => there.filter((one) => !one.below).reduce((sum, one) => sum + one.least + 1, 0);
    for (const one of may) if (there.length > 2 && (one.most > LONG || needs() > wide / CH)) one.below = true;
    const tight = () => there.filter((one) => !one.below).reduce((sum, one) => sum + grid.tightest(one), 0);
    for (const one of there.slice(2).reverse()) if (!one.below && tight() > wide / DIGIT) one.below = true;
    return all;
  };

  // Tells every row's cells where they stand; equal for all grids of one table, so that their columns are in line.
  grid.lay = function (made, table, wide) {
    const all = grid.columns(table, wide);
    const tracks = all.filter((one) => !one.below && !one.empty).map((one) => {
      if (!one.right && one.most > TEXT) return `minmax(${grid.tightest(one)}ch, ${Math.min(one.most, LONG)}fr)`;
      const letters = 1.2 + (one.right ? one.least : Math.max(one.least, one.most));
      return `minmax(${grid.tightest(one)}ch, ${letters / 2}fr)`;
    });
    made.table.style.gridTemplateColumns = tracks.join(" ");
    for (const tr of made.table.rows) [...tr.cells].forEach((cell, i) => {
      const { below, empty } = all[i];
      cell.classList.toggle("below", below);
      cell.classList.toggle("empty", empty || (below && cell.tagName === "TD" && !cell.textContent));
    });
  };

  grid.made = function () {
    const made = { box: element("div", null, { class: "wide" }), table: element("table", null, { role: "table" }), heads: "" };
    made.top = element("thead", null, { role: "rowgroup" });
    made.body = element("tbody", null, { role: "rowgroup" });
    made.table.append(made.top, made.body);
    made.box.append(made.table);
    return made;
  };

  grid.fill = function (made, table, lines, wide) {
    const heads = JSON.stringify(table.columns);
    if (made.heads !== heads) {
      made.heads = heads;
      const head = element("tr", null, { role: "row" });
      for (const column of table.columns) head.append(element("th", column.name, { role: "columnheader", scope: "col", class: column.right ? "right" : "" }));
      made.top.replaceChildren(head);
    }
    grid.place(made.body, lines.map((line) => line.tr));
    made.box.hidden = !lines.length;
    grid.lay(made, table, wide);
  };

  // Puts nodes into a box in this order; what stands where it should is not moved, and so keeps the hand that is on it.
  grid.place = function (box, nodes) {
    const kept = new Set(nodes);
    for (const one of [...box.childNodes]) if (!kept.has(one)) one.remove();
    nodes.forEach((node, i) => { if (box.childNodes[i] !== node) box.insertBefore(node, box.childNodes[i] || null); });
  };

  // ------------------------------------------------------------------ rows
  // What a row is, whatever its figures are: to the letter, and by what it is about alone.
  const plain = (text) => text.replace(/[-−]?\d+(\.\d+)?/g, "#");
  function names(table, row) {
    const texts = row.cells.filter((_, i) => !table.columns[i].right).map(plain);
    return [texts.join("|"), `${row.things.join("|")}|${texts.slice(0, 2).join("|")}`];
  }

  // The lines of a table's rows, in their order; `was`: its lines before, whose rows are used again.
  grid.lines = function (table, was) {
    const named = table.rows.map((row) => names(table, row)), found = table.rows.map(() => null);
    for (const n of [0, 1]) {
      const left = new Map();
      for (const line of was) if (!line.taken) left.set(line.names[n], [...(left.get(line.names[n]) || []), line]);
      named.forEach((name, i) => {
        const line = found[i] === null && (left.get(name[n]) || []).shift();
        if (line) { line.taken = true; found[i] = line; }
      });
    }
    return table.rows.map((row, i) => {
      const line = found[i] || { tr: element("tr", null, { role: "row" }), said: "" };
      Object.assign(line, { row, key: table.key, names: named[i], taken: false });
      said(line, table);
      return line;
    });
  };

  function said(line, table) {
    const { tr, row } = line, text = JSON.stringify([row.cells, row.things.length > 0, table.columns]);
    for (const level of ["stop", "caution", "advice", "accepted"]) tr.classList.toggle(level, row.level === level);
    if (line.said === text) return;
    line.said = text;
    while (tr.cells.length > row.cells.length) tr.lastChild.remove();
    row.cells.forEach((cell, i) => {
      const td = tr.cells[i] || tr.appendChild(element("td", null, { role: "cell" }));
      td.classList.toggle("right", Boolean(table.columns[i].right));
      td.dataset.head = table.columns[i].name.startsWith("what") ? "" : table.columns[i].name;
      const press = i === 0 && row.things.length > 0;
      if (press && !td.querySelector("button")) td.replaceChildren(element("button", null, { type: "button", "aria-pressed": "false" }));
      Brackets.named(press ? td.firstChild : td, cell);
      if (press) td.firstChild.setAttribute("aria-label", row.cells.slice(0, 2).filter(Boolean).join(", "));  // not "caution" 26 times
    });
  }

  return grid;
})();

"use strict";
// The figures: findings, gaps, strength, mass. Of a long table the worst rows are seen, the others are a click away; a
// row lights up what it speaks of, and is lit when that is picked.

Brackets.tables = function (host, chosen, toSections) {
  const { element, grid } = Brackets;
  const GROUPS = [
    ["", ["findings"]],
    ["Does it clear", ["moved", "gaps", "paths", "bolts", "slack", "links", "drive", "props", "adjust", "seats", "rules"]],
    ["Will it hold", ["strength", "not", "welds", "stiffness"]],
    ["What it weighs", ["mass", "masses", "pieces", "inertia"]],
    ["How it is made", ["cautions", "notes", "buy", "cut"]],
    ["As it is typed", ["values"]],
  ];
  const ORDER = GROUPS.flatMap(([, keys]) => keys);
  const OPEN = new Set(["findings", "moved", "gaps", "paths", "bolts", "strength", "pieces", "cautions", "notes"]);
  const BAY_SHUT = new Set(["cautions"]);  // of a bay there is enough before them
  const WORST = 4, FINE = 3, FEW = 7;  // rows that are seen of a long table, and of one with nothing bad in it; a table of FEW is not long
  const BAD = ["stop", "caution"], FOLDED = "advice";
  const kind = (key) => key.split(" ")[0];
  const rank = (key) => { const i = ORDER.indexOf(kind(key)); return i < 0 ? ORDER.length : i; };
  const boxes = new Map(), heads = new Map();
  let about = "", wide = 0;
  const tables = { rows: [], boxes: [] };

  // `first`: tables that were here and are not among these speak of values before; `last`: those are gone. `of`: what the
  // page is about, a bay or a recipe; where it is about neither, all are open.
  tables.show = function (list, { first, last, of } = {}) {
    about = of || "";
    const told = new Set(list.map((table) => table.key));
    for (const [key, box] of boxes) if (first && !told.has(key)) old(box, true);
    for (const table of list) {
      if (!boxes.has(table.key)) boxes.set(table.key, made(table));
      old(boxes.get(table.key), false);
      fill(boxes.get(table.key), table);
    }
    for (const [key, box] of boxes) if (last && box.old && !told.has(key)) boxes.delete(key);
    const all = [...boxes.values()].sort((a, b) => rank(a.table.key) - rank(b.table.key));
    grid.place(host, all.flatMap((box, i) => [...headed(box, all[i - 1]), box.details]));
    tables.boxes = all.map((box) => [box.table, box.details]);
    tables.rows = all.flatMap((box) => box.lines);
  };

  // Of a bay each of the questions that tables answer stands above the first of them.
  const group = (box) => (about === "bay" ? GROUPS.find(([, keys]) => keys.includes(kind(box.table.key))) || [""] : [""])[0];
  tables.group = (table) => group({ table });
  function headed(box, before) {
    const name = group(box);
    if (!name || (before && group(before) === name)) return [];
    if (!heads.has(name)) {
      const head = element("h2", name), up = element("a", "all sections", { href: "#jump" });
      up.addEventListener("click", (event) => { event.preventDefault(); toSections(); });
      head.append(up);
      heads.set(name, head);
    }
    return [heads.get(name)];
  }

  tables.row = (key, i) => (boxes.has(key) ? boxes.get(key).table.rows[i] : undefined);

  // A table that still speaks of the values before; the new one is on its way.
  tables.old = function (key) { if (boxes.has(key)) old(boxes.get(key), true); };
  function old(box, is) {
    box.old = is;
    box.details.classList.toggle("old", is);
    Brackets.write(box.before, is ? " of the values before" : "");
  }

  function made(table) {
    const box = { details: element("details", null, { "data-key": table.key }), lines: [], note: element("p", null, { class: "note" }), old: false };
    box.name = element("span");
    box.count = element("span", null, { class: "n" });
    box.before = element("span", "", { class: "n" });
    const summary = element("summary");
    summary.append(box.name, box.count, box.before);
    box.seen = grid.made();
    box.rest = fold(`${table.key} rest`);
    box.advice = fold(`${table.key} more`);
    box.details.append(summary, box.note, box.seen.box, box.rest.details, box.advice.details);
    box.details.open = !about || (!(about === "bay" && BAY_SHUT.has(kind(table.key))) && (OPEN.has(kind(table.key)) || table.rows.some((row) => BAD.includes(row.level))));
    return box;
  }
  function fold(key) {
    const made = { details: element("details", null, { class: "more", "data-key": key }), head: element("summary"), grid: grid.made() };
    made.details.append(made.head, made.grid.box);
    return made;
  }

  function fill(box, table) {
    box.table = table;
    const [title, ...more] = table.title.split(": "), note = [more.join(": "), table.note].filter(Boolean).join(". ");
    Brackets.write(box.name, title);
    const bad = BAD.map((level) => [level, table.rows.filter((row) => row.level === level).length]);
    const said = bad.filter(([, n]) => n).map(([level, n]) => (level === "stop" ? `${n} STOP` : `${n} caution${n > 1 ? "s" : ""}`));
    Brackets.write(box.count, [table.rows.length > 1 ? table.rows.length : "", ...said].filter(Boolean).join(", ").replace(/^(?=.)/, " "));
    box.count.classList.toggle("stop", bad[0][1] > 0);
    Brackets.write(box.note, note);
    box.note.hidden = !note;
    box.lines = grid.lines(table, box.lines);
    const advice = box.lines.filter((line) => kind(table.key) === "findings" && line.row.level === FOLDED);
    const rank = (line) => { const i = BAD.indexOf(line.row.level); return i < 0 ? BAD.length : i; };
    const worst = box.lines.filter((line) => !advice.includes(line)).map((line, i) => [line, i]).sort(([a, i], [b, j]) => rank(a) - rank(b) || i - j).map(([line]) => line);
    const most = (!about || OPEN.has(kind(table.key))) && worst.length > FEW ? (rank(worst[0]) < BAD.length ? WORST : FINE) : worst.length;
    wide = host.clientWidth || wide;
    grid.fill(box.seen, table, worst.slice(0, most), wide);
    part(box.rest, table, worst.slice(most), kind(table.key) === "findings" ? `all ${worst.length} that are more than advice` : `all ${worst.length} rows`);
    part(box.advice, table, advice, `${advice.length} advice: what the trade would say`);
  }
  function part(fold, table, lines, said) {
    fold.details.hidden = !lines.length;
    Brackets.write(fold.head, said);
    grid.fill(fold.grid, table, lines, wide);
  }
  new ResizeObserver(() => {
    if (Math.abs(host.clientWidth - wide) < 8) return;
    wide = host.clientWidth;
    for (const box of boxes.values()) for (const one of [box.seen, box.rest.grid, box.advice.grid]) grid.lay(one, box.table, wide);
  }).observe(host);

  host.addEventListener("click", (event) => {
    const tr = event.target.closest("tr"), line = tr && tables.rows.find((one) => one.tr === tr);
    if (!line || !line.row.things.length) return;
    chosen(line.row, tr.classList.contains("lit"), boxes.get(line.key).old);
  });

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

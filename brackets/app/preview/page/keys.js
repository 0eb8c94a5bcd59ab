"use strict";
// What each key does, and the list that says so.

Brackets.keys = function ({ page, stage, parts, labels, measure, works, engine, grip, tools, host, pick, clicked, back }) {
  const { element } = Brackets;
  const $ = (id) => document.getElementById(id);
  const { does, slant, cutAcross } = tools;
  const KEYS = [
    ["1 … 7", "look from: slant, front, rear, left, right, top, under"],
    ["arrows", "turn the picture; with Shift, shift it"],
    ["+  −", "nearer, further"],
    ["A", "show all"], ["P", "perspective or parallel"], ["M", "measure; arrows move the cross, Enter picks, Backspace begins again"],
    ["Enter", "pick what is under the middle of the picture"],
    ["N  B", "pick the next, the one before"],
    ["H", "hide what is picked"], ["O", "only what is picked"], ["Q", "close up of what is picked"], ["T", "see through what is picked"], ["U", "everything back"],
    ["X  Y  Z", "section across that axis, again: none"], ["[  ]", "shift the section"],
    [",  .", "pull apart: less, more"], ["F  G", "fold: flatter, more folded"], ["J  K", "rock: one way, the other"], ["W", "next way of rocking"],
    ["L", "all gap lines"], ["C", "axes and centres"], ["D", "dark or light"], ["S", "save picture"], ["Esc", "pick nothing"],
    ["E", "move the engine: its ring takes the arrows for the two axes across the view, Page Up and Page Down for the third, Shift with left and right turns it"],
    ["Ctrl-Z  Ctrl-Y", "undo, redo what was typed"],
  ];
  for (const [key, what] of KEYS) $("keys").append(element("dt", key), element("dd", what));

  function slide(id, by) {
    const range = $(id);
    range.value = Number(range.value) + by;
    range.dispatchEvent(new Event("input"));
  }
  function step(by) {
    const names = [...parts.units.values()].filter((unit) => !unit.hidden).map((unit) => unit.name);
    if (names.length) pick([names[(names.indexOf(page.picked[0]) + by + names.length) % names.length]], { scroll: true });
  }
  function across(axis) {
    $("section-axis").value = $("section-axis").value === axis ? "" : axis;
    cutAcross();
  }
  function way(by) {
    const select = $("rock-way");
    if (!select.options.length) return;
    select.selectedIndex = (select.selectedIndex + by) % select.options.length;
    select.dispatchEvent(new Event("change"));
  }
  const middle = () => labels.cursor || { x: host.clientWidth / 2, y: host.clientHeight / 2 };
  function arrow(dx, dy, event) {
    if (measure.asked()) {
      const by = event.shiftKey ? 1 : 12;
      labels.cursor = { x: middle().x + dx * by, y: middle().y - dy * by };
      measure.hover(labels.cursor.x, labels.cursor.y);
    } else if (event.shiftKey) stage.shift(dx * 0.05, dy * 0.05);
    else stage.turn(-dx * 0.12, -dy * 0.12);
  }
  const press = {
    a: () => does.all(), p: () => does.lens(), m: () => does.measure(), h: () => does.hide(), o: () => does.only(), q: () => does.frame(), t: () => does.through(),
    u: () => does.back(), l: () => does.gaps(), c: () => does.axes(), d: () => does.dark(), s: () => does.save(),
    x: () => across("x"), y: () => across("y"), z: () => across("z"),
    "[": () => slide("section-at", -25), "]": () => slide("section-at", 25),
    ",": () => slide("apart", -10), ".": () => slide("apart", 10), f: () => slide("fold", -10), g: () => slide("fold", 10),
    j: () => slide("rock", -20), k: () => slide("rock", 20), w: () => way(1), n: () => step(1), b: () => step(-1),
    "+": () => stage.zoom(1.2), "=": () => stage.zoom(1.2), "-": () => stage.zoom(1 / 1.2),
    e: () => { if (!$("engine").hidden) { $("engine").click(); if (engine.open) grip.ring.focus({ preventScroll: true }); } },
    escape: () => { measure.again(); works.still(); if (slant.kind) across(""); pick([], {}); }, backspace: () => measure.again(),
  };
  document.addEventListener("keydown", (event) => {
    const z = event.key.toLowerCase() === "z", y = event.key.toLowerCase() === "y";
    if ((event.ctrlKey || event.metaKey) && !event.altKey && (z || (y && !event.shiftKey))) {
      if (back(y || event.shiftKey ? "redo" : "undo")) event.preventDefault();  // else the browser's own, in its field
      return;
    }
    if (!stage || event.ctrlKey || event.metaKey || event.altKey) return;
    const where = event.target;
    if (where.matches && where.matches("input, select, textarea") && event.key !== "Escape") return;
    const key = event.key.toLowerCase();
    const view = Object.keys(Brackets.VIEWS)[Number(key) - 1];
    const arrows = { arrowleft: [-1, 0], arrowright: [1, 0], arrowup: [0, 1], arrowdown: [0, -1] };
    if (view) stage.view(view, parts.box());
    else if (arrows[key] && (where === host || where === document.body)) arrow(...arrows[key], event);
    else if (key === "enter" && where === host) clicked(middle().x, middle().y);
    else if (press[key]) press[key]();
    else return;
    event.preventDefault();
  });
};

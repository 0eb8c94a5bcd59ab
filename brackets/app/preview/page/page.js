"use strict";
// Puts the page together: what comes in is shown, what is pressed is done.

Brackets.page = (function () {
  const { element } = Brackets;
  const $ = (id) => document.getElementById(id);
  const says = new Map();
  const page = { picked: [], folded: 1, theme: "light", seq: -1, forms: {}, header: null, moves: null, movers: [], modes: [], bars: [], worst: [] };
  const host = $("stage");
  const stage = Brackets.stage(host);
  const parts = stage && Brackets.parts(stage);
  const section = stage && Brackets.section(stage, parts);
  const labels = stage && Brackets.labels(stage, parts, host);
  const measure = stage && Brackets.measure(stage, parts, labels, say, Brackets.snap(stage, parts, host));
  const sights = stage && Brackets.sights({ page, stage, parts });
  const rocking = stage && Brackets.rocking({ page, parts, still: () => works.still() });
  const rest = () => rocking.toRest();
  const works = stage && Brackets.works({ stage, parts, labels, say, rest, seek: stage && sights.seek });
  const things = stage && Brackets.things({ page, parts, pick });
  const tools = Brackets.tools({ page, stage, parts, section, labels, measure, things });
  let first = true, typed = {}, given = {}, slow = null, lostFor = null;
  const wire = { live: true, send() {}, cut() {} };
  const ask = (message) => wire.send(message);
  const send = (message) => { said.tell([]); ask(message); };  // what Keep answered is of what was typed before
  const fields = Brackets.values($("fields"), send, (part) => pick([part], { keepPart: true }));
  // A row of the values before is of its things, and of no place: what was there may be elsewhere now.
  const tables = Brackets.tables($("tables"), (row, lit, old) => {
    pick(lit ? [] : row.things, old ? {} : { row, pair: row.pair });
    if (!lit) look(old ? { things: row.things, level: row.level } : row);
  }, () => top.go());
  const top = Brackets.top($("top"), $("jump"), $("stale"), host);
  const engine = Brackets.engine(parts, host, {
    stage, box: $("engine-box"), button: $("engine"), note: $("carried"), away: (yes) => away(yes), live: () => wire.live, rest, send, ask,
    keep,
    pick: (names) => pick(names, {}),
  });
  const said = Brackets.trouble({ page, fields, engine, top, labels, send: ask, form });
  const look = (row) => { if (stage) sights.place(row); };

  if (!stage) {
    document.documentElement.classList.add("no-3d");
    $("flat-note").hidden = false;
    $("tools").hidden = true;
    $("things-box").hidden = true;
    $("keys-box").hidden = true;
  }

  // ------------------------------------------------------------------ what comes in
  const handle = {
    state(header) {
      typed = header.typed;
      given = header.given;
      const own = Object.entries(typed).flatMap(([part, texts]) => Object.entries(texts).filter(([name, text]) => (given[part] || {})[name] !== text));
      $("undo").disabled = !header.back;
      $("redo").disabled = !header.forward;
      Brackets.write($("count"), own.length ? `${own.length} typed` : "nothing typed");
      top.waiting(header.busy && header.seq > page.seq ? (page.header ? "Being worked out: not shown yet." : "Being built: the first shape takes some seconds.") : null);
      clearTimeout(slow);
      if (header.busy) slow = setTimeout(() => { $("busy").textContent = "working"; }, 300);  // not for every step
      else Brackets.write($("busy"), "");
      document.body.dataset.busy = String(header.busy);
      fields.typed(typed, given);
      engine.typed(typed);
    },
    // The shape is drawn first; the figures beside it come when it is on the screen.
    picture(header, meshes) {
      page.header = header;
      Brackets.inch = header.bare === "in";
      const whole = "forms" in header;  // a saved page has it all in one
      if (whole) stood(header);
      page.worst = [];
      if (!stage) { if (whole) figures(header); return; }
      parts.show(header, meshes);
      engine.show(header);
      works.take(null);
      rocking.moves();
      if (section.axis === "slanted") tools.held(section.share());
      else if (section.axis) tools.cut();
      if (first) { stage.view("slant", parts.box()); first = false; }
      stage.draw(false, true);
      onceSeen(() => { stage.words(); if (whole) figures(header); });
    },
    figures(header) {
      page.header = { ...header, ...page.header };
      stood(header);
      if (stage) rocking.moves();
      figures(page.header);
    },
    checks(header, meshes) {
      page.header = { ...page.header, pairs: header.pairs };
      verdict(header);
      listed(header.tables, {});
      if (page.header.about === "recipe") { tables.light(page.picked); return; }
      if (stage) { parts.more(header, meshes); things.list(); }
      pick(page.picked, {});
    },
    limits(header) { fields.limits(header.limits); },
    moved(header) {
      page.worst = header.worst;
      verdict(header);
      Brackets.write($("met"), header.met || "");
      $("met").classList.remove("old");
      top.worst(header.top || [], header.of, (one, old) => {
        const row = tables.row("findings", one.row);
        pick(one.things, old ? {} : { row: row || one, pair: one.pair });
        look(old ? { things: one.things, level: one.level } : one);
      });
      listed([...header.tables, ...notes(header.notes)], { last: true });
      if (stage) { rocking.moves(); works.take(header); }
      pick(page.picked, {});
    },
    refused(header) { said.trouble(header); engine.refused(header); before(header.unchecked ? "of the values before" : "of the last good shape"); },
    trial(header) { engine.heard(header); },
    best(header) { engine.heard(header); },
    searching(header) { engine.heard(header); },
    notice(header) { said.news(header.lines); },
    kept(header) { said.tell(header.lines, header.done); },
  };

  function listed(list, which) {
    tables.show(list, { ...which, of: page.header.about });
    top.sections(tables.boxes.map(([table, box]) => [tables.group(table), table, box]), [["Engine", $("engine-box")], ["Values", $("values")], ["What is shown", $("things-box")], ["Keys", $("keys-box")]]);
  }

  // How what is drawn may move, and its fields: null for a form that is as it was.
  function stood(header) {
    page.forms = Object.fromEntries(Object.entries(header.forms).map(([name, form]) => [name, form || page.forms[name]]));
    for (const key of ["moves", "movers", "modes", "bars"]) page[key] = header[key] || (key === "moves" ? null : []);
  }

  function figures(header) {
    Brackets.write($("title"), header.title);
    document.title = header.title;
    Brackets.write($("doc"), header.doc);
    verdict(header);
    said.trouble(null);
    engine.refused(null);
    top.waiting(null);
    said.news([]);
    if (header.stops === undefined) {
      before("of the values before");
      for (const id of ["met", "top"]) $(id).classList.add("old");
    }
    // Of a bay the verdict comes first. Moved once: a field that is moved loses the hand that is on it.
    if (header.about === "bay" && $("tables").nextElementSibling !== $("engine-box")) $("tables").after($("engine-box"), $("values"));
    form();
    listed([...header.tables, ...notes(header.notes)], { first: true });
    if (stage) {
      $("gaps").hidden = header.about !== "bay";
      $("fold-strip").hidden = !parts.canFold();
      if (!parts.canFold() && page.folded !== 1) { $("fold").value = 100; tools.fold(); }  // nothing is left to bring it back with
      things.list();
    }
    page.seq = header.seq;
    const say = () => { document.body.dataset.drawn = String(header.seq); };
    if (stage) requestAnimationFrame(() => requestAnimationFrame(say));
    else say();
    if (header.about === "bay" && header.pairs.length) handle.checks({ ...header, items: [], tables: [] }, new Map());
    if (header.worst) handle.moved({ ...header, tables: [] });
  }

  // What comes in is heard in its order; while a shape is on its way to the screen, the rest waits for it.
  const blocks = [];
  let waiting = false;
  function heard(block) {
    blocks.push(block);
    listen();
  }
  function listen() {
    while (blocks.length && !waiting) {
      const { header, meshes } = blocks.shift();
      if (handle[header.answer]) Brackets.held($("sheet"), () => handle[header.answer](header, meshes));
    }
  }
  function onceSeen(call) {
    waiting = true;
    const go = () => { waiting = false; Brackets.held($("sheet"), call); listen(); };
    if (document.hidden) go();  // no frame will come
    else requestAnimationFrame(() => setTimeout(go));
  }

  // What stands over the picture, each of those who speak on lines of its own.
  function say(who, text) {
    says.set(who, text);
    const all = [...says.values()].filter(Boolean).join("\n");
    Brackets.write($("readout"), all);
    $("readout").hidden = !all;
  }

  // The verdict is of other values than those typed, or of these: "". While the engine is carried, all figures but
  // those measured there are of the place that it was taken from.
  let whose = "", carried = false;
  function before(what) {
    whose = what;
    const of = whose || (carried ? "of the place before" : "");
    if ($("verdict").textContent) $("verdict").dataset.of = of;
    $("verdict").classList.toggle("old", of !== "");
  }
  function away(yes) {
    if (yes === carried) return;
    carried = yes;
    $("sheet").classList.toggle("away", yes);
    before(whose);
  }
  function verdict(header) {
    if (header.verdict === undefined) return;
    Brackets.write($("verdict"), header.verdict);
    $("verdict").classList.toggle("stop", header.stops);
    before("");
  }

  const notes = (list) => (list && list.length ? [{ key: "notes", title: "Notes", columns: [{ name: "" }], note: "", rows: list.map((text) => ({ cells: [text], things: [], level: "caution" })) }] : []);

  // ------------------------------------------------------------------ values
  function form() {
    const some = Object.keys(page.forms).length > 0;
    $("values").hidden = (!some && !(page.header && page.header.place)) || !wire.live;
    if (some) { fields.show(page.forms); fields.typed(typed, given); }
  }
  // `beside`: the line of the button that was pressed; the answer stands below it.
  function keep(beside) {
    beside.after($("notice"));
    said.tell(["writing"]);
    wire.send({ do: "keep" });
  }
  $("keep").addEventListener("click", () => keep($("keep").parentElement));
  function back(what) {
    if (!wire.live || !fields.release()) return false;
    send({ do: what });
    return true;
  }
  $("undo").addEventListener("click", () => back("undo"));
  $("redo").addEventListener("click", () => back("redo"));
  $("reset").addEventListener("click", () => send({ do: "reset" }));

  // ------------------------------------------------------------------ picking, both ways
  function pick(names, { row, pair, scroll, keepPart } = {}) {
    page.picked = names;
    if (!row) for (const button of $("top").querySelectorAll("button")) button.setAttribute("aria-pressed", "false");
    if (row && row.moved !== undefined && stage) rocking.toWorst(row.moved);
    else if (stage && $("rock-way").value.startsWith("w") && (row || !names.length)) rest();
    if (stage) {
      parts.pick(names, { pair });
      things.marks();
    }
    tables.light(names, row, scroll);
    const part = names.find((name) => name in page.forms);
    if (part && !keepPart) fields.choose(part);
    const known = [...new Set(names)].filter((name) => !stage || parts.items.some((item) => [item.name, item.thing, item.unit].includes(name)));
    $("picked-name").title = known.length ? known.join(", ") : "Nothing picked";
    Brackets.write($("picked-name"), $("picked-name").title);
  }

  $("engine").addEventListener("click", () => (engine.open ? engine.toggle(false) : engine.go()));
  if (stage) {
    Brackets.hint($("hint"));
    Brackets.lessTools($("less"), $("more-tools"));
    Brackets.pointer({ stage, parts, labels, measure, host, tag: $("hover"), clicked });
  }

  function clicked(x, y) {
    if (measure.asked()) { measure.click(x, y); return; }
    const hit = parts.under(stage.ray(x, y), true);
    if (!hit) { pick([], {}); return; }
    pick(hit.item.of ? [hit.item.unit, ...hit.item.of] : [hit.item.unit], { scroll: true });
  }

  // ------------------------------------------------------------------ begin
  tools.theme(window.matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");
  Object.assign(page, { wire, stage, parts, section, labels, measure, works, fields, tables, pick, engine });
  Brackets.page = page;
  function reach(lost) {
    clearTimeout(lostFor);
    if (lost) { lostFor = setTimeout(() => out(true), 800); return; }
    out(false);
  }
  function out(gone) {
    $("gone").hidden = !gone;
    document.body.classList.toggle("gone", gone);
    for (const one of [$("values"), $("engine-box"), $("grip"), $("engine")]) if (one) one.inert = gone;
    if (gone) $("busy").textContent = "";
  }
  const grip = stage && Brackets.grip(stage, parts, engine, host, labels);
  Brackets.keys({ page, stage, parts, labels, measure, works, engine, grip, tools, host, pick, clicked, back });
  Brackets.paper(stage, labels, $("printed"), $("sheet"));
  const real = Brackets.wire(heard, () => reach(true), () => { reach(false); engine.wake(); });
  wire.live = real.live;
  wire.send = (message) => real.send(message);
  wire.cut = () => real.cut();
  if (!real.live) { $("values").hidden = true; $("busy").textContent = ""; }
  return page;
})();


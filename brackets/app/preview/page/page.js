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
  const works = stage && Brackets.works({ stage, parts, labels, say, rest: () => toRest(), seek });
  let first = true, typed = {}, given = {}, refused = null, slow = null, lostFor = null;
  const wire = { live: true, send() {}, cut() {} };
  const fields = Brackets.fields($("fields"), (message) => { tell([]); wire.send(message); });  // an answer is of what was
  const tables = Brackets.tables($("tables"), (row, lit) => { pick(lit ? [] : row.things, { row, pair: row.pair }); if (!lit) place(row); });
  const top = Brackets.top($("top"), $("jump"), $("stale"), host);
  const of = (part) => given[part] || {};
  const engine = Brackets.engine(parts, host, {
    stage, box: $("engine-box"), button: $("engine"), jump: $("jump"), note: $("carried"), live: () => wire.live, rest: () => toRest(),
    keep() { $("values").open = true; $("keep").click(); },
    send: (message) => { tell([]); wire.send(message); }, pick: (names) => pick(names, {}),
  });

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
      const own = Object.entries(typed).flatMap(([part, texts]) => Object.entries(texts).filter(([name, text]) => of(part)[name] !== text));
      $("undo").disabled = !header.back;
      $("redo").disabled = !header.forward;
      $("count").textContent = own.length ? `${own.length} typed` : "nothing typed";
      top.waiting(header.busy && header.seq > page.seq ? (page.header ? "Being worked out: not shown yet." : "Being built: the first shape takes some seconds.") : null);
      clearTimeout(slow);
      if (header.busy) slow = setTimeout(() => { $("busy").textContent = "working"; }, 300);  // not for every step
      else $("busy").textContent = "";
      document.body.dataset.busy = String(header.busy);
      fields.typed(typed[fields.part] || {}, of(fields.part));
      engine.typed(typed);
    },
    // The shape is drawn first; the figures beside it come when it is on the screen.
    picture(header, meshes) {
      page.header = header;
      Brackets.inch = header.bare === "in";
      page.forms = Object.fromEntries(Object.entries(header.forms).map(([name, form]) => [name, form || page.forms[name]]));
      page.moves = header.moves;
      page.modes = header.modes;
      page.movers = header.movers;
      page.bars = header.bars;
      page.worst = [];
      if (!stage) { figures(header); return; }
      parts.show(header, meshes);
      engine.show(header);
      works.take(null);
      moves();
      if (section.axis === "slanted") held(section.share());
      else if (section.axis) cut();
      if (first) { stage.view("slant", parts.box()); first = false; }
      stage.draw(false, true);
      onceSeen(() => { stage.words(); figures(header); });
    },
    checks(header, meshes) {
      page.header = { ...page.header, pairs: header.pairs };
      verdict(header);
      listed(header.tables, false);
      if (page.header.about === "recipe") { tables.light(page.picked); return; }
      if (stage) { parts.more(header, meshes); things(); }
      pick(page.picked, {});
    },
    limits(header) { fields.limits(header.limits); },
    moved(header) {
      page.worst = header.worst;
      verdict(header);
      $("met").textContent = header.met || "";
      top.worst(header.top || [], header.of, (one) => {
        const row = tables.row("findings", one.row);
        pick(one.things, { row: row || one, pair: one.pair });
        place(one);
      });
      listed([...header.tables, ...notes(header.notes)], false);
      if (stage) { moves(); works.take(header); }
      pick(page.picked, {});
    },
    refused(header) { trouble(header); engine.refused(header); },
    trial(header) { engine.heard(header); },
    best(header) { engine.heard(header); },
    searching(header) { engine.heard(header); },
    notice(header) { news(header.lines); },
    kept(header) { tell(header.lines, header.done); },
  };

  function listed(list, replace) {
    tables.show(list, replace, page.header.about === "bay");
    top.sections(tables.boxes, [["Values", $("values")], ["Engine", $("engine-box")], ["What is shown", $("things-box")], ["Keys", $("keys-box")]]);
  }

  function figures(header) {
    $("title").textContent = header.title;
    document.title = header.title;
    $("doc").textContent = header.doc;
    verdict(header);
    trouble(null);
    engine.refused(null);
    top.waiting(null);
    news([]);
    $("met").textContent = header.met || "";
    if (!header.top) top.worst([], 0);
    if (header.about === "bay") $("tables").after($("values"));  // of a bay the verdict comes first
    form();
    listed([...header.tables, ...notes(header.notes)], header.about === "bay");
    if (header.stops === undefined) tables.old("findings");
    if (stage) {
      $("gaps").hidden = header.about !== "bay";
      $("fold-strip").hidden = !parts.canFold();
      if (!parts.canFold() && page.folded !== 1) { $("fold").value = 100; fold(); }  // nothing is left to bring it back with
      things();
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
      if (handle[header.answer]) handle[header.answer](header, meshes);
    }
  }
  function onceSeen(call) {
    waiting = true;
    const go = () => { waiting = false; call(); listen(); };
    if (document.hidden) go();  // no frame will come
    else requestAnimationFrame(() => setTimeout(go));
  }

  // What stands over the picture, each of those who speak on lines of its own.
  function say(who, text) {
    says.set(who, text);
    const all = [...says.values()].filter(Boolean).join("\n");
    $("readout").textContent = all;
    $("readout").hidden = !all;
  }

  function verdict(header) {
    if (header.verdict === undefined) return;
    $("verdict").textContent = header.verdict;
    $("verdict").classList.toggle("stop", header.stops);
  }

  const notes = (list) => (list && list.length ? [{ key: "notes", title: "Notes", columns: [{ name: "" }], note: "", rows: list.map((text) => ({ cells: [text], things: [], level: "caution" })) }] : []);

  function trouble(header) {
    refused = header;
    const box = $("trouble");
    const rest = header ? [...header.lines] : [], lost = [], all = [...rest];
    if (header && header.forms && Object.keys(header.forms).length && !Object.keys(page.forms).length) { page.forms = header.forms; form(); }
    const at = header ? header.fields : {};
    const strange = fields.wrong(at[fields.part] || {});
    for (const [part, problems] of Object.entries(at)) {
      for (const [name, line] of Object.entries(problems)) {
        const said = part ? `${part}: ${line}` : line;
        all.unshift(said);
        if (!(part in page.forms) || (part === fields.part && strange.includes(line))) lost.push([said, part, name]);
        else if (part !== fields.part) rest.push(said);
      }
    }
    box.replaceChildren(...rest.map((line) => element("p", line)), ...lost.map(([said, part, name]) => {
      const row = element("div", null, { class: "row" }), undo = element("button", "undo", { type: "button", "aria-label": `undo ${part} ${name}` });
      undo.addEventListener("click", () => wire.send({ do: "set", part, values: { [name]: null } }));
      row.append(element("p", said), undo);
      return row;
    }));
    const trace = header && header.trace.length;
    if (trace && !all.length) all.push(header.trace[header.trace.length - 1]);
    top.refused(all, page.header !== null && page.header.items.length > 0, () => toTrouble(at));
    if (labels) labels.stamp = all.length ? `last good shape; not shown: ${all[0]}` : "";
    if (header && header.trace.length) box.append(element("pre", header.trace.join("\n")));
    box.hidden = !rest.length && !lost.length && !trace;
    document.body.dataset.refused = header ? String(header.seq) : "";
  }

  // To the first field that is wrong, or to the sentences that belong to none.
  function toTrouble(at) {
    if (engine.part in at && !$("engine-box").hidden) { engine.to(Object.keys(at[engine.part])[0]); return; }
    const [part, problems] = Object.entries(at).find(([name]) => name in page.forms) || [];
    if (part === undefined) { $("trouble").scrollIntoView({ block: "start" }); return; }
    $("values").open = true;
    choosePart(part);
    const field = $(`value-${Object.keys(problems)[0]}`);
    if (!field) { $("trouble").scrollIntoView({ block: "start" }); return; }
    field.scrollIntoView({ block: "center" });
    field.focus();
  }

  function tell(lines, done) {
    $("notice").textContent = lines.join("\n");
    $("notice").classList.toggle("bad", done === false && lines[0].startsWith("Nothing"));
    $("notice").hidden = !lines.length;
    if (lines.length) $("notice").scrollIntoView({ block: "nearest" });
  }
  function news(lines) {
    $("news").textContent = lines.join("\n");
    $("news").hidden = !lines.length;
  }

  // ------------------------------------------------------------------ values
  function form() {
    const names = Object.keys(page.forms);
    const select = $("part");
    const wanted = names.includes(fields.part) && fields.part !== "" ? fields.part : names[0];
    if ([...select.options].map((o) => o.value).join("\n") !== names.join("\n")) {
      select.replaceChildren(...names.map((name) => element("option", name, { value: name })));
    }
    $("which-part").hidden = names.length < 2;
    $("values").hidden = (!names.length && !(page.header && page.header.place)) || !wire.live;
    if (names.length) { select.value = wanted; fields.show(wanted, page.forms[wanted]); fields.typed(typed[wanted] || {}, of(wanted)); }
  }
  function choosePart(name) {
    if (!(name in page.forms)) return;
    $("part").value = name;
    fields.show(name, page.forms[name]);
    fields.typed(typed[name] || {}, of(name));
    trouble(refused);
  }
  $("part").addEventListener("change", () => { choosePart($("part").value); pick([$("part").value], { keepPart: true }); });
  $("fields").addEventListener("submit", (event) => event.preventDefault());
  $("keep").addEventListener("click", () => { tell(["writing"]); wire.send({ do: "keep" }); });
  function back(what) {
    if (!wire.live || !fields.release()) return false;
    tell([]);
    wire.send({ do: what });
    return true;
  }
  $("undo").addEventListener("click", () => back("undo"));
  $("redo").addEventListener("click", () => back("redo"));
  $("reset").addEventListener("click", () => { tell([]); wire.send({ do: "reset" }); });

  // ------------------------------------------------------------------ picking, both ways
  function pick(names, { row, pair, scroll, keepPart } = {}) {
    page.picked = names;
    if (!row) for (const button of $("top").querySelectorAll("button")) button.setAttribute("aria-pressed", "false");
    if (row && row.moved !== undefined && stage) toWorst(row.moved);
    else if (stage && $("rock-way").value.startsWith("w") && (row || !names.length)) toRest();
    if (stage) {
      parts.pick(names, { pair });
      marks();
    }
    tables.light(names, row, scroll);
    const part = names.find((name) => name in page.forms);
    if (part && !keepPart) choosePart(part);
    const known = [...new Set(names)].filter((name) => !stage || parts.items.some((item) => [item.name, item.thing, item.unit].includes(name)));
    $("picked-name").textContent = known.length ? known.join(", ") : "Nothing picked";
  }
  const units = () => {
    const found = new Set();
    for (const item of parts.items) if (page.picked.includes(item.unit) || page.picked.includes(item.name) || page.picked.includes(item.thing)) found.add(item.unit);
    return [...found];
  };

  function things() {
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

  // ------------------------------------------------------------------ tools
  const does = {
    all() { stage.fit(parts.box()); },
    lens() { toggle("lens", (on) => stage.lens(on)); },
    measure() { toggle("measure", (on) => measure.set(on)); },
    gaps() { toggle("gaps", (on) => parts.gaps(on)); },
    axes() { toggle("axes", (on) => parts.axes(on)); },
    dark() { toggle("dark", (on) => theme(on ? "dark" : "light")); },
    save() {
      labels.picture(labels.stamp).toBlob((blob) => {
        const link = element("a", null, { download: `${(page.header ? page.header.title : "picture").replace(/[^\w-]+/g, "_")}.png`, href: URL.createObjectURL(blob) });
        link.click();
        setTimeout(() => URL.revokeObjectURL(link.href), 10000);
      });
    },
    hide() { parts.hide(units(), true); marks(); },
    only() { parts.only(units()); marks(); },
    frame() {
      const box = parts.boxOf(page.picked);
      if (!box.isEmpty()) stage.fit(box);
    },
    through() { const mine = units(); parts.through(mine, !mine.every((name) => parts.units.get(name).through)); marks(); },
    back() { parts.everything(); marks(); },
  };
  function toggle(id, call) {
    const on = $(id).getAttribute("aria-pressed") !== "true";
    $(id).setAttribute("aria-pressed", String(on));
    call(on);
  }
  $("engine").addEventListener("click", () => (engine.open ? engine.toggle(false) : engine.go()));
  if (stage) for (const id of Object.keys(does)) $(id).addEventListener("click", () => does[id]());

  function theme(name) {
    page.theme = name;
    document.documentElement.classList.toggle("dark", name === "dark");
    $("dark").setAttribute("aria-pressed", String(name === "dark"));
    if (stage) { parts.theme = name; stage.theme(name); parts.setTheme(name); }
  }

  const SLANTS = ["three", "along", "square"];
  function cut(share) {
    const slanted = SLANTS.includes($("section-axis").value), axis = slanted ? "slanted" : $("section-axis").value;
    $("section-at").disabled = !axis;
    section.set(axis, share === undefined ? $("section-at").value / 1000 : share);
    $("section-out").textContent = slanted ? Brackets.length(section.at - section.slanted.from, 1) : axis ? `${axis} = ${section.at.toFixed(1)}` : "";
  }
  // A slanted one lies where it is picked, and is shifted from there.
  const slant = stage && Brackets.slant({ stage, parts, section, measure, laid: held });
  function held(share) {
    $("section-at").value = 1000 * share;
    cut(share);  // exactly there, not where the nearest step of the slider is
  }
  function cutAcross() {
    const kind = $("section-axis").value;
    slant.end();
    if (!SLANTS.includes(kind)) { cut(); return; }
    section.set("", 0);
    $("section-out").textContent = "pick";
    slant.begin(kind);
  }

  function fold() {
    page.folded = $("fold").value / 100;
    $("fold-out").textContent = page.folded === 1 ? "folded" : page.folded === 0 ? "flat" : `${$("fold").value} %`;
    parts.fold(page.folded);
  }

  function apart() {
    parts.apart($("apart").value / 100);
    $("apart-out").textContent = `${$("apart").value} %`;
  }

  // What the powertrain may do and what moves by itself: one way at a time, or to the worst place of a row.
  const WAYS = [["roll", 0], ["pitch", 1], ["yaw", 2], ["fore and aft", 0], ["sideways", 1], ["up and down", 2]];
  function moves() {
    $("rock-strip").hidden = !page.moves && !page.movers.length && !page.modes.length;
    if ($("rock-strip").hidden) { parts.still(); return; }
    const select = $("rock-way");
    const was = select.value;
    const options = !page.moves ? [] : WAYS.map(([name, i], n) => [name, n < 3 ? [page.moves.turns[i].low, page.moves.turns[i].high] : page.moves.travel[i], n])
      .filter(([, range]) => range[0] !== 0 || range[1] !== 0)
      .map(([name, , n]) => [String(n), name]);
    page.movers.forEach((one, i) => {
      if (one.turn[0] || one.turn[1]) options.push([`turn${i}`, `${one.thing} turns`]);
      if (one.travel[0] || one.travel[1]) options.push([`slide${i}`, `${one.thing} slides`]);
    });
    page.modes.forEach((one, i) => options.push([`mode${i}`, `mode ${i + 1}: ${one.name}`]));
    for (const row of page.worst) options.push([`w${row.moved}`, `worst ${row.moved + 1}: ${row.a}, ${row.b}: spare ${row.left}`]);
    select.replaceChildren(...options.map(([value, name]) => element("option", name, { value })));
    if (options.some(([value]) => value === was)) select.value = was;
    rock();
  }
  function toWorst(index) {
    const row = page.worst.find((one) => one.moved === index);
    if (!row) return;
    $("rock-way").value = `w${index}`;
    $("rock").value = 100;
    rock();
  }
  function toRest() {
    if ($("rock").value === "0") return;
    $("rock").value = 0;
    rock();
  }
  // Looks at things where they stand now, or at a gap between two points.
  function seek(names, gap) {
    if (gap) { place({ things: names, gap }); return; }
    const box = parts.boxOf(names);
    if (!box.isEmpty()) stage.fit(box.expandByScalar(box.getSize(new THREE.Vector3()).length()));
  }
  // Looks at the place that a row speaks of: at its gap, its line across the picture; else at its things.
  function place(row) {
    if (!stage) return;
    const moved = row.moved === undefined ? null : page.worst.find((one) => one.moved === row.moved);
    const gap = row.gap || moved || (row.pair === undefined || row.pair === null ? null : page.header.pairs[row.pair]);
    const whole = parts.box(), size = whole.getSize(new THREE.Vector3()).length();
    if (!gap) {
      const box = row.level && row.things.length ? parts.boxOf(row.things) : new THREE.Box3();
      if (!box.isEmpty()) stage.fit(box.expandByScalar(0.03 * size));
      return;
    }
    const [p, q] = [new THREE.Vector3(...gap.p), new THREE.Vector3(...gap.q)];
    const box = new THREE.Box3().setFromPoints([p, q]).expandByScalar(Math.max(0.08 * size, p.distanceTo(q)));
    stage.from(Brackets.clearest(parts, p, q, stage.away(), row.things), box);
  }
  function rock() {
    const share = $("rock").value / 100;
    const way = $("rock-way").value;
    const angles = [0, 0, 0], travel = [0, 0, 0], owns = new Map();
    const part = ([low, high]) => (share < 0 ? -share * low : share * high);
    const out = $("rock-out");
    if (!share || way === "") {
      out.textContent = "at rest";
      parts.rock(new THREE.Matrix4(), null);
      return;
    }
    works.still();
    let worst = null, mode = null;
    if (way.startsWith("w")) {
      worst = page.worst.find((one) => `w${one.moved}` === way);
      worst.angles.forEach((a, i) => { angles[i] = a * Math.abs(share); });
      worst.travel.forEach((t, i) => { travel[i] = t * Math.abs(share); });
      for (const one of page.movers) if (one.thing in worst.own) owns.set(one.thing, carried(one, ...worst.own[one.thing].map((v) => v * Math.abs(share))));
      out.textContent = Math.abs(share) === 1 ? "worst place" : `${Math.round(Math.abs(share) * 100)} %`;
      if (Math.abs(share) !== 1) worst = {};
    } else if (way.startsWith("mode")) {
      const { turn, about, shift } = page.modes[Number(way.slice(4))], far = Math.hypot(...turn);
      mode = aside(turned(far ? turn.map((v) => v / far) : [0, 0, 1], (far * share * 180) / Math.PI), about, shift.map((v) => v * share));
      out.textContent = "shape, no size";
    } else if (way.startsWith("turn") || way.startsWith("slide")) {
      const turns = way.startsWith("turn"), one = page.movers[Number(way.replace(/^\D+/, ""))];
      const value = part(turns ? one.turn : one.travel);
      owns.set(one.thing, turns ? carried(one, value, 0) : carried(one, 0, value));
      out.textContent = turns ? `${value.toFixed(1)} deg` : Brackets.length(value, 1);
    } else {
      const n = Number(way), i = WAYS[n][1];
      const value = part(n < 3 ? [page.moves.turns[i].low, page.moves.turns[i].high] : page.moves.travel[i]);
      if (n < 3) angles[i] = value;
      else travel[i] = value;
      out.textContent = n < 3 ? `${value.toFixed(1)} deg` : Brackets.length(value, 1);
    }
    const whole = new THREE.Matrix4();
    if (mode) whole.copy(mode);
    else if (page.moves) {
      page.moves.turns.forEach((turn, i) => whole.premultiply(turned(turn.axis, angles[i])));
      whole.copy(aside(whole, page.moves.about, travel));
    }
    for (const bar of page.bars) for (const thing of bar.things) owns.set(thing, between(bar, whole));
    parts.rock(whole, worst || {}, owns);
  }
  const turned = (axis, degrees) => new THREE.Matrix4().makeRotationAxis(new THREE.Vector3(...axis), (degrees * Math.PI) / 180);
  // A turn about a point, then a travel.
  function aside(turn, about, travel) {
    const whole = turn.clone().multiply(new THREE.Matrix4().makeTranslation(...about.map((v) => -v)));
    return whole.premultiply(new THREE.Matrix4().makeTranslation(...about.map((v, i) => v + travel[i])));
  }
  // A link: turned by the least to point at the bush centre that the engine carries, what is missing shared by both.
  function between(bar, whole) {
    const fixed = new THREE.Vector3(...bar.fixed), moving = new THREE.Vector3(...bar.moving), there = moving.clone().applyMatrix4(whole);
    const way = (to) => to.clone().sub(fixed).normalize(), middle = (to) => to.clone().add(fixed).multiplyScalar(0.5);
    const turn = new THREE.Matrix4().makeRotationFromQuaternion(new THREE.Quaternion().setFromUnitVectors(way(moving), way(there)));
    const off = middle(there).sub(middle(moving).applyMatrix4(turn));
    return turn.premultiply(new THREE.Matrix4().makeTranslation(off.x, off.y, off.z));
  }
  const carried = (one, degrees, mm) => aside(turned(one.axis, degrees), one.about, one.along.map((v) => v * mm));

  if (stage) {
    for (const name of Object.keys(Brackets.VIEWS)) {
      const button = element("button", name, { type: "button", "data-view": name });
      button.addEventListener("click", () => stage.view(name, parts.box()));
      $("views").append(button);
    }
    $("section-axis").addEventListener("change", cutAcross);
    $("section-at").addEventListener("input", () => cut());
    $("apart").addEventListener("input", apart);
    $("fold").addEventListener("input", fold);
    $("rock").addEventListener("input", rock);
    $("rock-way").addEventListener("change", () => { if ($("rock").value === "0") $("rock").value = 100; rock(); });
    Brackets.hint($("hint"));
    Brackets.pointer({ stage, parts, labels, measure, host, tag: $("hover"), clicked });
  }

  function clicked(x, y) {
    if (measure.asked()) { measure.click(x, y); return; }
    const hit = parts.under(stage.ray(x, y), true);
    if (!hit) { pick([], {}); return; }
    pick(hit.item.of ? [hit.item.unit, ...hit.item.of] : [hit.item.unit], { scroll: true });
  }

  // ------------------------------------------------------------------ keys
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

  // ------------------------------------------------------------------ begin
  theme(window.matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light");
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
    $("values").inert = gone;
    if (gone) $("busy").textContent = "";
  }
  const grip = stage && Brackets.grip(stage, parts, engine, host);
  const real = Brackets.wire(heard, () => reach(true), () => { reach(false); engine.wake(); });
  wire.live = real.live;
  wire.send = (message) => real.send(message);
  wire.cut = () => real.cut();
  if (!real.live) { $("values").hidden = true; $("busy").textContent = ""; }
  return page;
})();

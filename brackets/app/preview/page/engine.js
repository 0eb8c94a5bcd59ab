"use strict";
// The engine moved by hand: six figures of its place, the picture moved at once, gaps and arms measured as it moves.
// What is measured says of which place it is; arms and bolts of the place before are seen through until they are built.

Brackets.engine = function (parts, host, tools) {
  const { element } = Brackets;
  const PART = "[powertrain] place", NAMES = ["fore", "left", "up", "roll", "pitch", "yaw"], SHIFTS = 3;
  const FAR = [100, 10];  // mm and degrees a slider reaches to either side where [place] names no limits
  const REST = 300;  // ms after the last key until what was keyed is typed
  const ME = Math.random().toString(36).slice(2);
  const box = tools.box, rows = [], steps = [];
  const engine = { open: false, want: null, shown: null, fresh: false, wrong: {}, part: PART, moved: [] };
  let place = null, typed = {}, sent = null, held = false, off = false, later = null;
  let asked = 0, answered = 0, waits = false, flying = false, searching = false;
  const made = panel();

  // ------------------------------------------------------------------ figures and their texts
  const unit = (i) => (i < SHIFTS ? place.unit : "deg");
  const per = (i) => (i < SHIFTS && place.unit === "in" ? 25.4 : 1);
  const clean = (value) => Number(value.toFixed(9)) + 0;
  const text = (i) => `${Number((engine.want[i] / per(i)).toFixed(6)) + 0} ${unit(i)}`;
  const step = (i) => steps[i < SHIFTS ? 0 : 1].value * per(i);
  const same = (a, b) => Math.abs(a - b) < 1e-9;
  engine.step = step;
  engine.snapped = (i, value) => clean(Math.round(value / step(i)) * step(i));

  // Where the powertrain stands at six figures: turned by roll, pitch, yaw about the crank's point, then shifted.
  engine.matrix = function (at) {
    const [roll, pitch, yaw] = at.slice(SHIFTS).map((d) => (d * Math.PI) / 180), crank = new THREE.Vector3(...place.crank);
    const whole = new THREE.Matrix4().makeTranslation(-crank.x, -crank.y, -crank.z);
    for (const turn of [new THREE.Matrix4().makeRotationX(roll), new THREE.Matrix4().makeRotationY(pitch), new THREE.Matrix4().makeRotationZ(yaw)]) whole.premultiply(turn);
    return whole.premultiply(new THREE.Matrix4().makeTranslation(crank.x + at[0], crank.y + at[1], crank.z + at[2]));
  };

  // ------------------------------------------------------------------ what comes in
  engine.show = function (header) {
    place = tools.live() ? header.place || null : null;
    box.hidden = tools.button.hidden = !place;
    if (!place) { engine.toggle(false); return; }
    engine.shown = place.at;
    off = false;
    if (!engine.want || (!held && sent === null && told(place.typed) === told(typed))) engine.want = [...place.at];
    ranges();
    carry();
    if (engine.open) ask();
  };
  const told = (texts) => JSON.stringify(NAMES.map((name) => texts[name] || null));

  // What is typed here or in another page, undone or redone: its figures are known once it has been read.
  engine.typed = function (all) {
    const was = told(typed);
    typed = all[PART] || {};
    const mine = sent !== null;
    if (sent === told(typed)) sent = null;
    if (!place) return;
    if (engine.open && !held && !mine && told(typed) !== was) ask(typed);
    inputs();
  };

  // Not shown: the picture goes back to the last good place, what was typed stays in its field.
  engine.refused = function (header) {
    engine.wrong = (header && header.fields[PART]) || {};
    if (header && place && !held) { off = true; sent = null; carry(); inputs(); status(); }
    if (place) wrongs();
  };

  engine.heard = function (header) {
    const [who, number] = header.of.split(":");
    if (who !== ME && header.of !== "") return;
    if (header.answer === "searching") { made.search.textContent = `${header.said}`; return; }
    flying = false;
    if (header.answer === "best") { searching = false; proposal(header); return again(); }
    if (header.of === "") { searching = false; waits = false; }  // the one that measures has ended
    answered = Number(number) || asked;
    engine.fresh = answered === asked && !Object.keys(header.wrong).length && !header.lines.length;
    if (Object.keys(header.wrong).length) { engine.wrong = header.wrong; wrongs(); }
    made.said.replaceChildren(...header.lines.map((line) => element("p", line, { class: "wrong" })));
    if (header.tables) {
      if (answered === asked) take(header.at);
      made.outside.replaceChildren(...header.outside.map((line) => element("p", line, { class: "wrong" })));
      made.tables.show(header.tables, { first: true, last: true });
      engine.last = header;
    }
    carry();
    again();
  };

  // The figures of a text in any unit are known once it has been read.
  function take(at) {
    if (held || at.every((v, i) => same(v, engine.want[i]))) return;
    engine.want = [...at];
    inputs();
  }

  engine.wake = function () { flying = searching = false; if (engine.open && place) ask(); };

  // ------------------------------------------------------------------ what is asked
  // One question at a time: what moves on meanwhile is asked for when the answer has come, the places between are not.
  function ask(exactly) {
    asked += 1;
    waits = exactly || true;
    engine.fresh = false;
    carry();
    again();
  }
  function again() {
    status();
    if (!waits || (flying && !searching)) return;
    const there = waits === true ? texts() : waits;
    waits = false;
    searching = false;
    made.search.textContent = "";
    flying = true;
    tools.ask({ do: "trial", place: there, of: `${ME}:${asked}` });
    status();
  }
  const texts = () => Object.fromEntries(NAMES.map((name, i) => [name, text(i)]));

  // `done`: the hand has let go; what it did is typed, and is one step to undo.
  engine.move = function (change, done) {
    clearTimeout(later);
    const went = Object.entries(change).some(([i, value]) => !same(engine.want[i], value));
    for (const [i, value] of Object.entries(change)) engine.want[i] = clean(value);
    off = false;
    held = done !== true;
    if (went) { drop(); engine.wrong = {}; wrongs(); inputs(); ask(); }
    if (done === true) commit();
    else if (done === "keys") later = setTimeout(() => engine.move({}, true), REST);
  };
  engine.cancel = function () { clearTimeout(later); held = false; engine.want = [...engine.shown]; inputs(); ask(); };

  function commit() {
    const values = {};
    NAMES.forEach((name, i) => {
      if (same(engine.want[i], place.file[i])) { if (name in typed) values[name] = null; }
      else if (!same(engine.want[i], engine.shown[i]) || name in typed) { if (!(name in typed) || !same(engine.want[i], engine.shown[i])) values[name] = text(i); }
    });
    type(values);
  }
  function type(values) {
    if (!Object.keys(values).length) return;
    const next = { ...typed, ...values };
    sent = told(next);
    if (sent === told(typed)) sent = null;
    tools.send({ do: "set", part: PART, values });
  }

  // ------------------------------------------------------------------ what is shown
  function carry() {
    if (!parts || !engine.shown) return;
    const away = engine.open && !off && engine.want.some((v, i) => !same(v, engine.shown[i]));
    if (away) tools.rest();
    const matrix = away || (!off && sent !== null) ? engine.matrix(engine.want).multiply(engine.matrix(engine.shown).invert()) : null;
    parts.carry(matrix, matrix && engine.fresh && engine.last ? engine.last.gaps : []);
    tools.note.hidden = !matrix;
    tools.away(Boolean(matrix));
    for (const call of engine.moved) call();
  }

  function status() {
    const old = !engine.fresh;
    const said = old ? "not yet measured here: these figures are of a place before" : off ? "measured at the place typed, which is not shown" : "measured where the engine is shown";
    Brackets.write(made.state, engine.last ? said : old ? "not yet measured" : "");
    made.measured.classList.toggle("old", old);
    made.best.disabled = searching || !place || !Object.keys(place.limits).length;
    made.stop.hidden = !searching;
  }

  function panel() {
    const found = { state: element("p", "", { role: "status", class: "note", id: "trial-state" }) };
    const hint = element("p", "Ring on the picture: drag it to slide the engine along the two axes that lie across the view, with Shift to turn it about the third; with the ring in hand the arrows, Page Up and Page Down do the same by a step, Shift with left and right turns, Esc goes back.", { class: "note" });
    const by = element("p", null, { class: "strip" });
    ["1", "0.1"].forEach((value, i) => {
      const input = element("input", null, { type: "text", id: `engine-step-${i}`, value, size: 6, spellcheck: "false" });
      steps.push({ value: Number(value), input });
      input.addEventListener("change", () => stepped(i));
      by.append(element("label", i ? "and" : "Steps of", { for: `engine-step-${i}` }), input, element("span", i ? "deg" : "mm", { id: `engine-step-unit-${i}` }));
    });
    const fields = element("form", null, { autocomplete: "off", id: "engine-fields" });
    fields.addEventListener("submit", (event) => event.preventDefault());
    NAMES.forEach((name, i) => fields.append(field(name, i)));
    found.best = element("button", "Best position", { type: "button", id: "engine-best" });
    found.stop = element("button", "Stop searching", { type: "button", id: "engine-stop", hidden: "" });
    found.search = element("span", "", { class: "note", role: "status" });
    found.home = element("button", "As the file has it", { type: "button", id: "engine-home" });
    found.best.addEventListener("click", () => { drop(); searching = true; flying = true; made.search.textContent = "searching"; tools.ask({ do: "best", place: texts(), of: `${ME}:best` }); status(); });
    found.stop.addEventListener("click", () => ask());
    found.home.addEventListener("click", () => engine.move(Object.fromEntries(place.file.map((v, i) => [i, v])), true));
    const keep = element("button", "Keep", { type: "button", id: "engine-keep" });
    const buttons = element("p", null, { class: "strip" });
    keep.addEventListener("click", () => tools.keep(buttons));
    buttons.append(found.best, found.stop, found.home, keep, found.search);
    found.limits = element("p", "", { class: "note", id: "engine-limits" });
    found.proposal = element("div", null, { id: "engine-proposal", role: "status" });
    found.said = element("div");
    found.outside = element("div", null, { id: "engine-outside" });
    found.measured = element("div", null, { id: "engine-measured" });
    const host = element("div");
    found.tables = Brackets.tables(host, (row, lit) => { found.tables.light(lit ? [] : row.things, row); tools.pick(lit ? [] : row.things); });
    found.measured.append(found.outside, host);
    box.append(by, fields, buttons, found.limits, found.proposal, found.said, found.state, found.measured, hint);
    return found;
  }

  function field(name, i) {
    const id = `engine-${name}`, row = { name, i };
    row.box = element("div", null, { class: "figure" });
    row.less = element("small", "", { "aria-hidden": "true", class: "less" });
    row.more = element("small", "", { "aria-hidden": "true" });
    row.range = element("input", null, { type: "range", step: "any", "aria-label": `${name} slider`, id: `${id}-range` });
    row.text = element("input", null, { type: "text", id, "aria-describedby": `${id}-wrong`, spellcheck: "false" });
    row.undo = element("button", "undo", { type: "button", "aria-label": `undo ${name}` });
    row.wrong = element("p", "", { class: "wrong", id: `${id}-wrong` });
    row.range.addEventListener("input", () => engine.move({ [i]: engine.snapped(i, Number(row.range.value) * per(i)) }));
    row.range.addEventListener("change", () => engine.move({}, true));
    row.range.addEventListener("keydown", (event) => keyed(event, row));
    row.text.addEventListener("change", () => { off = false; drop(); ask({ ...typed, [name]: row.text.value }); type({ [name]: row.text.value }); });
    row.undo.addEventListener("click", () => engine.move({ [i]: place.file[i] }, true));
    const line = element("div", null, { class: "row" });
    line.append(element("label", name, { for: id }), row.text, row.undo, row.less, row.range, row.more);
    row.box.append(line, row.wrong);
    rows.push(row);
    return row.box;
  }

  // A slider in hand: an arrow a step, Page Up and Page Down ten, Home and End its ends.
  function keyed(event, row) {
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1, PageUp: 10, PageDown: -10 }[event.key];
    const end = { Home: row.range.min, End: row.range.max }[event.key];
    if ((by === undefined && end === undefined) || event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    const [low, high] = [row.range.min, row.range.max].map((v) => Number(v) * per(row.i));
    const value = end === undefined ? Math.min(Math.max(engine.want[row.i] + by * step(row.i), low), high) : Number(end) * per(row.i);
    engine.move({ [row.i]: clean(value) }, "keys");
  }

  function stepped(i) {
    const value = Number(steps[i].input.value.replace(",", "x"));
    const good = value > 0 && value <= FAR[i];
    steps[i].input.setAttribute("aria-invalid", String(!good));
    steps[i].input.classList.toggle("bad", !good);
    steps[i].input.title = good ? "" : `step = ${steps[i].input.value}, must be more than 0, to ${FAR[i]}: a plain number`;
    if (good) steps[i].value = value;
  }

  function ranges() {
    const inch = place.unit === "in", unitOf = document.getElementById("engine-step-unit-0");
    if (unitOf.textContent !== place.unit) {
      unitOf.textContent = place.unit;
      steps[0].value = inch ? 0.05 : 1;
      steps[0].input.value = String(steps[0].value);
    }
    rows.forEach((row, i) => {
      const ends = place.limits[row.name], far = FAR[i < SHIFTS ? 0 : 1];
      const [low, high] = ends || [place.file[i] - far, place.file[i] + far];
      const { plus, minus } = place.fields[i];
      row.range.min = Math.min(low, engine.want[i]) / per(i);
      row.range.max = Math.max(high, engine.want[i]) / per(i);
      Brackets.write(row.less, minus);
      Brackets.write(row.more, plus);
      row.text.setAttribute("aria-label", `${row.name}, ${place.fields[i].allowed}`);
    });
    const said = (name, [low, high]) => { const i = NAMES.indexOf(name); return `${name} ${Number((low / per(i)).toFixed(4))} to ${Number((high / per(i)).toFixed(4))} ${unit(i)}`; };
    const limits = Object.entries(place.limits);
    Brackets.write(made.limits, limits.length ? `[place] in the file: ${limits.map(([name, ends]) => said(name, ends)).join(", ")}.` : "Best position: say in the bay file how far the engine may move, under [place]: fore = [-20, 20].");
    inputs();
    status();
  }

  function inputs() {
    rows.forEach((row, i) => {
      const value = engine.want[i] / per(i);
      if (Number(row.range.max) < value) row.range.max = value;
      if (Number(row.range.min) > value) row.range.min = value;
      row.range.value = value;
      const refused = off && row.name in typed;
      if (document.activeElement !== row.text || held) row.text.value = refused ? typed[row.name] : text(i);
      row.undo.hidden = !(row.name in typed) && same(engine.want[i], place.file[i]);
    });
  }

  function wrongs() {
    for (const row of rows) {
      const said = engine.wrong[row.name] || "";
      Brackets.write(row.wrong, said);
      row.box.classList.toggle("bad", said !== "");
      row.text.setAttribute("aria-invalid", String(said !== ""));
    }
  }

  // ------------------------------------------------------------------ the best position
  function proposal(header) {
    made.search.textContent = "";
    const all = [...header.lines, ...Object.values(header.wrong)];
    if (!header.at) { made.proposal.replaceChildren(element("p", all.join("; "), { class: "wrong" })); return; }
    const news = header.at.map((v, i) => [NAMES[i], i, v]).filter(([, i, v]) => !same(v, engine.want[i]));
    const head = news.length ? `Best found: ${news.map(([name]) => `${name} ${header.texts[name]}`).join(", ")}` : "Best found: where it stands.";
    const buttons = element("p", null, { class: "strip" });
    if (news.length) {
      const yes = element("button", "Take it", { type: "button", id: "engine-take" }), no = element("button", "Leave it", { type: "button" });
      yes.addEventListener("click", () => engine.move(Object.fromEntries(header.at.map((v, i) => [i, v])), true));
      no.addEventListener("click", drop);
      buttons.append(yes, no);
    }
    made.proposal.replaceChildren(element("p", head), ...all.map((line) => element("p", line, { class: "note" })), buttons);
  }
  function drop() { made.proposal.replaceChildren(); }

  // ------------------------------------------------------------------ open and shut
  engine.toggle = function (open) {
    engine.open = place !== null && open;
    if (box.open !== engine.open) box.open = engine.open;
    tools.button.setAttribute("aria-pressed", String(engine.open));
    if (!place) return;
    if (engine.open) ask(told(typed) === told(place.typed) ? undefined : typed);
    else carry();
    for (const call of engine.moved) call();
  };
  box.addEventListener("toggle", () => { if (box.open !== engine.open) engine.toggle(box.open); });
  engine.go = function () { engine.toggle(true); box.scrollIntoView({ block: "start" }); };
  engine.to = function (name) {  // to the field of a figure that is wrong
    engine.go();
    const row = rows.find((one) => one.name === name) || rows[0];
    row.box.scrollIntoView({ block: "center" });
    row.text.focus();
  };
  return engine;
};

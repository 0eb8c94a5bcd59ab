"use strict";
// The values of a part: slider, number (any unit), list of what is in stock; what is wrong stands at its field.

Brackets.fields = function (host, part, send) {
  const { element } = Brackets;
  const SLIDING = 30;
  const rows = new Map();
  let waiting = {}, timer = null;
  const fields = {};
  const idOf = (name) => `value-${part ? `${part.replace(/\s+/g, "_")}-` : ""}${name}`;
  let free = false;  // whether the field in hand takes what others, or an undo, make of it
  const inHand = (box) => document.activeElement === box && !free;
  host.addEventListener("input", () => { free = false; });

  // Whether what stands in a field is not sent yet; if not, the field in hand is let go.
  fields.release = function () {
    if (Object.keys(waiting).length) return false;
    free = true;
    return true;
  };

  fields.show = function (list) {
    if (list.length !== rows.size || list.some((field) => !rows.has(field.name))) {
      rows.clear();
      host.replaceChildren(...list.map(made));
    }
    for (const field of list) update(rows.get(field.name), field);
  };

  function made(field) {
    const id = idOf(field.name);
    const box = element("div", null, { class: "field" });
    const head = element("div", null, { class: "name" });
    const title = Brackets.named("label", field.name, { for: id });
    head.append(title, element("small", field.meaning));
    const line = element("div", null, { class: "row" });
    const row = { field, box, range: null, list: null, text: null, wrong: element("p", "", { class: "wrong", id: `${id}-wrong` }), undo: element("button", "undo", { type: "button", "aria-label": `undo ${field.name}` }) };
    const words = field.choices.length > 0 && field.kind !== "tube";
    if (field.slider) {
      const [lo, hi, step] = field.slider;
      row.range = element("input", null, { type: "range", min: lo, max: hi, step, "aria-label": `${field.name} slider` });
      row.range.addEventListener("input", () => {
        const text = `${Number(row.range.value)}${field.unit ? " " + field.unit : ""}`;
        row.text.value = text;
        queue(field.name, text, SLIDING);
      });
      line.append(row.range);
    }
    if (words) {
      row.text = element("select", null, { id });
      for (const word of field.optional ? ["none", ...field.choices] : field.choices) row.text.append(element("option", word, { value: word }));
      row.text.addEventListener("change", () => queue(field.name, row.text.value, 0));
    } else {
      row.text = element("input", null, { id, type: "text", "aria-describedby": `${id}-wrong`, spellcheck: "false", class: field.slider ? "" : "long" });
      row.text.addEventListener("input", () => { sized(row); queue(field.name, row.text.value, 500); });
      row.text.addEventListener("change", () => queue(field.name, row.text.value, 0));
    }
    line.append(row.text);
    const sizes = field.kind === "tube" ? field.choices : field.sizes;
    if (sizes.length) {
      row.list = element("select", null, { "aria-label": `${field.name} in stock` });
      row.list.append(element("option", "stock", { value: "" }));
      for (const size of sizes) row.list.append(element("option", size, { value: size }));
      row.list.addEventListener("change", () => { if (row.list.value) { row.text.value = row.list.value; queue(field.name, row.list.value, 0); } });
      line.append(row.list);
    }
    row.undo.addEventListener("click", () => queue(field.name, null, 0));
    line.append(row.undo);
    row.hint = element("p", "", { class: "hint" });
    box.append(head, line, row.hint, row.wrong);
    rows.set(field.name, row);
    return box;
  }

  function update(row, field) {
    row.field = field;
    if (!inHand(row.text) && !(field.name in waiting)) { row.text.value = field.text; sized(row); }
    if (row.range && field.number !== null && !inHand(row.range)) row.range.value = field.number;
    if (row.list && !inHand(row.list)) row.list.value = field.sizes.includes(field.text) || field.choices.includes(field.text) ? field.text : "";
    row.undo.hidden = !field.typed;
    row.left = null;
    if (row.range) [row.range.min, row.range.max] = field.slider;
    hinted(row, field);
  }

  function hinted(row, field) {
    const rule = field.allowed.replace(/^must be /, "");
    const said = [field.choices.length && field.kind !== "tube" ? "" : rule];
    if (row.left) said.push(`with the others as they are ${row.left[0]} to ${row.left[1]}`);
    if (field.follows) said.push(`worked out: ${field.text}`);
    else if (field.worked_out) said.push("worked out from the bay");
    Brackets.write(row.hint, said.filter(Boolean).join("; "));
    row.text.setAttribute("aria-label", `${field.name}, ${field.meaning}, ${rule}`);
  }

  // The limits that the other values leave: what the sliders reach until something is changed.
  fields.limits = function (limits) {
    for (const [name, ends] of Object.entries(limits)) {
      const row = rows.get(name);
      if (!row || !row.range || inHand(row.range)) continue;
      const [lo, hi] = row.field.slider;
      if (ends[0] <= lo && ends[1] >= hi) continue;
      row.left = ends;
      [row.range.min, row.range.max] = ends;
      if (row.field.number !== null) row.range.value = row.field.number;
      hinted(row, row.field);
    }
  };

  // As wide as its figures are long.
  function sized(row) {
    const long = row.range && row.text.value.length > 9;
    row.text.style.width = long ? `${row.text.value.length + 4}ch` : "";
    row.text.style.flex = long ? "none" : "";
  }

  // What other tabs typed shows here; what is being typed here stays. `given`: by the command line, kept by an undo.
  fields.typed = function (texts, given) {
    for (const [name, row] of rows) {
      if (name in texts && !inHand(row.text) && !(name in waiting)) {
        row.text.value = texts[name];
        sized(row);
        const number = parseFloat(texts[name]);
        if (row.range && !inHand(row.range) && /^[-\d.]+ ?(mm|deg)?$/.test(texts[name])) row.range.value = number;
      }
      row.undo.hidden = !(name in texts) || texts[name] === given[name];
    }
  };

  fields.wrong = function (problems) {
    for (const [name, row] of rows) {
      const said = problems[name] || "";
      Brackets.write(row.wrong, said);
      row.box.classList.toggle("bad", said !== "");
      row.text.setAttribute("aria-invalid", String(said !== ""));
    }
    return Object.keys(problems).filter((name) => !rows.has(name)).map((name) => problems[name]);
  };

  fields.field = (name) => (rows.has(name) ? rows.get(name).text : null);

  function queue(name, text, after) {
    waiting[name] = text;
    if (after === SLIDING) {
      if (timer === null) { flush(); timer = setTimeout(flush, SLIDING); }
      return;
    }
    clearTimeout(timer);
    timer = setTimeout(flush, after);
  }

  // A slider's first step goes out at once, those after it bundled.
  function flush() {
    timer = null;
    if (!Object.keys(waiting).length) return;
    const values = waiting;
    waiting = {};
    send({ do: "set", part, values });
  }

  return fields;
};

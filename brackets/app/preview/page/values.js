"use strict";
// The values of all parts: of a recipe its form, of a bay a fold for each part with what of it is typed or wrong.

Brackets.values = function (host, send, opened) {
  const { element, grid } = Brackets;
  const parts = new Map();
  let chosen = null;  // the fold that a pick has opened, and the next pick shuts
  const values = {};

  function made(name) {
    const form = element("form", null, { autocomplete: "off", "aria-label": name ? `Values of ${name}` : "Values" });
    form.addEventListener("submit", (event) => event.preventDefault());
    const part = { name, box: form, form: Brackets.fields(form, name, send) };
    if (!name) return part;
    part.box = element("details", null, { class: "part", "data-part": name });
    const head = element("summary");
    part.count = element("span", "", { class: "n" });
    head.append(Brackets.named("span", name), part.count);
    head.addEventListener("click", () => { if (!part.box.open) opened(name); });
    part.box.append(head, form);
    return part;
  }

  values.show = function (forms) {
    for (const name of [...parts.keys()]) if (!(name in forms)) parts.delete(name);
    for (const [name, list] of Object.entries(forms)) {
      if (!parts.has(name)) parts.set(name, made(name));
      parts.get(name).form.show(list);
    }
    grid.place(host, Object.keys(forms).map((name) => parts.get(name).box));
    const [only] = parts.values();
    if (parts.size === 1 && only.count && only.fresh === undefined) { only.fresh = false; only.box.open = true; }
  };

  // Opens the fold of what is picked; one that a hand is in stays open.
  values.choose = function (name) {
    const part = parts.get(name);
    if (!part || !part.count) return;
    if (chosen && chosen !== part && !chosen.box.contains(document.activeElement)) chosen.box.open = false;
    if (!part.box.open) { part.box.open = true; chosen = part; }
  };

  values.field = function (name, field) {
    const part = parts.get(name);
    if (part && part.count) part.box.open = true;
    return part ? part.form.field(field) : null;
  };

  values.typed = function (typed, given) {
    for (const part of parts.values()) {
      const texts = typed[part.name] || {}, was = given[part.name] || {};
      part.form.typed(texts, was);
      part.own = Object.keys(texts).filter((name) => texts[name] !== was[name]).length;
      counted(part);
    }
  };

  // What is wrong at its field; those that have none are given back.
  values.wrong = function (at) {
    for (const part of parts.values()) {
      part.bad = Object.keys(at[part.name] || {}).length;
      counted(part);
    }
    const lost = Object.entries(at).flatMap(([name, problems]) => (parts.has(name) ? parts.get(name).form.wrong(problems) : Object.values(problems)));
    for (const part of parts.values()) if (!(part.name in at)) part.form.wrong({});
    return lost;
  };
  function counted(part) {
    if (!part.count) return;
    Brackets.write(part.count, [part.own ? ` ${part.own} typed` : "", part.bad ? ` ${part.bad} wrong` : ""].filter(Boolean).join(","));
    part.count.classList.toggle("stop", Boolean(part.bad));
  }

  values.limits = function (limits) { for (const part of parts.values()) part.form.limits(limits); };
  // Whether nothing typed waits to be sent; if so, the field in hand is let go.
  values.release = function () { return [...parts.values()].map((part) => part.form.release()).every(Boolean); };
  return values;
};
